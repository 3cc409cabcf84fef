from __future__ import annotations

from pathlib import Path

import pytest
import shapely
from hypothesis import HealthCheck, given, settings

from plotlib.errors import NotRead, ProfileError
from plotlib.machine import Axis, KeepOut, Machine, ServoLift
from plotlib.testing import machines

GOOD = """
width = 225
height = 250
feed = 3000
[x]
rate = 10000
acceleration = 500
[y]
rate = 4000
[lift]
kind = "servo"
up = "M5"
down = ["M3 S60", "M3 S90"]
"""


def test_a_profile_written_by_hand_is_read(tmp_path: Path) -> None:
    path = tmp_path / "bench.toml"
    path.write_text(GOOD)
    lift = ServoLift("M5", ("M3 S60", "M3 S90"))
    assert Machine.load(path) == Machine(
        width=225, height=250, feed=3_000, x=Axis(10_000, 500), y=Axis(4_000), lift=lift
    )


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(machines())
def test_saved_machines_load_to_equal_ones(tmp_path: Path, machine: Machine) -> None:
    machine.save(tmp_path / "machine.toml")
    assert Machine.load(tmp_path / "machine.toml") == machine


def test_the_corner_model_is_saved(tmp_path: Path) -> None:
    path = tmp_path / "bench.toml"
    path.write_text('corner_model = "deviation"\n' + GOOD)
    machine = Machine.load(path)
    assert machine.corner_model == "deviation"
    machine.save(path)
    assert Machine.load(path) == machine
    path.write_text('corner_model = "round"\n' + GOOD)
    with pytest.raises(ProfileError, match="corner_model must be one of") as caught:
        Machine.load(path)
    assert caught.value.key == "corner_model"


def test_keep_outs_are_saved(tmp_path: Path) -> None:
    areas = [KeepOut(shapely.box(0.1, 0.2, 20, 20), passable=False)]
    lift = ServoLift("M5", "M3 S90")
    machine = Machine(
        width=225, height=250, feed=3_000, x=Axis(10_000), y=Axis(4_000), lift=lift, keep_outs=areas
    )
    machine.save(tmp_path / "machine.toml")
    assert Machine.load(tmp_path / "machine.toml") == machine


@pytest.mark.parametrize(
    "area",
    [
        shapely.box(1e-5, 1e-7, 0.1 + 0.2, 1 / 3),
        shapely.box(0, 0, 90, 90).difference(shapely.box(1 / 3, 0.7, 2 / 3, 80.1)),
        shapely.union(shapely.box(1e-9, 0.0, 10, 10), shapely.box(20.1, 20.2, 20.3, 20.4)),
        shapely.Point(50, 50).buffer(10 / 3),
    ],
)
def test_every_digit_of_a_keep_out_is_saved(tmp_path: Path, area: shapely.Geometry) -> None:
    lift = ServoLift("M5", "M3 S90")
    axis = Axis(10_000)
    machine = Machine(
        width=225, height=250, feed=3_000, x=axis, y=axis, lift=lift, keep_outs=[area], decimals=6
    )
    machine.save(tmp_path / "machine.toml")
    assert Machine.load(tmp_path / "machine.toml") == machine


