"""Deliberately broken writers: whatever goes wrong in a program, the proof says what, and where."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import hypothesis.strategies as st
import pytest
from hypothesis import HealthCheck, given, settings
from oracles_gcode import (
    COIL,
    HELD_UP,
    INK,
    RAMP,
    SERVO,
    ZED,
    bench,
    handwritten,
    job,
    replay,
    text,
)
from shapely import box

from plotlib.drawing import Drawing
from plotlib.errors import ProofError
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.writer import text_of
from plotlib.machine import KeepOut, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet

Lines = list[str]
Break = Callable[[Lines], Lines]


def at(lines: Lines, start: str, nth: int = 0) -> int:
    """The index of the nth line that begins so."""
    return [k for k, line in enumerate(lines) if line.startswith(start)][nth]


def without(start: str, nth: int = 0) -> Break:
    return lambda lines: lines[: at(lines, start, nth)] + lines[at(lines, start, nth) + 1 :]


def instead(start: str, new: str, nth: int = 0) -> Break:
    return lambda lines: [*lines[: at(lines, start, nth)], new, *lines[at(lines, start, nth) + 1 :]]


def before(start: str, new: str, nth: int = 0) -> Break:
    return lambda lines: [*lines[: at(lines, start, nth)], new, *lines[at(lines, start, nth) :]]


def changed(old: str, new: str, nth: int = 0) -> Break:
    """The nth line that holds ``old`` with ``new`` in its place."""

    def broken(lines: Lines) -> Lines:
        index = [k for k, line in enumerate(lines) if old in line][nth]
        return [*lines[:index], lines[index].replace(old, new), *lines[index + 1 :]]

    return broken


def blocks(lines: Lines) -> list[slice]:
    """Where each stroke of a servo program stands: travel, pen down, ink, pen up, dwell."""
    downs = [k for k, line in enumerate(lines) if line == "M3 S90"]
    return [
        slice(down - 1, next(k for k in range(down, len(lines)) if lines[k] == "M5") + 2)
        for down in downs
    ]


def lost(lines: Lines) -> Lines:
    block = blocks(lines)[1]
    return lines[: block.start] + lines[block.stop :]


def swapped(lines: Lines) -> Lines:
    one, two = blocks(lines)[:2]
    return lines[: one.start] + lines[two] + lines[one] + lines[two.stop :]


def doubled(lines: Lines) -> Lines:
    block = blocks(lines)[1]
    return lines[: block.stop] + lines[block] + lines[block.stop :]


def turned(lines: Lines) -> Lines:
    """The fourth stroke, one straight line, drawn backwards."""
    block = blocks(lines)[3]
    start = lines[block.start]
    end = lines[block.start + 3]
    away = start.partition(" ")[2]
    back = end.partition(" ")[2].partition(" F")
    out = list(lines)
    out[block.start], out[block.start + 3] = f"G0 {back[0]}", f"G1 {away} F{back[2]}"
    return out


def more_ink(lines: Lines) -> Lines:
    return [*lines, "M3 S90", "G4 P0.1", "G1 X40.000 Y40.000 F100", "M5"]


SERVO_BREAKS: dict[str, tuple[Break, str]] = {
    "a dropped pen-up": (without("M5", 1), "G0 with the pen down"),
    "the last pen-up dropped": (
        lambda lines: without("M5", lines.count("M5") - 1)(lines),
        "G0 with the pen down",
    ),
    "the first pen-up dropped": (without("M5"), "before the pen is known to be up"),
    "a dropped pen-down": (without("M3 S90", 1), "a pen-down is missing"),
    "a lost stroke": (lost, "stroke 1"),
    "swapped strokes": (swapped, "stroke 0, point 0"),
    "a stroke twice": (doubled, "stroke 2"),
    "a stroke backwards": (turned, "stroke 3, point 0"),
    "a shifted point": (
        changed("X10.000 Y70.000", "X10.001 Y70.000"),
        "stroke 0, point 1.*0.001 mm apart",
    ),
    "a shifted start": (
        changed("G0 X20.000 Y50.000", "G0 X20.000 Y49.999"),
        "stroke 1, point 0.*0.001 mm apart",
    ),
    "a repeated point": (
        lambda lines: before("G1 X10", lines[at(lines, "G1 X10")])(lines),
        "stroke 0",
    ),
    "a lost point": (without("G1 X10", 0), "stroke 0"),
    "a missing dwell after pen up": (
        without("G4 P0.2", 2),
        "dwell after pen up is missing or too short: 0 s, settle_up is 0.2",
    ),
    "a missing dwell after pen down": (
        without("G4 P0.1", 1),
        "dwell after pen down is missing or too short: 0 s",
    ),
    "a missing dwell of a dot": (
        without("G4 P0.1", 2),
        "dwell after pen down is missing or too short: 0 s",
    ),
    "a missing dwell after the first pen-up": (without("G4 P0.2"), "dwell after pen up"),
    "a missing dwell after the last pen-up": (
        lambda ls: without("G4 P0.2", ls.count("G4 P0.2") - 1)(ls),
        "dwell after pen up",
    ),
    "a dwell too short": (instead("G4 P0.2", "G4 P0.199", 1), "too short: 0.199 s"),
    "a missing F": (changed(" F2000", ""), "without a feed"),
    "an F too fast for the pen": (
        changed("F2000", "F2001"),
        "F 2001 is too fast: the pen's feed is 2000",
    ),
    "an F too fast for an axis": (
        changed("F3000", "F4100"),
        "F 4100 is too fast: what the axes can do in that direction is 40",
    ),
    "an F of nothing": (changed("F2000", "F0"), "without a feed"),
    "a missing stop": (without("M0"), "a stop is missing before stroke 3"),
    "a stop too many": (
        before("G0 X20.000", "G0 X-5.000 Y10.000\nM0\nG90\nM5\nG4 P0.2"),
        "a stop too many before stroke 1",
    ),
    "a sudden stop": (before("G0", "M0", 2), "pen up is not said again after the stop"),
    "a stop twice": (before("M0", "M0"), "a stop too many before stroke 3"),
    "no pen up after a stop": (
        lambda lines: lines[: at(lines, "M0") + 2] + lines[at(lines, "M0") + 3 :],
        "pen up is not said again",
    ),
    "no G90 after a stop": (
        lambda lines: lines[: at(lines, "M0") + 1] + lines[at(lines, "M0") + 2 :],
        "G90 is not said again",
    ),
    "a stop that is not parked": (
        lambda ls: ls[: at(ls, "M0") - 2] + ls[at(ls, "M0") - 1 :],
        "stops at .*not at the park",
    ),
    "a stop with the pen down": (
        before("G1 ", "M0\nG90"),
        "the feed is not|pen up is not said again",
    ),
    "a stray G91": (before("G0", "G91", 2), "G91: incremental"),
    "inches": (before("G0", "G20", 2), "G20: inches"),
    "inches in the setup": (instead("G21", "G20"), "setup is not in its place"),
    "a missing setup line": (without("G94"), "setup is not in its place"),
    "a setup in another order": (
        lambda ls: before("G21", "G90")(without("G90")(ls)),
        "setup is not in its place",
    ),
    "a stray G92": (before("G0", "G92 X0.000", 2), "G92: it changes the coordinates"),
    "inverse time": (before("G0", "G93", 2), "G93"),
    "minus nothing": (before("M5", "G0 X-0.000 Y0.000", 1), "X-0.000: minus nothing"),
    "decimals too few": (changed("X10.000", "X10.00"), "exactly 3 decimals"),
    "decimals too many": (changed("X10.000", "X10.0000"), "exactly 3 decimals"),
    "a zero too many": (changed("X10.000", "X010.000"), "X010.000"),
    "a line too long": (before("G0", f"({'a' * 80})"), "12 more than the machine's longest_line"),
    "a character that is not ASCII": (before("G0", "(caf\u00e9)"), "not plain ASCII"),
    "a sign that controllers act on": (before("G0", "(ready?)"), "the comment in"),
    "a comment after a semicolon": (before("G0", "; ready"), "the comment in"),
    "a comment inside a comment": (before("G0", "(a (b) c)"), "the comment in"),
    "a Z word on a servo machine": (
        before("G0", "G0 Z4.000"),
        "a Z word, but this machine lifts its pen with a servo",
    ),
    "an arc": (before("M5", "G2 X12.000 Y60.000 I1.000 J0.000", 1), "G2: an arc"),
    "ink by G0": (changed("G1 X10.000", "G0 X10.000"), "G0 with the pen down"),
    "travel by G1": (changed("G0 X20.000", "G1 F500 X20.000"), "travels by G1"),
    "a wrong end": (lambda ls: [*ls[:-2], "G0 X0.000 Y0.000", ls[-1]], "not at the park point"),
    "no way to the park point": (lambda ls: [*ls[:-2], ls[-1]], "not at the park point"),
    "extra ink after the end": (more_ink, "epilogue is not in its place"),
    "extra ink before the end": (
        lambda ls: [*ls[:-1], *more_ink([])[:4], "G4 P0.2", ls[-1]],
        "stroke 5 is not in the plan",
    ),
    "no end": (lambda lines: lines[:-1], "epilogue is not in its place"),
    "an end in the middle": (before("M3 S90", "M2", 2), "M2: a program end before the end"),
    "another spindle speed": (before("G0", "M3 S40", 3), "neither a word that a drawing needs"),
    "a pen lowered by other words": (
        instead("M3 S90", "M3 S80", 1),
        "neither a word that a drawing needs",
    ),
    "a move with the lift": (changed("M3 S90", "M3 S90 X12.000", 1), "neither a word"),
    "off the bed on the right": (before("M5", "G0 X90.001 Y0.000", 1), "G0 with the pen down"),
    "travel off the bed on the right": (
        before("G0", "G0 X90.001 Y0.000", 2),
        "leaves the bed by 0.001 mm on the right",
    ),
    "travel off the bed on the left": (
        before("G0", "G0 X-10.001 Y0.000", 2),
        "leaves the bed by 0.001 mm on the left",
    ),
    "travel off the bed at the top": (
        before("G0", "G0 X0.000 Y-0.001", 2),
        "leaves the bed by 0.001 mm on the top",
    ),
    "travel off the bed at the bottom": (
        before("G0", "G0 X0.000 Y80.001", 2),
        "leaves the bed by 0.001 mm on the bottom",
    ),
    "the wrong pen named": (
        changed("put in pen blue", "put in pen thin"),
        "the stop says 'put in pen thin, 0.8 mm', but the plan is 'put in pen blue, 0.8 mm'",
    ),
    "the wrong width named": (changed("blue, 0.8 mm)", "blue, 0.2 mm)"), "the stop says"),
    "a dwell in milliseconds with the pen down": (
        changed("G4 P0.1", "G4 P100", 1),
        "the dwell after pen down is too long: 100 s, settle_down is 0.1 s",
    ),
    "a dwell in milliseconds with the pen up": (
        changed("G4 P0.2", "G4 P200", 2),
        "the dwell after pen up is too long: 200 s",
    ),
    "a dwell said twice": (before("G4 P0.1", "G4 P0.1", 1), "after pen down is too long: 0.2 s"),
    "an hour in the middle of a stroke": (
        before("G1 X10.000 Y54.500", "G4 P3600"),
        "waits 3600 s where no pen settles",
    ),
    "a dwell between travels": (before("(MSG", "G4 P1"), "waits 1 s where no pen settles"),
    "a dwell after a stop": (before("G90", "G4 P1", 1), "waits 1 s where no pen settles"),
    "a dwell before anything": (before("M5", "G4 P1"), "waits 1 s where no pen settles"),
    "a feed of nearly nothing": (
        changed("F2000", "F0.001"),
        "F 0.001 is too slow: the plan has this stroke at 2000 mm/min",
    ),
    "feeds in mm a second": (
        lambda lines: [line.replace("F2000", "F33.333") for line in lines],
        "F 33.333 is too slow",
    ),
    "a feed one unit too low": (changed("F2000", "F1999.99"), "too slow"),
    "two thousand travels too many": (
        before("G0", "\n".join(["G0 X1.000 Y5.000", "G0 X2.000 Y5.000"] * 1_000), 2),
        r"travels to .11.0, 75.0., which is not in the plan there: it goes to",
    ),
    "a detour": (before("G0", "G0 X1.000 Y5.000", 1), "which is not in the plan"),
    "no motion word after a stop": (
        lambda ls: changed(
            "G0 X",
            "X",
            [k for k, x in enumerate(ls) if "G0 X" in x].index(
                next(k for k in range(at(ls, "M0"), len(ls)) if "G0 X" in ls[k])
            ),
        )(ls),
        "the motion word is not said again after the stop",
    ),
    "a caution left out": (without("(Keep fingers"), "do not say 'Keep fingers, long hair"),
    "another caution left out": (without("(The instructions"), "do not say 'The instructions"),
    "all comments left out": (
        lambda ls: [line for line in ls if line[0] != "(" or "MSG" in line],
        "comments at the beginning do not say 'size",
    ),
    "a wrong size": (changed("size 62.000", "size 26.000"), "do not say 'size 62.000 x 40.000 mm"),
    "a wrong place": (changed("x 10.000 to", "x 1.000 to"), "do not say 'size 62.000"),
    "a wrong number of strokes": (changed("5 strokes", "6 strokes"), "do not say '5 strokes"),
    "a wrong first pen": (changed("Begin with thin", "Begin with blue"), "do not say 'pens: thin"),
    "facts told too late": (
        lambda ls: [*ls[15:19], *ls[:15], *ls[19:]],
        "comments at the beginning do not say 'size",
    ),
    "a percent sign": (lambda lines: ["%", *lines, "%"], "%"),
    "a blank line": (before("G0", ""), "not written as a drawing's lines are"),
    "small letters": (changed("X10.000", "x10.000"), "x10.000"),
}


@pytest.mark.parametrize("name", SERVO_BREAKS)
def test_a_broken_servo_program_is_refused_with_its_reason(name: str) -> None:
    broken, reason = SERVO_BREAKS[name]
    plot = job(bench())
    lines = handwritten(plot)
    assert broken(lines) != lines
    with pytest.raises(ProofError, match=reason):
        prove(text(broken(lines)), plot)


Z_BREAKS: dict[str, tuple[Break, str]] = {
    "a dropped pen-up": (without("G1 Z4", 1), "G0 with the pen down"),
    "half a lift": (
        changed("Z4.000", "Z3.999", 1),
        "Z 3.999 is neither up .4. nor down .-0.5.|G0 with the pen down",
    ),
    "a lift too high": (changed("Z4.000", "Z5.000"), "before the pen is known to be up|neither up"),
    "a fast lift": (changed("F600", "F601", 2), "F 601 is above the lift's feed of 600"),
    "a lift while it moves": (
        changed("Z4.000", "X5.000 Z4.000", 2),
        "moves Z together with X or Y",
    ),
    "a missing dwell": (without("G4 P0.1", 3), "dwell after pen down|dwell after pen up"),
    "a plunge by G0": (
        changed("G1 Z-0.500 F600", "G0 Z-0.500", 1),
        "moves Z by G0; a lift goes by G1 at its own feed of 600",
    ),
    "a rise by G0": (changed("G1 Z4.000 F600", "G0 Z4.000", 2), "moves Z by G0"),
    "a lift in mm a second": (changed("F600", "F10", 1), "F 10 is below the lift's feed of 600"),
}


@pytest.mark.parametrize("name", Z_BREAKS)
def test_a_broken_z_program_is_refused_with_its_reason(name: str) -> None:
    broken, reason = Z_BREAKS[name]
    plot = job(bench(ZED))
    with pytest.raises(ProofError, match=reason):
        prove(text(broken(handwritten(plot))), plot)


HALF = "a part of the lines for pen"

COIL_BREAKS: dict[str, tuple[Break, str]] = {
    "no pull": (without("M3 S255", 1), "not the declared one in full"),
    "no wait for the pull": (
        without("G4 P0.05", 1),
        "the dwell after 'M3 S255' is missing or too short: 0 s, its pause in the lift is 0.05 s",
    ),
    "a wait in milliseconds": (instead("G4 P0.05", "G4 P50", 1), "after 'M3 S255' is too long: 50"),
    "a wait said twice": (before("G4 P0.05", "G4 P0.05"), "after 'M3 S255' is too long: 0.1 s"),
    "a wait too short": (instead("G4 P0.05", "G4 P0.049"), "too short: 0.049 s"),
    "no hold": (without("M3 S70"), "not the declared one in full"),
    "no hold for a dot": (without("M3 S70", 2), "lowered otherwise"),
    "hold before the pull": (
        lambda ls: before("M3 S255", "M3 S70")(without("M3 S70")(ls)),
        "not the declared one in full",
    ),
    "pulled twice": (before("M3 S255", "M3 S255\nG4 P0.05", 1), HALF),
    "pulled again while it is held": (
        before("G1 ", "M3 S255\nG4 P0.05\nM3 S70\nG4 P0.1"),
        "pen down is said again while the pen is down",
    ),
    "full power at the end": (
        lambda ls: [*ls[:-1], "M3 S255", "G4 P0.05", "M5", "G4 P0.2", ls[-1]],
        HALF + "|lowered otherwise",
    ),
    "held again in the middle of a stroke": (before("G1 ", "M3 S70"), "in full|" + HALF),
    "not released": (without("M5", 1), "pen down is said again while the pen is down"),
    "not settled": (without("G4 P0.1", 1), "dwell after pen down is missing or too short: 0 s"),
    "a move at full power": (
        before("M3 S70", "G1 X20.000 Y70.000 F2000"),
        "not the declared one in full",
    ),
    "a stop at full power": (before("M3 S70", "M0"), "not the declared|said again after the stop"),
}


@pytest.mark.parametrize("name", COIL_BREAKS)
def test_a_broken_solenoid_program_is_refused_with_its_reason(name: str) -> None:
    broken, reason = COIL_BREAKS[name]
    plot = job(bench(COIL))
    lines = handwritten(plot)
    prove(text(lines), plot)
    assert broken(lines) != lines
    with pytest.raises(ProofError, match=reason):
        prove(text(broken(lines)), plot)


def test_a_pen_that_power_holds_up_is_pulled_and_held_before_it_counts_as_up() -> None:
    plot = job(bench(HELD_UP))
    lines = handwritten(plot)
    prove(text(lines), plot)
    for broken, reason in (
        (without("M42 P4 S255", 2), HALF + "|in full"),
        (without("M42 P4 S70", 2), "with the pen down|in full"),
        (without("G4 P0.12", 2), "after 'M42 P4 S255' is missing or too short: 0 s"),
        (changed("G4 P0.12", "G4 P1.2", 2), "after 'M42 P4 S255' is too long: 1.2 s"),
        (lambda ls: [*ls, "M42 P4 S255"], "epilogue|not up|part of the lines|in its place"),
    ):
        with pytest.raises(ProofError, match=reason):
            prove(text(broken(lines)), plot)
    number = at(lines, "M0")
    again = [line for line in lines[number : number + 8] if line.startswith("M42")]
    assert again[:2] == ["M42 P4 S255", "M42 P4 S70"]


def test_ink_at_the_feed_of_the_lift_is_refused() -> None:
    plot = job(bench(ZED))
    with pytest.raises(ProofError, match="F 600 is too slow: the plan has this stroke at 3000"):
        prove(text(changed(" F3000", "")(handwritten(plot))), plot)


@pytest.mark.parametrize(
    ("ending", "reason"),
    [
        ("\r\n", "carriage return"),
        ("\r", "carriage return"),
        ("\n\t", "a tab"),
        ("\n\0", "zero byte"),
    ],
)
def test_other_line_ends_and_control_characters_are_refused(ending: str, reason: str) -> None:
    plot = job(bench())
    with pytest.raises(ProofError, match=reason):
        prove(ending.join(handwritten(plot)) + ending, plot)


def test_a_text_without_its_last_line_feed_is_refused() -> None:
    plot = job(bench())
    with pytest.raises(ProofError, match="does not end with a line feed"):
        prove(text(handwritten(plot))[:-1], plot)
    with pytest.raises(ProofError, match="does not end with a line feed"):
        prove("", plot)


PROLOGUES = [
    (bench(prologue=("M3 S90",)), "prologue lowers the pen"),
    (bench(prologue=("@H", "M3 S40")), "prologue lowers the pen"),
    (bench(prologue=("M3 S90", "M5")), "prologue lowers the pen"),
    (bench(RAMP, prologue=("M42 P60", "M42 P90")), "prologue lowers the pen"),
    (bench(RAMP, prologue=("M42 P30",)), "^fine$"),
    (bench(prologue=("@H", "M5")), "^fine$"),
    (bench(RAMP, prologue=("M42 P40", "M42 P30")), "^fine$"),
    (bench(ZED, prologue=("G0 Z-0.5",)), "prologue lowers the pen"),
    (bench(ZED, prologue=("G0 Z4", "G0 Z3.9")), "prologue lowers the pen"),
    (bench(ZED, prologue=("G0 Z10",)), "prologue leaves the pen down"),
    (bench(ZED, prologue=("G0 Z10", "G0 X0 Y0", "G0 Z4")), "^fine$"),
    (
        bench(ZED, prologue=("G0 Z10", "G0 X1 Y0", "G0 Z4")),
        "prologue leaves X at 1, but the machine's home is 0",
    ),
    (bench(ZED, prologue=("G28",)), "^fine$"),
    (bench(prologue=("@H", "G92 X0 Y0")), "^fine$"),
    (bench(prologue=("@H", "G92 X0 Y3")), "prologue leaves Y at 3"),
]


@pytest.mark.parametrize("number", range(len(PROLOGUES)))
def test_a_prologue_may_not_lower_the_pen(number: int) -> None:
    machine, reason = PROLOGUES[number]
    plot = job(machine)
    if reason == "^fine$":
        assert len(prove(text(handwritten(plot)), plot)) == 5
    else:
        with pytest.raises(ProofError, match=reason):
            prove(text(handwritten(plot)), plot)


def test_a_prologue_out_of_place_is_refused() -> None:
    plot = job(bench(prologue=("@H", "Q1")))
    lines = handwritten(plot)
    for broken in (
        without("Q1"),
        without("@H"),
        lambda ls: before("G90", "Q1")(without("Q1")(ls)),
        before("G0", "@H", 1),
    ):
        with pytest.raises(
            ProofError, match=r"prologue is not in its place|neither a word|not written as"
        ):
            prove(text(broken(lines)), plot)


def test_a_pen_up_of_the_prologue_is_no_substitute_for_a_settled_one() -> None:
    plot = job(bench(prologue=("@H", "M5")))
    lines = handwritten(plot)
    first = at(lines, "M5", 1)
    assert lines[first + 1] == "G4 P0.2"
    with pytest.raises(ProofError, match="dwell after pen up is missing"):
        prove(text(lines[:first] + lines[first + 2 :]), plot)


def test_comments_among_the_last_lines_are_looked_at_too() -> None:
    plot = job(bench(epilogue=("M5", "Q9", "M2")))
    lines = handwritten(plot)
    for place in (0, 1, 2):
        inserted = [
            *lines[: len(lines) - place],
            "(one)",
            "(two)",
            "(three)",
            "(four!)",
            *lines[len(lines) - place :],
        ]
        with pytest.raises(ProofError, match="the comment in"):
            prove(text(inserted), plot)
        assert prove(text(inserted).replace("!", ""), plot).lifts == 5


def test_an_epilogue_may_move_as_its_owner_declares() -> None:
    plot = job(bench(epilogue=("M5", "G0 X0 Y0", "M2")))
    assert prove(text(handwritten(plot)), plot).finish.end_place == (10.0, 80.0)
    off = job(bench(epilogue=("G0 X0 Y-1", "M2")))
    with pytest.raises(ProofError, match=r"leaves the bed by 1\.000 mm on the top"):
        prove(text(handwritten(off)), off)


def test_an_epilogue_that_drops_the_pen_is_refused() -> None:
    lift = ServoLift("M3 S40", "M3 S90")
    plot = job(bench(lift, epilogue=("M5",)))
    with pytest.raises(ProofError, match="the epilogue lowers the pen"):
        prove(text(handwritten(plot)), plot)
    assert len(prove(text(handwritten(job(bench(lift)))), job(bench(lift)))) == 5


def test_a_comment_for_a_machine_that_takes_none_is_refused() -> None:
    plot = job(bench(comments=False))
    with pytest.raises(ProofError, match="a comment, which this machine does not take"):
        prove(text(before("G0", "(now)")(handwritten(plot))), plot)


def test_a_dwell_in_the_wrong_unit_is_refused() -> None:
    plot = job(bench(dwell="milliseconds"))
    lines = handwritten(plot)
    assert "G4 P200" in lines
    assert prove(text(lines), plot).dwells.seconds[0] == pytest.approx(0.2)
    with pytest.raises(ProofError, match=r"too short: 0\.0002 s"):
        prove(text(changed("P200", "P0.2")(lines)), plot)


def test_travel_through_a_closed_keep_out_is_refused() -> None:
    closed = KeepOut(box(50, 22, 58, 28), passable=False)
    clear = job(bench(keep_outs=[box(50, 22, 58, 28)]))
    shut = job(bench())
    assert len(prove(text(handwritten(clear)), clear)) == 5
    program = text(before("G0", "G0 X44.000 Y55.000", 3)(handwritten(shut)))
    with pytest.raises(ProofError, match=r"travels to .54.0, 25.0., which is not in the plan"):
        prove(program, shut)
    barred = replace(shut, machine=bench(keep_outs=[closed]))
    with pytest.raises(ProofError, match="through a keep-out") as caught:
        prove(program, barred)
    assert caught.value.line > 0


def test_ramps_count_as_down_until_their_last_line() -> None:
    plot = job(bench(RAMP))
    lines = handwritten(plot)
    assert len(prove(text(lines), plot)) == 5
    for broken in (without("M42 P30", 1), without("M42 P40", 1)):
        with pytest.raises(ProofError, match="not the declared one in full"):
            prove(text(broken(lines)), plot)
    with pytest.raises(ProofError, match="not the declared one in full"):
        prove(text(without("M42 P60", 0)(lines)), plot)
    with pytest.raises(ProofError, match="lowered otherwise than by the declared lines"):
        prove(text(without("M42 P90", 2)(lines)), plot)  # the dot


@pytest.mark.parametrize(
    "machine",
    [
        bench(),
        bench(ZED),
        bench(RAMP),
        bench(COIL),
        bench(HELD_UP),
        bench(travel_word="G1", travel_feed=5_000),
    ],
    ids=["servo", "z", "ramp", "coil", "held up", "G1"],
)
def test_the_packages_own_writer_and_the_hand_written_program_both_pass(machine: Machine) -> None:
    plot = job(machine)
    for program in (text(handwritten(plot)), text_of(plot, title="two ways")):
        path = prove(program, plot)
        assert path.drawing.points.tolist() == plot.drawing.points.tolist()
        outcome = replay(program, machine)
        assert not outcome.bad
        assert outcome.strokes == planned(plot)


def planned(plot: Plot) -> list[list[tuple[int, int]]]:
    offsets = plot.drawing.offsets.tolist()
    return [[(x, y) for x, y in plot.units[a:b].tolist()] for a, b in pairwise(offsets)]


MACHINES = {
    "servo": bench(),
    "z": bench(ZED),
    "ramp": bench(RAMP, prologue=("@H",)),
    "coil": bench(COIL),
    "held up": bench(HELD_UP, dwell="milliseconds"),
    "bare": bench(comments=False, travel_word="G1", travel_feed=3_500),
}
PLOTS = {name: job(machine) for name, machine in MACHINES.items()}
PROGRAMS = {
    (name, kind): text(handwritten(plot)) if kind else text_of(plot)
    for name, plot in PLOTS.items()
    for kind in (0, 1)
}


@st.composite
def mutants(draw: st.DrawFn) -> tuple[str, str, str]:
    """A program with one line deleted, doubled or moved, or one character changed."""
    name, kind = draw(st.sampled_from(sorted(PROGRAMS)))
    lines = PROGRAMS[name, kind].split("\n")[:-1]
    first = next(k for k, line in enumerate(lines) if not line.startswith("("))
    index, other = (draw(st.integers(first, len(lines) - 1)) for _ in "ab")
    how = draw(st.sampled_from(["delete", "double", "swap", "digit", "word"]))
    if how == "delete":
        del lines[index]
    elif how == "double":
        lines.insert(index, lines[index])
    elif how == "swap":
        lines[index], lines[other] = lines[other], lines[index]
    elif how == "digit":
        place = draw(
            st.sampled_from([k for k, letter in enumerate(lines[index]) if letter.isdigit()] or [0])
        )
        lines[index] = (
            lines[index][:place]
            + draw(st.sampled_from("0123456789-. "))
            + lines[index][place + 1 :]
        )
    else:
        words = lines[index].split(" ")
        del words[draw(st.integers(0, len(words) - 1))]
        lines[index] = " ".join(words) or "G90"
    return name, "".join(f"{line}\n" for line in lines), how


@settings(max_examples=400, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(mutants())
def test_every_mutant_is_caught_or_harmless(mutant: tuple[str, str, str]) -> None:
    name, program, _ = mutant
    plot = PLOTS[name]
    try:
        prove(program, plot)
    except ProofError:
        return
    outcome = replay(program, plot.machine)
    assert outcome.bad == []
    assert outcome.strokes == planned(plot)
    assert outcome.up
    assert outcome.stops == [3]
    assert outcome.end == tuple(plot.machine.to_units(plot.machine.park).tolist())


def test_every_line_of_a_program_is_needed() -> None:
    """Deleting any one line but a comment breaks a program; so the law above is not empty."""
    for name, plot in PLOTS.items():
        lines = PROGRAMS[name, 1].split("\n")[:-1]
        passed = []
        for index in range(len(lines)):
            try:
                prove("".join(f"{line}\n" for line in lines[:index] + lines[index + 1 :]), plot)
                passed.append(lines[index])
            except ProofError:
                pass
        assert all(line.startswith("(") for line in passed), passed


def test_an_empty_plot_is_proven_too() -> None:
    for machine in MACHINES.values():
        plot = job(machine, Drawing())
        assert len(prove(text(handwritten(plot)), plot)) == 0
        assert len(prove(text_of(plot), plot)) == 0
        with pytest.raises(ProofError, match=r"stroke 0 is not in the plan|stop"):
            prove(text(handwritten(job(machine, INK))), plot)


def test_a_servo_polarity_is_whatever_was_declared() -> None:
    lift = ServoLift("M3 S90", "M5", SERVO.settle_up, SERVO.settle_down)
    plot = job(bench(lift))
    assert len(prove(text(handwritten(plot)), plot)) == 5
    with pytest.raises(ProofError, match=r"epilogue|M2"):
        prove(text([*handwritten(plot), "M2"]), plot)


def test_a_stop_that_does_not_say_what_for_is_refused() -> None:
    plot = job(bench())
    lines = handwritten(plot)
    prove(text(lines), plot)
    number = at(lines, "(MSG")
    for broken in (
        [*lines[:number], *lines[number + 1 :]],
        [*lines[:number], "(MSG, )", *lines[number + 1 :]],
    ):
        with pytest.raises(ProofError, match="the stop says nothing to the operator"):
            prove(text(broken), plot)
    silent = job(bench(comments=False))
    prove(text(handwritten(silent)), silent)


def test_pens_whose_plain_names_fall_together_are_told_from_each_other() -> None:
    pens = [Pen("blå", 0.3), Pen("bla", 0.3), Pen("red", 0.3)]
    drawing = Drawing([Drawing([[(x, 5), (x, 9)]], pen=pen) for x, pen in enumerate(pens, 5)])
    plot = job(bench(), drawing)
    program = text_of(plot)
    told = program.replace(")\n(", " ")
    assert "pens: bla no 1 0.3 mm, bla no 2 0.3 mm, red 0.3 mm. Begin with bla no 1." in told
    assert "(MSG, put in pen bla no 2, 0.3 mm)" in program
    assert "(MSG, put in pen red, 0.3 mm)" in program
    prove(program, plot)
    with pytest.raises(ProofError, match="the stop says 'put in pen bla no 1"):
        prove(program.replace("(MSG, put in pen bla no 2", "(MSG, put in pen bla no 1"), plot)


@pytest.mark.parametrize("longest", [30, 34, 70])
@pytest.mark.parametrize(
    "names",
    [
        ("a rather long name 1", "a rather long name 2"),
        ("bla no 2", "blå", "bla"),
        ("墨", "朱"),
        ("Blue", "blue", "blue dark", "pen", "put in pen blue"),
    ],
)
def test_every_pair_of_names_can_be_written(names: tuple[str, ...], longest: int) -> None:
    drawing = Drawing(
        [
            Drawing([[(x, 5), (x, 9)]], pen=Pen(name, 0.3, f"#00000{x}"))
            for x, name in enumerate(names, 5)
        ]
    )
    lift = ServoLift("M5", "M3 S90")
    plot = job(bench(lift, longest_line=longest, zero=(0, 0), home=(0, 0), park=(0, 0)), drawing)
    path = prove(text_of(plot), plot)
    assert len({message.lower() for message in path.stops.messages}) == len(names) - 1


def test_ink_counts_in_its_full_width_at_keep_outs() -> None:
    """A planner that forgot to look: the same plot for a machine that has the keep-out."""
    plot = job(bench())
    program = text(handwritten(plot))
    clear = [box(60.401, 12, 65, 18), KeepOut(box(50.101, 49, 52, 51), passable=True)]
    prove(program, replace(plot, machine=bench(keep_outs=clear)))
    for area, stroke in ((box(60.399, 12, 65, 18), 3), (box(50.098, 49, 52, 51), 2)):
        with pytest.raises(ProofError, match=f"stroke {stroke} has ink in a keep-out") as caught:
            prove(program, replace(plot, machine=bench(keep_outs=[area])))
        assert caught.value.side == "keep-out"
        assert caught.value.stroke == stroke
    inside = replace(plot, machine=bench(keep_outs=[box(59.9, 12, 65, 18)]))
    with pytest.raises(ProofError, match=r"goes 5.998 mm through a keep-out"):
        prove(program, inside)


@pytest.mark.parametrize(
    ("paper", "side"),
    [
        (Sheet(62.498, 41, at=(9.9, 9.6)), "right"),
        (Sheet(63, 40.498, at=(9.9, 9.6)), "top"),
        (Sheet(63, 41, at=(9.902, 9.6)), "left"),
        (Sheet(63, 41, at=(9.9, 9.602)), "bottom"),
    ],
)
def test_ink_counts_in_its_full_width_on_the_paper(paper: Sheet, side: str) -> None:
    """The pen at (10, 10) and (50, 50) is 0.2 mm wide, that at (60, 10) and (72, 40) 0.8 mm."""
    plot = job(bench())
    program = text(handwritten(plot))
    prove(program, replace(plot, sheet=Sheet(62.5, 40.5, at=(9.9, 9.6))))
    with pytest.raises(ProofError, match=f"leaves the paper by .* mm on the {side}, half"):
        prove(program, replace(plot, sheet=paper))
