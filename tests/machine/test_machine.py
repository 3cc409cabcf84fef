from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, UnknownName
from plotlib.machine import Axis, KeepOut, Machine, ServoLift, ZLift
from plotlib.testing import machines

SERVO = ServoLift("M5", "M3 S90", 0.2, 0.2)
FIELDS: dict[str, Any] = {
    "width": 225,
    "height": 250,
    "x": Axis(10_000, 500),
    "y": Axis(4_000, 250),
    "lift": SERVO,
    "feed": 3_000,
}


def machine(**changes: Any) -> Machine:
    return Machine(**{**FIELDS, **changes})


def test_defaults() -> None:
    bench = machine()
    assert bench.bed.bounds == (0, 0, 225, 250)
    assert bench.setup == ("G21", "G90", "G17", "G94")
    assert bench.park == bench.home == bench.zero == (0, 0)
    assert bench.epilogue == ("M2",)
    assert machine(home=(5, 6)).park == (5, 6)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"width": 0}, "width must be greater than 0"),
        ({"height": -5}, "height must be greater than 0"),
        ({"width": float("inf")}, "width must be a finite number"),
        ({"width": 215.95, "decimals": 1}, "width 215.95 mm is off the grid of 1 decimals"),
        ({"zero": (0.12345, 0)}, "zero 0.12345 mm is off the grid"),
        ({"home": (226, 0)}, "home .* is off the bed"),
        ({"park": (0, -1)}, "park .* is off the bed"),
        ({"feed": 0}, "feed must be greater than 0"),
        ({"decimals": 7}, "decimals must be from 0 to 6"),
        ({"decimals": 2.5}, "decimals must be a whole number"),
        ({"longest_line": 10}, "longest_line must be from 20"),
        ({"travel_word": "G2"}, "travel_word must be one of 'G0', 'G1'"),
        ({"travel_word": "G1"}, "travel by G1 needs a travel_feed"),
        ({"travel_feed": 500}, "travel by G1 needs a travel_feed"),
        ({"dwell": "minutes"}, "dwell must be one of"),
        ({"prologue": "G28\nG0"}, "one line of printable ASCII"),
        ({"prologue": ["ü"]}, "one line of printable ASCII"),
        ({"prologue": [""]}, "at least one word"),
        ({"prologue": [7]}, "at least one word"),
        ({"epilogue": "M30 (" + "x" * 70 + ")"}, "longest_line allows 70"),
        ({"x": 10_000}, "x must be an Axis"),
        ({"lift": "M5"}, "lift must be a ServoLift or a ZLift"),
        ({"comments": 1}, "comments must be True or False"),
        ({"comments": False, "prologue": "G28 (home)"}, "holds a comment"),
        ({"baud": 0}, "baud must be greater than 0"),
        ({"path_tolerance": -0.1}, "path_tolerance must be at least 0"),
        ({"corner_model": "round"}, "corner_model must be one of 'arc', 'deviation'"),
        ({"look_ahead": 0}, "look_ahead must be at least 1"),
        ({"keep_outs": ["x"]}, "keep-out area"),
        ({"name": ""}, "name must be some text"),
        ({"lift": ServoLift("M3 S30", "M3 S90"), "epilogue": "M2"}, "stops the spindle"),
        ({"lift": ZLift(4.0001, 0, 600)}, "lift up 4.0001 mm is off the grid"),
    ],
)
def test_what_cannot_be_is_refused(changes: dict[str, Any], words: str) -> None:
    with pytest.raises((InvalidValue, UnknownName), match=words):
        machine(**changes)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ((0,), "axis rate"),
        ((-4_000,), "axis rate"),
        ((4_000, 0), "axis acceleration"),
        ((4_000, None, 1), "axis reversed"),
        ((float("inf"),), "axis rate must be a finite number"),
    ],
)
def test_axes_are_checked(values: tuple[Any, ...], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        Axis(*values)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        (("M5", "M5"), "the pen would not move"),
        (("M5", "m 5 (down)"), "the pen would not move"),
        (("M3 S90", "S90 M3"), "the pen would not move"),
        (("", "M5"), "at least one word"),
        ((("M5", "G4 P1"), "(down)"), "does nothing"),
        (("G4 P0.2", "M5"), "does nothing"),
        (("M5 X3", "M3 S90"), "would move the carriage"),
        (("M5", "M3 S90", -1), "settle_up"),
        (("M5", "M3 S90", 0.1, float("nan")), "settle_down"),
        (("M5", "M3 S9\u0660"), "printable ASCII"),
        ((5, "M5"), "at least one word"),
    ],
)
def test_lift_words_are_checked(values: tuple[Any, ...], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        ServoLift(*values)


def test_z_lifts_are_checked() -> None:
    assert ZLift(-3, 2, 600).seconds_down == 0.5
    with pytest.raises(InvalidValue, match="would not move"):
        ZLift(3, 3, 600)
    with pytest.raises(InvalidValue, match="lift feed"):
        ZLift(3, 0, 0)


def test_a_program_end_is_not_sent_where_it_would_drop_the_pen() -> None:
    """NISTIR 6556, 3.6.1: M2 and M30 stop the spindle."""
    assert machine(lift=ServoLift("M3 S30", "M3 S90")).epilogue == ()
    assert machine(lift=ServoLift("M3 S30", "M5")).epilogue == ()
    assert machine(lift=ServoLift("Q30", "Q90")).epilogue == ("M2",)
    assert machine(lift=ZLift(4, 0, 600)).epilogue == ("M2",)


def test_units_round_once_to_the_last_decimal() -> None:
    bench = machine(decimals=2, width=215.9)
    assert bench.to_units([[215.9, 0.005], [0.015, -0.001]]).tolist() == [[21590, 0], [2, 0]]
    assert bench.to_mm(np.array([21590])).tolist() == [215.9]


def test_keep_outs_are_areas() -> None:
    bench = machine(
        keep_outs=[shapely.box(0, 0, 20, 20), KeepOut(shapely.box(50, 50, 60, 60), passable=False)]
    )
    assert [item.passable for item in bench.keep_outs] == [True, False]


@given(machines())
def test_random_machines_lie_on_their_grid(bench: Machine) -> None:
    for value in (bench.width, bench.height, *bench.zero, *bench.home, *bench.park):
        assert bench.to_mm(bench.to_units(value)) == value


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"width": 1e300, "decimals": 0}, "width must be within 1e.08 mm"),
        ({"zero": (1e300, 0)}, "zero.* beyond 1e.09 mm"),
        ({"zero": (0, -1e13)}, "zero.* beyond 1e.09 mm"),
        ({"feed": 1e-9}, "feed must be from 0.001 to 1e.09"),
        ({"feed": 1e300}, "feed must be from 0.001 to 1e.09"),
        ({"travel_word": "G1", "travel_feed": 1e-9}, "travel_feed must be from 0.001"),
        ({"look_ahead": 10**30}, "look_ahead must be from 1 to 1000000"),
        ({"baud": 1e-9}, "baud must be from 1 to"),
        ({"name": "a\nb"}, "name must be some text"),
        ({"name": "\ud800"}, "name must be some text"),
        ({"keep_outs": 5}, "keep_outs must be areas"),
        ({"keep_outs": "box"}, "keep_outs must be areas"),
        (
            {"keep_outs": [shapely.box(5, 5, 6, 90)], "decimals": 0},
            "keep-out 0 is thinner than two units",
        ),
    ],
)
def test_what_no_machine_has_is_refused(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        machine(**changes)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Axis(1e-320),
        lambda: Axis(1e308),
        lambda: Axis(1_000, 1e-300),
        lambda: Axis(1_000, 1e300),
    ],
)
def test_axes_that_no_machine_has_are_refused(make: Any) -> None:
    with pytest.raises(InvalidValue, match=r"must be from 0.001 to 1e\+09"):
        make()


