from __future__ import annotations

import math
import tracemalloc
from typing import Any

import numpy as np
import pytest
from oracles_gcode import RAMP, ZED, bench
from shapely import box

from plotlib.errors import GcodeError
from plotlib.gcode.envelope import excess
from plotlib.gcode.reader import read
from plotlib.gcode.reading.tolerances import TOLERANCES
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Axis, KeepOut, Machine, ServoLift
from plotlib.testing import assert_on_bed


def plain(**changes: Any) -> Machine:
    """A servo machine whose controller counts as the bed does."""
    values: dict[str, Any] = {
        "x": Axis(10_000),
        "y": Axis(4_000),
        "zero": (0, 0),
        "home": (0, 0),
        "park": (0, 0),
        "epilogue": (),
    }
    return bench(**values | {"width": 400, "height": 400} | changes)


START = "G21 G90 G17 G94\nM5\n"


def run(text: str, machine: Machine | None = None, *ignore: str) -> Toolpath:
    return read(START + text + "\n", plain() if machine is None else machine, ignore=ignore)


def ends(text: str, *ignore: str) -> list[list[float]]:
    return run(text, None, *ignore).moves.end.tolist()


def fault(text: str, reason: str, machine: Machine | None = None) -> GcodeError:
    with pytest.raises(GcodeError, match=reason) as caught:
        run(text, machine)
    return caught.value


def test_straight_moves_are_modal_in_word_axis_and_feed() -> None:
    path = run("G0 X10 Y20\nX30\nM3 S90\nG1 Y25 F600\nX40 Y40\nF300 X50\nM5")
    assert path.moves.end.tolist() == [[10, 20], [30, 20], [30, 25], [40, 40], [50, 40]]
    assert path.moves.start.tolist() == [[0, 0], [10, 20], [30, 20], [30, 25], [40, 40]]
    assert path.moves.rapid.tolist() == [True, True, False, False, False]
    assert path.moves.down.tolist() == [False, False, True, True, True]
    np.testing.assert_array_equal(path.moves.feed, [math.nan, math.nan, 600, 600, 300])
    assert path.moves.line.tolist() == [3, 4, 6, 7, 8]
    assert [stroke.tolist() for stroke in path.drawing] == [
        [[30, 20], [30, 25], [40, 40], [50, 40]]
    ]
    assert path.travel == pytest.approx(math.hypot(10, 20) + 20)
    assert path.lifts == 1


def test_incremental_words_add_to_where_the_carriage_is() -> None:
    assert ends("G0 X10 Y10\nG91 X5\nY-3\nG90 X1") == [[10, 10], [15, 10], [15, 7], [1, 7]]


def test_inches_scale_places_and_feeds() -> None:
    path = run("G20\nG1 X1 Y-0.5 F10\nG21 X10", plain(zero=(0, 100), home=(0, 100)))
    assert path.moves.end.tolist() == [[25.4, 87.3], [10, 87.3]]
    assert path.moves.feed.tolist() == [254, 254]


def test_controller_coordinates_are_turned_into_bed_coordinates() -> None:
    machine = plain(zero=(10, 80), home=(10, 80), y=Axis(4_000, reversed=True))
    assert run("G0 X5 Y30", machine).moves.end.tolist() == [[15, 50]]
    assert run("G0 X5 Y30", machine).moves.start.tolist() == [[10, 80]]


def test_g92_moves_the_coordinates_and_not_the_carriage() -> None:
    assert ends("G0 X4\nG92 X7\nG0 X9") == [[4, 0], [6, 0]]
    assert ends("G0 X4\nG92 X7\nG91 G92 X9\nG90 G0 X9 Y1") == [[4, 0], [4, 1]]
    assert ends("G0 X4 Y4\nG92 X0 Y0\nG0 X1 Y1\nG92.1\nG0 X1 Y1") == [[4, 4], [5, 5], [1, 1]]
    fault("G92", "G92 needs X, Y or Z")
    fault("G1 G92 X1 F100", "each on its own line")
    fault("G92.3", "earlier program")


