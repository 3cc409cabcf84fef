from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, ProfileError, UnknownName
from plotlib.gcode.writer import text_of
from plotlib.machine import Axis, Machine, SolenoidLift
from plotlib.planning.plan import plan

FIELDS: dict[str, Any] = {
    "pull": "M3 S255",
    "hold": "M3 S70",
    "release": "M5",
    "pull_time": 0.05,
    "holds": "down",
    "settle_up": 0.2,
    "settle_down": 0.1,
}


def coil(**changes: Any) -> SolenoidLift:
    return SolenoidLift(**{**FIELDS, **changes})


def bench(lift: SolenoidLift, **changes: Any) -> Machine:
    axis = Axis(9_000)
    return Machine(
        width=100, height=80, x=axis, y=axis, feed=3_000, lift=lift, comments=False, **changes
    )


def body(machine: Machine) -> list[str]:
    lines = text_of(plan(Drawing([[(1, 2), (5, 2)]]), machine)).splitlines()
    return lines[lines.index("G94") + 1 :]


def test_a_pen_that_power_holds_down_word_for_word() -> None:
    assert body(bench(coil())) == [
        "M5", "G4 P0.2",
        "G0 X1.000 Y2.000", "M3 S255", "G4 P0.05", "M3 S70", "G4 P0.1",
        "G1 X5.000 F3000", "M5", "G4 P0.2",
        "G0 X0.000 Y0.000", "M2",
    ]  # fmt: skip


def test_a_pen_that_power_holds_up_word_for_word() -> None:
    """No M2: a program end stops the spindle (NISTIR 6556, 3.6.1), and the pen would fall."""
    assert body(bench(coil(holds="up"), dwell="milliseconds")) == [
        "M3 S255", "G4 P50", "M3 S70", "G4 P200",
        "G0 X1.000 Y2.000", "M5", "G4 P100",
        "G1 X5.000 F3000", "M3 S255", "G4 P50", "M3 S70", "G4 P200",
        "G0 X0.000 Y0.000",
    ]  # fmt: skip


def test_the_time_of_a_change_is_that_of_its_waits() -> None:
    down = coil()
    assert down.seconds_down == pytest.approx(0.15)
    assert down.seconds_up == pytest.approx(0.2)
    up = coil(holds="up")
    assert up.seconds_down == pytest.approx(0.1)
    assert up.seconds_up == pytest.approx(0.25)
    drawn = Drawing([[(1, 2), (5, 2)]])
    slow = plan(drawn, bench(coil(pull_time=1.05))).duration
    assert slow - plan(drawn, bench(down)).duration == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("changes", "words", "name"),
    [
        ({"hold": "m3 s255 (hold)"}, "pull and hold are both", "lift hold"),
        ({"release": "M3 S70"}, "hold and release are both", "lift release"),
        (
            {"hold": "S255"},
            "leave the same state: the coil would be held at full power",
            "lift hold",
        ),
        ({"release": "S70 M3"}, "leave the same state", "lift down"),
        ({"pull": "M42 P4 S255"}, "is not made of the spindle words", "lift pull"),
        ({"release": "S0"}, "lift release 'S0' holds S alone", "lift release"),
        ({"pull": "S255", "hold": "M3 S70"}, "lift pull 'S255' holds S alone", "lift pull"),
        ({"pull": ("M3 S100", "M3 S255")}, "lift pull must be one line", "lift pull"),
        ({"pull": "M3 S255 G4 P0.1"}, "lift pull 'M3 S255 G4 P0.1' holds a wait", "lift pull"),
        ({"pull": "M3 X5"}, "would move the carriage", "lift pull"),
        ({"release": "M2"}, "stops the program", "lift release"),
        ({"release": "G4"}, "does nothing", "lift release"),
        ({"pull_time": 0}, "pull_time must be from 0.001 to 2", "pull_time"),
        ({"pull_time": 50}, "pull_time must be from 0.001 to 2", "pull_time"),
        ({"settle_down": 200}, "not milliseconds", "settle_down"),
    ],
)
def test_what_no_coil_bears_is_refused(changes: dict[str, Any], words: str, name: str) -> None:
    with pytest.raises(InvalidValue, match=words) as caught:
        coil(**changes)
    assert caught.value.facts["name"] == name


def test_the_state_that_power_holds_is_up_or_down() -> None:
    with pytest.raises(UnknownName, match="holds must be one of 'up', 'down'; got 'in'"):
        coil(holds="in")


def test_a_program_end_may_follow_where_no_power_holds_the_pen_up() -> None:
    assert bench(coil()).epilogue == ("M2",)
    assert bench(coil(holds="up")).epilogue == ()
    other = coil(pull="Q2", hold="Q1", release="Q0", holds="up")
    assert bench(other).epilogue == ("M2",)
    with pytest.raises(InvalidValue, match="stops the spindle"):
        bench(coil(holds="up"), epilogue="M2")


@pytest.mark.parametrize(
    ("holds", "part", "lines"),
    [
        ("up", "prologue", ("M3 S255", "G28")),
        ("up", "epilogue", "M3 S255"),
        ("up", "epilogue", "M5"),
        ("down", "prologue", "M3 S255"),
        ("down", "prologue", ("M3 S255", "M3 S70")),
        ("down", "epilogue", ("M3 S255", "M3 S70")),
        ("down", "epilogue", "M3 S255"),
    ],
)
def test_no_declared_line_leaves_the_coil_at_full_power_or_the_pen_down(
    holds: str, part: str, lines: Any
) -> None:
    with pytest.raises(InvalidValue, match="no program of the machine"):
        plan(Drawing([[(1, 2), (5, 2)]]), bench(coil(holds=holds), **{part: lines}))


def test_a_prologue_may_pull_and_hold_the_pen_up() -> None:
    lines = body(bench(coil(holds="up"), prologue=("M3 S255", "G4 P0.05", "M3 S70")))
    assert lines[:4] == ["M3 S255", "G4 P0.05", "M3 S70", "G4 P0.2"]


def test_it_is_saved_and_loaded(tmp_path: Path) -> None:
    path = tmp_path / "coil.toml"
    machine = bench(coil(holds="up"))
    machine.save(path)
    assert 'kind = "solenoid"' in path.read_text()
    assert Machine.load(path) == machine
    path.write_text(path.read_text().replace("pull_time = 0.05", "pull_time = 50"))
    with pytest.raises(ProfileError, match="pull_time must be from") as caught:
        Machine.load(path)
    assert caught.value.key == "pull_time"