def test_lifts_that_no_machine_has_are_refused() -> None:
    for values in ((1e7, 0, 600), (0, -1e7, 600)):
        with pytest.raises(InvalidValue, match=r"lift (up|down) must be from -1e"):
            ZLift(*values)
    for values in ((1e300, 0, 600), (0, 1e16, 600)):
        with pytest.raises(InvalidValue, match=r"lift (up|down) must be within 1e.08 mm"):
            ZLift(*values)
    with pytest.raises(InvalidValue, match=r"lift feed must be from 0\.001"):
        ZLift(4, 0, 1e-9)
    with pytest.raises(InvalidValue, match=r"settle_up is 1e.300 s.* not milliseconds"):
        ServoLift("M5", "M3", 1e300)
    with pytest.raises(InvalidValue, match=r"settle_down is 1e.300 s.* not milliseconds"):
        ZLift(4, 0, 600, 0, 1e300)


@pytest.mark.parametrize("key", ["settle_up", "settle_down"])
def test_milliseconds_are_not_taken_for_seconds(key: str) -> None:
    ServoLift("M5", "M3 S90", **{key: 10})
    with pytest.raises(InvalidValue, match=f"{key} is 200 s, .* 200 ms are {key}=0.2"):
        ServoLift("M5", "M3 S90", **{key: 200})
    with pytest.raises(InvalidValue, match=f"{key} is 150 s, .* 150 ms are {key}=0.15"):
        ZLift(4, 0, 600, **{key: 150})


def test_a_drawing_is_one_keep_out() -> None:
    clamp = shapely.box(10, 10, 20, 20)
    drawn = Drawing([clamp.exterior])
    bench = machine(keep_outs=drawn)
    assert len(bench.keep_outs) == 1
    assert bench.keep_outs[0].area.equals(clamp)


def test_one_area_is_one_keep_out() -> None:
    area = shapely.box(10, 10, 20, 20)
    assert machine(keep_outs=area) == machine(keep_outs=[area]) == machine(keep_outs=KeepOut(area))