def test_a_dwell_waits_before_the_move_of_its_line_and_counts_as_declared() -> None:
    path = run("G4 P0.5 G0 X1\nG4 P2")
    assert path.dwells.seconds.tolist() == [0.5, 2]
    assert path.dwells.line.tolist() == [3, 4]
    assert run("G4 P500", plain(dwell="milliseconds")).dwells.seconds.tolist() == [0.5]
    fault("G4", "G4 needs P")
    fault("G4 P-1", "at least 0")
    fault("P1", "P without G4")


def test_inverse_time_feeds_belong_to_one_move() -> None:
    path = run("G93\nG1 X100 F20\nG0 X0\nG1 X50 F20")
    np.testing.assert_allclose(path.moves.feed, [2000, math.nan, 1000])
    fault("G93\nG1 X100 F20\nX50", "under G93 every G1 line needs its own F")
    fault("G1 X1 F100\nG93\nG94\nX2", "without a feed")


@pytest.mark.parametrize(
    ("text", "reason", "line"),
    [
        ("X1", "no motion word is in force", 3),
        ("G0 X1\nG80\nX2", "no motion word is in force", 5),
        ("G1 X1", "G1 without a feed", 3),
        ("G1 X1 F0", "G1 without a feed", 3),
        ("G1 X1 F-5", "negative", 3),
        ("G0", "G0 without X, Y or Z", 3),
        ("G0 X1 I3", "I without an arc", 3),
        ("R3", "R without an arc", 3),
        ("M3 S-1", "negative", 3),
        ("G28", "G28 is unknown here, or leaves the position unknown", 3),
        ("G53 G0 X1", "G53 changes what coordinates mean", 3),
        ("G18", "G18 changes what coordinates mean", 3),
        ("Q7", "Q7 is unknown here", 3),
        ("G1 X1 E5 F100", "E5 is unknown here", 3),
        ("T1 M6", "changes no tools", 3),
        ("G0 Z4", "pen is on a servo", 3),
        ("@H", "cannot read", 3),
        ("G0 X1\nG0 G1", "both are motion words", 4),
    ],
)
def test_faults_name_the_line_and_what_to_do(text: str, reason: str, line: int) -> None:
    error = fault(text, reason)
    assert error.line == line
    assert str(error).startswith(f"line {line}")


def test_units_and_distance_are_said_before_anything_moves() -> None:
    for start, reason in (
        ("G90 G0 X1", "nothing says the unit yet"),
        ("G21 G0 X1", "nothing says the distance mode yet"),
    ):
        with pytest.raises(GcodeError, match=reason):
            read(f"M5\n{start}\n", plain())
    assert read("M5\nG0 X1\n", plain(), ignore="unsaid modes").bounds == (0, 0, 1, 0)
    assert read("M5\nG0 X1\n", plain(setup=("G17",))).bounds == (0, 0, 1, 0)


def test_nothing_moves_before_the_pen_is_known_to_be_up() -> None:
    with pytest.raises(GcodeError, match="line 2: moves before the pen is known to be up"):
        read("G21 G90\nG0 X1\n", plain())
    assert read("G21 G90\nG0 X1\n", plain(), ignore=["unsaid pen"]).travel == 1
    with pytest.raises(GcodeError, match="line 2: moves before"):
        read("G21 G90\nG0 X1\nG0 Z4\n", plain(lift=ZED))
    assert read("G21 G90\nG0 Z4\nG0 X1\n", plain(lift=ZED)).travel == 1


def test_the_spindle_tells_where_a_servo_stands() -> None:
    assert len(run("M3 S90\nM5\nM3 S40\nM5\nM4 S90\nM5")) == 3, "whatever is not exactly up is down"
    assert run("M3 S90").finish.end_down is True
    assert run("M3 S90").lifts == 0
    assert run("M3 S90\nM2").lifts == 1, "a program end stops the spindle"
    low = plain(lift=ServoLift("M3 S40", "M3 S90"))
    path = read("G21 G90\nM3 S40\nG0 X5\nM2\n", low)
    assert len(path) == 1, "a program end drops this pen"
    assert path.finish.end_down is True
    assert len(read("G21 G90\nM3 S40\nG0 X5\nS41\nS40\n", low)) == 1, (
        "S alone turns a running spindle"
    )