def test_a_byte_order_mark_is_no_statement(tmp_path: Path) -> None:
    """U+FEFF in front, as some editors save UTF-8 (RFC 3629, section 6)."""
    path = tmp_path / "bench.toml"
    path.write_text(GOOD)
    plain = Machine.load(path)
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.encode())
    assert Machine.load(path) == plain


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ("width = 225", "", "width", "the key 'width' is missing; it must hold float"),
        (
            "width = 225",
            "breadth = 225",
            "breadth",
            "unknown key 'breadth'; known are width, height",
        ),
        ("width = 225", 'width = "wide"', "width", "width must be a finite number"),
        ("rate = 4000", "rate = -1", "rate", "table y: axis rate must be greater than 0"),
        ("rate = 4000", "", "rate", "table y: the key 'rate' is missing"),
        ('kind = "servo"', "", "kind", "'kind' must hold"),
        ('kind = "servo"', 'kind = "z"', "feed", "the key 'feed' is missing"),
        ('up = "M5"', 'up = "M3 S90"', "down", "the pen would not move"),
        ("[x]", "[x", "", "not a TOML file"),
        ("feed = 3000", 'feed = 3000\nkeep_outs = [{area = "ROUND"}]', "area", "well-known text"),
        (
            "[x]\nrate = 10000\nacceleration = 500",
            "x = 4\n",
            "",
            "table x must be a table|Expected",
        ),
    ],
)
def test_what_is_wrong_is_named_by_its_key(
    tmp_path: Path, old: str, new: str, key: str, words: str
) -> None:
    path = tmp_path / "bench.toml"
    assert old in GOOD
    path.write_text(GOOD.replace(old, new))
    with pytest.raises(ProfileError, match=words) as caught:
        Machine.load(path)
    assert key in {"", caught.value.key}


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("feed = 3000", 'feed = 3000\ntravel_word = "G1"', "travel_feed"),
        (
            "feed = 3000",
            'feed = 3000\nlongest_line = 30\nsetup = "M999 (a line that is far too long)"',
            "setup",
        ),
        ("feed = 3000", "feed = 3000\nhome = [1, 300]", "home"),
        ("feed = 3000", 'feed = 3000\nsetup = ["G21", "G0 X5"]', "setup"),
        ("feed = 3000", 'feed = 3000\nsetup = "G91"', "setup"),
        ("feed = 3000", 'feed = 3000\nprologue = "M2"', "prologue"),
        ("feed = 3000", 'feed = 3000\nprologue = "%"', "epilogue"),
        ("feed = 3000", 'feed = 3000\nepilogue = ["M2", "M5"]', "epilogue"),
        ("feed = 3000", "feed = 3000\ncomments = 5", "comments"),
        ("feed = 3000", "feed = 3000\nname = 5", "name"),
        ("rate = 4000", "rate = 4000\nreversed = 5", "reversed"),
        ("rate = 4000", "rate = 4000\nacceleration = 0", "acceleration"),
        ('up = "M5"', 'up = "G28"', "up"),
        ('up = "M5"', 'up = "M5"\nsettle_down = 200', "settle_down"),
        ('up = "M5"', f'up = "M5 ({"a line that is long, " * 4})"', "lift"),
        ("[x]", '[[keep_outs]]\narea = "POLYGON ((0 0, 5 0, 0 0))"\n[x]', "keep_outs"),
        (
            "[x]",
            '[[keep_outs]]\narea = "POLYGON ((0 0, 5 0, 0 5, 0 0))"\npassable = 5\n[x]',
            "passable",
        ),
    ],
)
def test_the_key_is_that_of_the_value_whatever_the_message_says(
    tmp_path: Path, old: str, new: str, key: str
) -> None:
    path = tmp_path / "bench.toml"
    assert old in GOOD
    path.write_text(GOOD.replace(old, new))
    with pytest.raises(ProfileError) as caught:
        Machine.load(path)
    assert caught.value.key == key


def test_heights_off_the_grid_are_those_of_the_lift(tmp_path: Path) -> None:
    path = tmp_path / "bench.toml"
    head = GOOD.partition("kind")[0]
    path.write_text(f'{head}kind = "z"\nup = 4.0001\ndown = 0\nfeed = 600\n')
    with pytest.raises(ProfileError, match="off the grid") as caught:
        Machine.load(path)
    assert caught.value.key == "lift"


def test_a_file_that_is_not_there_says_so(tmp_path: Path) -> None:
    with pytest.raises(NotRead, match=r"nothing\.toml': there is no such file") as caught:
        Machine.load(tmp_path / "nothing.toml")
    assert isinstance(caught.value, OSError)


@pytest.mark.parametrize("value", ["5", '"box"', "[5]", "[[1, 2]]"])
def test_keep_outs_that_are_none_are_named(tmp_path: Path, value: str) -> None:
    path = tmp_path / "bench.toml"
    path.write_text(GOOD.replace("feed = 3000", f"feed = 3000\nkeep_outs = {value}"))
    with pytest.raises(ProfileError, match="keep_outs"):
        Machine.load(path)