@pytest.mark.parametrize(
    ("changes", "needed", "move"),
    [
        ({}, 30, "G1 X225.000 Y250.000 F3000.000"),
        ({"zero": (225, 250)}, 32, "G1 X-225.000 Y-250.000 F3000.000"),
        ({"decimals": 0}, 22, "G1 X225 Y250 F3000.000"),
        ({"x": Axis(900, reversed=True), "feed": 600}, 30, "G1 X-225.000 Y250.000 F600.000"),
        ({"travel_word": "G1", "travel_feed": 12_000}, 31, "G1 X225.000 Y250.000 F3000.000"),
    ],
)
def test_lines_too_short_for_the_bed_are_refused(
    changes: dict[str, Any], needed: int, move: str
) -> None:
    assert machine(longest_line=needed, **changes).longest_line == needed
    with pytest.raises(InvalidValue, match=f"up to {needed} characters, such as '{move}'"):
        machine(longest_line=needed - 1, **changes)


@pytest.mark.parametrize(
    ("part", "lines", "words"),
    [
        ("setup", "G91", "leave G91 in force"),
        ("setup", ("G90", "G20"), "leave G20 in force"),
        ("setup", ("G21", "G90", "G93"), "leave G93 in force"),
        ("prologue", ("G91", "G20"), "^fine$"),
        ("setup", ("G21", "G90", "G0 X10"), "setup may not move"),
        ("setup", ("G21", "G90", "G1 F500"), "setup may not move"),
        ("setup", ("G21", "G90", "M2"), "M2 in the setup"),
        ("setup", ("G21", "G90", "M0"), "M0 in the setup"),
        ("prologue", "M30", "M30 in the prologue"),
        ("prologue", "M1", "M1 in the prologue"),
        ("epilogue", ("M2", "M5"), "after M2"),
        ("epilogue", "M0", "M0 in the epilogue"),
        ("prologue", "%", "% stands"),
        ("epilogue", ("M2", "%"), "% stands"),
        ("setup", ("%", "G21", "G90"), "% stands"),
        ("prologue", "(ready", "open and close on the same line"),
        ("prologue", "G28 home)", "open and close on the same line"),
        ("prologue", "G28 ; (home", "^fine$"),
        ("epilogue", ("M5", "M2"), "^fine$"),
        ("prologue", ("(M0 and G91 are words", "G28"), "open and close"),
        ("prologue", ("(M0 and G91 are words)", "G28 ; M0"), "^fine$"),
    ],
)
def test_declared_lines_that_no_proof_would_pass_are_refused_at_the_door(
    part: str, lines: Any, words: str
) -> None:
    if words == "^fine$":
        assert getattr(machine(**{part: lines}), part)
        return
    with pytest.raises(InvalidValue, match=words):
        machine(**{part: lines})


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("G28", "would move the carriage"),
        ("G30", "would move the carriage"),
        ("M5 X#1", "would move the carriage"),
        ("X[5]", "would move the carriage"),
        ("/M5", "may be left out"),
        ("M0", "stops the program"),
        ("M30", "stops the program"),
        ("G55", "what coordinates mean"),
        ("G10 L2 P1 Z5", "what coordinates mean"),
        ("G92 Z5", "what coordinates mean"),
        ("G20", "what coordinates mean"),
        ("G91", "what coordinates mean"),
    ],
)
def test_lifts_of_dangerous_words_are_refused(line: str, words: str) -> None:
    for values in ((line, "Q7"), ("Q7", (line, "Q8"))):
        with pytest.raises(InvalidValue, match=words):
            ServoLift(*values)


def test_lifts_may_end_with_the_same_line_where_the_lines_before_differ() -> None:
    lift = ServoLift(("M3 S30", "G4 P0.1"), ("M3 S90", "G4 P0.1"))
    assert lift.up[-1] == lift.down[-1]
    with pytest.raises(InvalidValue, match="the pen would not move"):
        ServoLift(("M3 S30", "M3 S90"), "M3 S90")
    with pytest.raises(InvalidValue, match="the pen would not move"):
        ServoLift("Q5", ("Q4", "Q5"))


def test_a_drawing_as_keep_out_is_closed_or_refused() -> None:
    angle = np.linspace(0, 2 * np.pi, 60)
    clamp = Drawing([np.column_stack((np.cos(angle), np.sin(angle))) * 9 + (60.1, 70.3)])
    assert machine(keep_outs=clamp).keep_outs[0].area.area == pytest.approx(81 * np.pi, rel=5e-3)
    leaky = clamp + Drawing([[(0, 0), (9, 0), (9, 9)]])
    with pytest.raises(
        InvalidValue, match=r"keep-out area .*every stroke.*stroke 1 is open.*12\.7 mm away"
    ):
        machine(keep_outs=[KeepOut(leaky, passable=False)])
    with pytest.raises(InvalidValue, match="keep-out area encloses nothing"):
        machine(keep_outs=[clamp + clamp])