def test_a_speed_that_the_lift_does_not_say_is_the_one_in_force() -> None:
    machine = plain(lift=ServoLift("M3", "M5"), setup=("G21", "G90", "S30"))
    path = read("G21\nG90\nS30\nM3\nG0 X1\nM5\nM3\nS20\nM3\nG0 X2\n", machine)
    assert [stroke.tolist() for stroke in path.drawing] == [[[1, 0]], [[1, 0], [2, 0]]]


def test_lifts_of_unknown_words_count_when_said_in_full() -> None:
    text = (
        "M42 P40\nM42 P30\nG0 X5\nM42 P60\nM42 P90\nG1 X9 F100\nm42p40 (rise)\n\nN7 M42 P30\nG0 X0"
    )
    path = read("G21 G90\n" + text + "\n", plain(lift=RAMP))
    assert [stroke.tolist() for stroke in path.drawing] == [[[5, 0], [9, 0]]]
    half = read("G21 G90\n" + text.replace("N7 M42 P30\n", "") + "\n", plain(lift=RAMP))
    assert half.finish.end_down is True
    with pytest.raises(GcodeError, match="before the pen is known to be up"):
        read("G21 G90\nM42 P40\nG0 X5\nM42 P30\n", plain(lift=RAMP))


def test_a_ramp_with_something_in_between_is_not_the_declared_one() -> None:
    text = (
        "G21 G90\nM42 P40\nM42 P30\nG0 X5\nM42 P60\nM42 P90\nM42 P40\nG1 X9 F100\nM42 P30\nG0 X3\n"
    )
    assert read(text, plain(lift=RAMP)).finish.end_down is True


def test_z_is_up_only_at_the_declared_height() -> None:
    path = read("G21 G90\nG0 Z4\nX5\nG1 Z3.999 F100\nX6\nZ4\nX7\nZ5\nZ4\n", plain(lift=ZED))
    assert [stroke.tolist() for stroke in path.drawing] == [[[5, 0], [6, 0]], [[7, 0]]]
    slope = read("G21 G90\nG0 Z4\nX5\nG1 X10 Z-0.5 F100\nX20\nX25 Z4\n", plain(lift=ZED))
    assert [stroke.tolist() for stroke in slope.drawing] == [[[5, 0], [10, 0], [20, 0], [25, 0]]]
    high = read("G21 G90\nG0 Z4\nG92 Z0\nG0 Z-4.5\nX1 F5\nZ0\n", plain(lift=ZED))
    assert [stroke.tolist() for stroke in high.drawing] == [[[0, 0], [1, 0]]]


def test_declared_lines_are_legal_in_their_place_only() -> None:
    machine = plain(
        prologue=("@H", "Q7 ready"), setup=("G21", "G90", "Q5 P500"), epilogue=("Q9 ; rest",)
    )
    head = "@H\nQ7 ready\nG21\nG90\nq5p500\n"
    tail = "Q9\n"
    path = read(head + "M5\nG0 X5 Y6\nM3 S90\nG1 X9 F100\nM5\n" + tail, machine)
    assert path.places.prologue == (1, 2)
    assert path.places.setup == (3, 4, 5)
    assert path.places.epilogue == (11,)
    assert path.bounds == (5, 6, 9, 6), "after Q5 nobody knows where the carriage stands"
    with pytest.raises(GcodeError, match="line 7, column 1: cannot read '@H'"):
        read(head + "M5\n@H\nG0 X1 Y1\n" + tail, machine)
    with pytest.raises(GcodeError, match="line 7: Q9 is unknown"):
        read(head + "M5\nQ9\nG0 X1 Y1\n" + tail, machine)
    assert read("G21 G90\nM5\nG0 X1\n", machine).places.prologue is None


def test_after_unknown_words_nothing_draws_before_an_absolute_move() -> None:
    machine = plain(setup=("G21", "G90", "G28"))
    head = "G21\nG90\nG28\nM5\n"
    with pytest.raises(GcodeError, match="line 5: lowers the pen at an unknown place"):
        read(head + "M3 S90\nM5\n", machine)
    with pytest.raises(GcodeError, match="line 6: lowers the pen at an unknown place"):
        read(head + "G0 X5\nM3 S90\nM5\n", machine)
    with pytest.raises(GcodeError, match="line 5: a step along X from an unknown place"):
        read(head + "G91 G0 X5 Y5\nM3 S90\nM5\n", machine)
    path = read(head + "G0 X5 Y7\nM3 S90\nG1 X6 F100\nM5\n", machine)
    assert path.moves.start.tolist() == [[5, 7], [5, 7]], "a move from nowhere starts at its end"
    assert path.bounds == (5, 7, 6, 7)


def test_the_prologue_ends_at_home_with_the_pen_up() -> None:
    machine = plain(prologue=("@H",), home=(30, 40))
    assert read("@H\nG21 G90\nM5\nG0 X31 Y40\n", machine).moves.start.tolist() == [[30, 40]]
    with pytest.raises(
        GcodeError, match="line 2: the prologue leaves X at 3, but the machine's home is 30"
    ):
        read("@H\nG0 X3 Y40\nG21 G90\n", plain(prologue=("@H", "G0 X3 Y40"), home=(30, 40)))
    with pytest.raises(GcodeError, match="the prologue lowers the pen"):
        read("M3 S90\nG21 G90\nM5\n", plain(prologue=("M3 S90",)))


def test_the_program_end_is_the_end() -> None:
    fault("M2\nG0 X1", "the program ended on line 3: this is never run")
    assert run("M2\n(only a comment)\n\n").bounds is None
    assert run("M30\nG0 X1 ? what", None, "text after the end").bounds is None
    with pytest.raises(GcodeError, match="the program does not end"):
        read("G21 G90\nM5\n", plain(epilogue=("M2",)))
    assert len(read("G21 G90\nM5\n", plain(epilogue=("M2",)), ignore=["missing end"])) == 0


def test_percent_signs_come_in_pairs() -> None:
    machine = plain(epilogue=("M2",))
    assert read("%\nG21 G90\nM5\nG0 X1\n%\nanything at all ???\n", machine).travel == 1
    with pytest.raises(GcodeError, match="only one %"):
        read("%\nG21 G90\nM5\nM2\n", machine)
    with pytest.raises(GcodeError, match="line 2: a % in the middle"):
        read("G21 G90\n%\nM5\n%\n", machine)


def test_stops_part_the_strokes_into_pens_and_keep_their_message() -> None:
    path = run(
        "M3 S90\nM5\nG0 X5\n(MSG, the blue one)\nM0\nM5\nM3 S90\nG1 X6 F100\nM5\nM0 (MSG, no "
        "more)\nM3 S90\nM5"
    )
    assert [pen.name for pen in path.drawing.pens] == ["pen 1", "pen 2", "pen 3"]
    assert path.drawing.pen_index.tolist() == [0, 1, 2]
    assert path.stops.messages == ("the blue one", "no more")
    assert path.stops.line.tolist() == [7, 12]
    assert path.stops.place.tolist() == [[5, 0], [6, 0]]
    assert [pen.name for pen in run("M3 S90\nM5").drawing.pens] == ["pen"]


def test_arcs_bulge_beyond_their_ends() -> None:
    path = run("G0 X10 Y20\nM3 S90\nG2 X30 I10 F600\nG3 X20 Y30 R-10\nM5")
    left, bottom, right, top = path.bounds or (0, 0, 0, 0)
    assert (left, bottom) == (0, 0)
    assert top == pytest.approx(40, abs=1e-9), (
        "G3 by R-10 from (30, 20) to (20, 30) turns about (30, 30)"
    )
    assert right == pytest.approx(40, abs=1e-9)
    assert path.ink == pytest.approx(10 * math.pi + 15 * math.pi, rel=1e-9)
    half = run("G0 X10 Y20\nM3 S90\nG2 X30 Y20 I10 F600")
    assert half.drawing.bounds == pytest.approx((10, 20, 30, 30), abs=1e-9)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("G2 X5 F100", "needs I or J, the way to the centre, or R"),
        ("G2 I5 F100", "G2 without X, Y or Z"),
        ("G2 X5 I2 R3 F100", "not both"),
        ("G2 X10 I4.99 F100", "may differ by 0.002 mm"),
        ("G2 X10 R4 F100", "does not reach"),
        ("G2 X0 R4 F100", "may not end where it starts"),
        ("G2 X5 I2.5", "without a feed"),
        ("G2 X0 I0 J0 F100", "centre is its start"),
    ],
)
def test_arcs_that_cannot_be_are_refused(text: str, reason: str) -> None:
    fault(text, reason)


def test_the_radius_rule_is_wider_in_inches_and_can_be_overlooked() -> None:
    assert len(ends("G2 X10 I4.999 F100")) > 1
    assert len(ends("G20\nG2 X10 I4.9999 F100")) > 1, "0.0002 in"
    assert len(ends("G2 X10 I4.9 F100", "arc radii")) > 1


def test_what_can_be_overlooked() -> None:
    text = "G0 X1 ; there\n/G0 X2\nT1 M6\nQ7\nG1 X3\nG1 F100\nG0 Z9\nE4\n"
    names = (
        "semicolon comments",
        "deleted lines",
        "tool words",
        "unknown words",
        "missing feeds",
        "idle motion words",
        "z words",
    )
    assert ends(text, *names) == [[1, 0], [3, 0]]
    for name in set(names) - {"deleted lines"}:
        with pytest.raises(GcodeError):
            run(text, None, *(other for other in names if other != name))
    assert ends("G0 X1\n/G0 X2") == [[1, 0], [2, 0]]
    with pytest.raises(GcodeError, match="300 characters"):
        run("(" + "a" * 298 + ")")
    assert ends("(" + "a" * 298 + ")", "long lines") == []


def test_an_ignored_g_word_loses_the_place() -> None:
    with pytest.raises(GcodeError, match="line 5: lowers the pen at an unknown place"):
        run("G0 X5 Y5\nG28 X0\nM3 S90\nM5", None, "unknown words")
    assert ends("G0 X5 Y5\nG28 X0\nG0 X1 Y2", "unknown words") == [[5, 5], [1, 2]]
    with pytest.raises(GcodeError, match="G55 changes what coordinates mean"):
        run("G55", None, "unknown words")


@pytest.mark.parametrize(
    "text",
    [
        "G0 X5.2 Y5\nG92 X1.1\nG3 X1.1 Y5 I0 J-10 F100",
        "G0 X5.2 Y5\nG0 X0.1\nG91 G0 X0.2\nG90 G3 X0.3 Y5 I0 J-10 F100",
        "G20 G0 X0.7 Y0.2\nG91 G0 X0.1\nG90 G3 X0.8 Y0.2 I0 J-0.4 F100",
    ],
)
def test_a_circle_whose_ends_differ_in_the_last_bit_is_a_circle(text: str) -> None:
    machine = plain()
    path = run(text, machine)
    over = excess(path, machine)
    assert over is not None
    assert over.side == "bottom"
    assert over.excess == pytest.approx(15.0 if "G20" not in text else 15.24, abs=1e-9)


def test_a_circle_too_small_for_floats_has_no_length_rather_than_nan() -> None:
    path = run("G0 X5 Y5\nM3 S90\nG2 X5 Y5 I0.000000000000001 F100\nM5")
    assert path.ink == pytest.approx(0.0, abs=1e-12)


def test_an_endless_arc_is_refused_before_its_chords_are_laid() -> None:
    tracemalloc.start()
    with pytest.raises(GcodeError, match="the arc is 628,318 m long, far off the bed"):
        run("G3 X10 Y10 I100000000 F100", None, "arc radii")
    assert tracemalloc.get_traced_memory()[1] < 2e6
    tracemalloc.stop()
    tracemalloc.start()
    run("G2 X0 Y0 I15900 F100")
    assert tracemalloc.get_traced_memory()[1] < 3e6, "as long as arcs may be"
    tracemalloc.stop()
    wide = plain(width=1e6, height=1e6)
    assert len(run("G3 X0 Y0 I30000 F100", wide).moves.line) > 1_000, "on a bed so large"


@pytest.mark.parametrize("letter", list("XYZFSPIJRQGM"))
def test_numbers_beyond_floats_are_refused_with_line_and_column(letter: str) -> None:
    for digits in (16, 310, 5_000):
        with pytest.raises(GcodeError, match=r"line 3, column 5: the number after") as caught:
            run(f" G1 {letter}{'9' * digits} F100", None, "long lines", "unknown words")
        assert (caught.value.line, caught.value.column) == (3, 5)


def test_places_beyond_all_machines_are_refused() -> None:
    fault("G0 X1000000001", "X leads to 1e.09 mm, farther than any machine")
    fault("G0 Y999999999\nG91 Y-999999999\nY-999999999\nY-5", "Y leads to -1e.09 mm")
    with pytest.raises(GcodeError, match="Z leads to"):
        read("G21 G90\nG0 Z9999999999999\n", plain(lift=ZED))


LOST = ("G21", "G90", "M220 S100")
LOST_HEAD = "G21\nG90\nM220 S100\nM5\n"


@pytest.mark.parametrize(
    ("move", "side", "by"),
    [
        ("G0 X9999", "right", 9_599),
        ("G0 Y-3", "bottom", 3),
        ("G0 X5\nX401", "right", 1),
        ("G0 Y5\nG92 Y0\nG0 Y400", "top", 5),
    ],
)
def test_half_a_place_is_checked_along_its_axis(move: str, side: str, by: float) -> None:
    machine = plain(setup=LOST)
    path = read(LOST_HEAD + move + "\n", machine)
    over = excess(path, machine)
    assert over is not None
    assert (over.side, over.excess) == (side, pytest.approx(by))
    assert over.line == 4 + len(move.split("\n"))
    assert "unknown" in over.where
    with pytest.raises(AssertionError, match=f"on the {side}; smallest culprit: line {over.line}"):
        assert_on_bed(LOST_HEAD + move + "\n", machine)
    assert_on_bed(LOST_HEAD + "G0 X400\nG0 Y3\n", machine)


def test_bounds_hold_half_known_places() -> None:
    bounds = read(LOST_HEAD + "G0 X9999\n", plain(setup=LOST)).bounds
    assert bounds is not None
    assert bounds[::2] == (9_999, 9_999)
    assert math.isnan(bounds[1])


def test_a_step_from_an_unknown_place_is_refused() -> None:
    with pytest.raises(GcodeError, match="line 6: a step along X from an unknown place"):
        read(LOST_HEAD + "G91\nG0 X5000\n", plain(setup=LOST))
    with pytest.raises(GcodeError, match="line 7: a step along Y from an unknown place"):
        read(LOST_HEAD + "G0 X5\nG91\nG0 X50 Y5000\n", plain(setup=LOST))
    homing = plain(prologue=("G91", "G0 X-500 Y-500", "G90"))
    assert len(read("G91\nG0 X-500 Y-500\nG90\nG21\nG90\nM5\n", homing)) == 0, (
        "the owner's way of finding home"
    )


def test_an_epilogue_is_followed_after_words_that_lose_the_place() -> None:
    machine = plain(epilogue=("G28", "G0 X9999"))
    text = START + "G0 X5\nG28\nG0 X9999\n"
    with pytest.raises(AssertionError, match=r"9599.000 mm on the right; .* line 5"):
        assert_on_bed(text, machine)
    beside = plain(epilogue=("Q9 G0 X9999",))
    with pytest.raises(AssertionError, match=r"9599.000 mm on the right; .* line 4"):
        assert_on_bed(START + "G0 X5\nQ9 G0 X9999\n", beside)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("G81 X9999", "G81 may move the carriage or change what coordinates mean"),
        ("G52 X500", "G52 may move"),
        ("G90.1", "G90.1 may move"),
        ("G38.2 X500", "G38.2 may move"),
        ("G28.1 X500", "G28.1 may move"),
        ("M206 X500", "M206 .* X"),
        ("M98 P2", "M98 runs other lines"),
        ("G0 U500", "U may move"),
        ("G28 G0 X5", "G28 and G0 on one line"),
        ("G28 G92 X5", "G28 and G92 on one line"),
        ("@H", "cannot read '@H'"),
    ],
)
def test_words_that_may_move_are_never_ignored(text: str, reason: str) -> None:
    machine = plain(prologue=("@H",))
    program = "@H\n" + START + f"G0 X1 Y1\n{text}\nG0 X5 Y5\n"
    with pytest.raises(GcodeError, match=reason) as caught:
        read(program, machine, ignore=TOLERANCES)
    assert caught.value.line == 5


def test_an_ignored_reference_move_passes_its_axis_words() -> None:
    with pytest.raises(AssertionError, match=r"8600.000 mm on the right"):
        assert_on_bed(START + "G28 X9000\n", plain(), ignore=["unknown words"])
    assert ends("G98 G0 X5 Y5\nG28 X0 Y0\nG99\nG0 X1 Y2", "unknown words") == [[5, 5], [1, 2]]


def test_offsets_beside_unknown_words_are_refused() -> None:
    machine = plain(setup=("G21", "G90", "Q7 G92 X50"))
    with pytest.raises(GcodeError, match="line 3: G92 beside Q7"):
        read("G21\nG90\nQ7 G92 X50\nM5\nG0 X5 Y5\n", machine)


def test_after_unknown_declared_words_motion_and_feed_are_said_again() -> None:
    machine = plain(setup=("G21", "G90", "Q5"), prologue=("G1 F500",))
    head = "G1 F500\nG21\nG90\nQ5\nM5\n"
    with pytest.raises(GcodeError, match="line 6: no motion word"):
        read(head + "X5 Y5\n", machine, ignore=["idle motion words"])
    with pytest.raises(GcodeError, match="line 6: G1 without a feed"):
        read(head + "G1 X5 Y5\n", machine, ignore=["idle motion words"])


def test_a_way_from_nowhere_may_lead_over_a_closed_keep_out() -> None:
    closed = [KeepOut(box(50, 50, 60, 60), passable=False)]
    text = LOST_HEAD + "G0 X5 Y5\n"
    assert_on_bed(text, plain(setup=LOST, keep_outs=[box(50, 50, 60, 60)]))
    with pytest.raises(GcodeError, match=r"line 5: .* may lead over a keep-out"):
        read(text, plain(setup=LOST, keep_outs=closed))
    owned = plain(prologue=("M220 S100", "G0 X0 Y0"), keep_outs=closed)
    assert_on_bed("M220 S100\nG0 X0 Y0\nG21\nG90\nM5\nG0 X5 Y5\n", owned)


def test_an_arc_may_be_as_long_as_the_longest_on_the_bed(monkeypatch: pytest.MonkeyPatch) -> None:
    """A circle of radius 400 is as long as pi times the sides of 400 and 400."""
    monkeypatch.setattr("plotlib.gcode.reading.carriage._LONGEST_ARC", 0.0)
    run("G0 X0 Y0\nG2 X0 Y0 I400 F100")
    with pytest.raises(GcodeError, match="far off the bed"):
        run("G0 X0 Y0\nG2 X0 Y0 I400.001 F100")


def test_plain_lines_after_the_end_are_never_run() -> None:
    """Nor before the second of two % signs, nor where the prologue stands."""
    after = "\n".join(["X1 Y1", "X2 Y2", "X3 Y3"])
    error = fault(f"G0 X5 Y5\nM2\n{after}", "the program ended on line 4: this is never run")
    assert error.line == 5
    path = run(f"G0 X5 Y5\nM2\n{after}", None, "text after the end")
    assert path.moves.end.tolist() == [[5, 5]]
    path = read(f"%\n{START}G0 X5 Y5\nM2\n%\n{after}\n", plain())
    assert path.moves.end.tolist() == [[5, 5]]
