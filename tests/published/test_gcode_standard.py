"""The reader against the printed rules and worked values of the open standard.

Source: T. R. Kramer, F. M. Proctor, E. R. Messina, The NIST RS274NGC Interpreter - Version 3,
NISTIR 6556, 17 August 2000 ("A" below, with its section numbers; read in a transcription). Lengths
and centres that A does not print were computed from its data; they are marked C.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest

from plotlib.errors import GcodeError
from plotlib.gcode.reader import read
from plotlib.gcode.reading.arcs import Arc, by_centre, by_radius
from plotlib.gcode.reading.lines import Fault, parse
from plotlib.gcode.reading.vocabulary import command_of
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Axis, Machine, ServoLift
from tests.outside import COMPUTED, READ, Within, published


def standard(section: str, *, kind: str = READ, **options: Any) -> Any:
    """Tag a test with the section of the source."""
    source = f"NISTIR 6556 (2000), {section}"
    return published(module="gcode", source=source, kind=kind, **options)


LIFT = ServoLift("M5", "M3 S90")
MIDDLE = (250, 250)
MACHINE = Machine(
    width=500,
    height=500,
    zero=MIDDLE,
    home=MIDDLE,
    x=Axis(9_000),
    y=Axis(9_000),
    feed=1_000,
    lift=LIFT,
    epilogue=(),
)


def run(text: str) -> Toolpath:
    return read(f"G21 G90 G17 G94 M5\n{text}\n", MACHINE)


def places(text: str) -> list[tuple[float, float]]:
    """Where the moves end, as the controller counts."""
    return [(round(x - 250, 9), round(y - 250, 9)) for x, y in run(text).moves.end.tolist()]


# ---- the line (A 3.3, appendix E)


@standard("3.3")
def test_the_longest_line_has_256_characters() -> None:
    line = "G0 X1 (" + "a" * 248 + ")"
    assert len(line) == 256
    assert places(line) == [(1, 0)]
    with pytest.raises(GcodeError, match="257 characters"):
        run(line + " ")


@standard("3.3")
def test_block_delete_comes_before_the_line_number() -> None:
    assert parse("/N10 G1 X1").words == (("G", 1), ("X", 1))
    with pytest.raises(Fault):
        parse("N10 /G1 X1")


@standard("3.3")
def test_blanks_and_case_do_not_matter() -> None:
    """A 3.3: "g0x +0. 12 34y 7" equals "g0 x0.1234 y7", and g1x3 equals G1 X3."""
    assert parse("g0x +0. 12 34y 7") == parse("g0 x0.1234 y7")
    assert parse("g1x3") == parse("G1 X3")


@standard("3.3.1")
def test_line_numbers_have_at_most_five_digits() -> None:
    """A 3.3.1: N is 0 to 99999; N000009 is an error."""
    assert parse("N99999 G1").number == 99999
    assert parse("N0 G1").number == 0
    with pytest.raises(Fault, match="more than five digits"):
        parse("N000009")


@standard("3.3.2.1", column="text value", claim="numbers and their values")
@pytest.mark.parametrize(
    ("text", "value"), [("X.5", 0.5), ("X5.", 5.0), ("X-0.", 0.0), ("X+1", 1.0), ("X007", 7.0)]
)
def test_numbers(text: str, value: float) -> None:
    assert parse(text).words == (("X", value),)


@standard("3.3.2.1 and E.3", column="text")
@pytest.mark.parametrize("text", ["X1e-5", "X.", "X", "X1.2.3", "X--1"])
def test_what_is_no_number(text: str) -> None:
    """A 3.3.2.1 and E.3: no exponent, one point at most, one digit at least."""
    with pytest.raises(GcodeError):
        run(f"G0 {text}")


@standard("3.3.2.1", column="text known")
@pytest.mark.parametrize(
    ("text", "known"),
    [
        ("M3.00005", "M3"),
        ("G1.000005", "G1"),
        ("G1.0005", None),
        ("M3.001", None),
        ("G92.1", "G92.1"),
        ("G61.1", "G61.1"),
    ],
)
def test_whole_numbers_within_a_ten_thousandth(text: str, known: str | None) -> None:
    """A 3.3.2.1: within 0.0001; G numbers after times ten."""
    command = command_of(text)
    assert (list(command.modal.values()) == [known]) if known else command.unknown


@standard("E.3", column="letter")
@pytest.mark.parametrize("letter", "EOUVW")
def test_letters_that_are_not_in_the_language(letter: str) -> None:
    with pytest.raises(GcodeError, match="unknown"):
        run(f"{letter}1")


@standard("3.3.4")
def test_comments_are_not_nested() -> None:
    with pytest.raises(GcodeError, match="a comment must open and close on the same line"):
        run("(a (b) c)")
    assert parse("(MSG, new pen)").message == "new pen"


@standard("3.1")
def test_percent_lines() -> None:
    """A 3.1: both or neither, unless M2 or M30 ends the program; what follows the second is not
    read.
    """
    machine = Machine(
        width=10, height=10, x=Axis(1), y=Axis(1), feed=1, lift=ServoLift("M5", "M3 S90")
    )
    head = "G21 G90 G17 G94 M5 G0 X1\n"
    for good in (
        head + "M2\n",
        head + "M30\n",
        f"%\n{head}%\n",
        f"%\n{head}M2\n%\n",
        f"%\n{head}%\nnot read (\n",
    ):
        assert read(good, machine).travel == 1
    for bad in (head, f"%\n{head}", f"{head}%\nM2\n"):
        with pytest.raises(GcodeError):
            read(bad, machine)


@standard("3.3.5")
def test_one_word_of_each_group_and_letter() -> None:
    for text in ("G0 G1 X1", "X1 X2", "M7 M8 M9 M48 M3"):
        with pytest.raises(Fault):
            command_of(text)


@standard("3.3.6")
def test_words_may_come_in_any_order() -> None:
    one = run("X1 Y2 G1 F100")
    two = run("G1 X1 Y2 F100")
    assert one.moves.end.tolist() == two.moves.end.tolist()
    assert one.moves.feed.tolist() == two.moves.feed.tolist() == [100]


# ---- meaning (A 3.5 to 3.8)


@standard("3.8")
def test_the_order_of_execution_inside_a_line() -> None:
    """A 3.8, table 8: the feed, then the spindle, then the dwell, then the distance mode, then the
    motion, then the stop.
    """
    path = run("G0 X5\nX7 G91 M3 S90 F60 G1\nM0 X1 M5 G4 P3")
    assert places("G0 X5\nX7 G91 M3 S90 F60 G1\nM0 X1 M5 G4 P3") == [(5, 0), (12, 0), (13, 0)]
    assert path.moves.down.tolist() == [False, True, False]
    assert path.stops.place.tolist() == [[263, 250]]
    assert path.dwells.seconds.tolist() == [3]


@standard("3.5.1, 3.5.2, 3.5.3", column="text")
@pytest.mark.parametrize("text", ["G0", "G1 F100", "G2 I1 F100", "G3 R1 F100"])
def test_motion_words_need_an_axis(text: str) -> None:
    with pytest.raises(GcodeError, match="without X, Y or Z"):
        run(text)


@standard("3.5.7", printed=25.4, claim="an inch in mm")
def test_an_inch_is_25_4_mm(printed: Any) -> None:
    assert places("G20 G0 X1 Y-2") == [(printed, -2 * printed)]


@standard("3.5.4")
def test_dwells_are_seconds_and_not_negative() -> None:
    assert run("G4 P1.5").dwells.seconds.tolist() == [1.5]
    with pytest.raises(GcodeError):
        run("G4 P-0.1")


@standard("3.5.18", claim="worked example of G92")
def test_g92_worked_example() -> None:
    """A 3.5.18: where X reads 4, G92 X7 makes it read 7 (offset -3), then G92 X9 makes it read 9
    (offset -5).
    """
    assert places("G0 X4\nG92 X7\nG0 X7 Y1") == [(4, 0), (4, 1)]
    assert places("G0 X4\nG92 X7\nG92 X9\nG0 X9 Y1\nX0") == [(4, 0), (4, 1), (-5, 1)]
    assert places("G0 X4\nG91\nG92 X7\nG90\nG0 X8") == [(4, 0), (5, 0)], "unaffected by G91"
    for cancel in ("G92.1", "G92.2"):
        assert places(f"G0 X4\nG92 X7\n{cancel}\nG0 X4 Y1") == [(4, 0), (4, 1)]
    with pytest.raises(GcodeError):
        run("G92")


@standard("3.5.19", rel=1e-6)
def test_inverse_time(within: Within) -> None:
    """A 3.5.19: under G93 F2 is half a minute; 100 mm at 2000 mm/min need F20 (C)."""
    path = run("G93 G1 X100 F2\nX0 F20")
    assert (path.moves.length / path.moves.feed * 60).tolist() == within.of([30, 3])
    assert path.moves.feed.tolist() == within.of([200, 2000])
    with pytest.raises(GcodeError):
        run("G93 G1 X100 F2\nX0")
    assert places("G93 G0 X5") == [(5, 0)], "G0 needs none"


@standard("3.6.1")
def test_program_ends() -> None:
    """A 3.6.1: M2 and M30 stop the spindle and nothing after them is run; M0 goes on with the next
    line.
    """
    for end in ("M2", "M30"):
        path = run(f"M3 S90\n{end}")
        assert path.finish.end_down is False
        with pytest.raises(GcodeError, match="never run"):
            run(f"{end}\nG0 X1")
    assert places("M0\nG0 X1") == [(1, 0)]


@standard("3.6.2, 3.7.2")
def test_spindle_words_may_repeat_and_s_is_not_negative() -> None:
    assert len(run("M3 S90\nM3 S90\nM5\nM5")) == 1
    assert run("M3 S0\nM5").lifts == 1
    with pytest.raises(GcodeError):
        run("M3 S-1")


# ---- arcs (A 3.5.3)


def near(arc: Arc, centre: tuple[float, float], sweep: float, within: Within) -> None:
    """Sweeps of three decimals are met to half a unit of the last."""
    assert arc.centre == within.of(centre)
    assert abs(arc.sweep) == pytest.approx(sweep, abs=within.abs if len(f"{sweep}") > 8 else 5e-4)


@standard(
    "3.5.3.2",
    printed={"centre": (10, 11), "radius": 5, "sweep": 143.130102, "length": 12.490458},
    abs=1e-6,
)
def test_arc_by_centre_worked_example(within: Within, printed: Any) -> None:
    """A 3.5.3.2: from (7, 7), G17 G2 X10 Y16 I3 J4 has its centre at (10, 11) and the radius 5;
    sweep and length C.
    """
    arc = by_centre((7, 7), (10, 16), (10, 11), clockwise=True)
    near(arc, printed["centre"], printed["sweep"], within)
    assert arc.sweep < 0
    assert (arc.radius, arc.length) == (printed["radius"], within.of(printed["length"]))
    path = run("G0 X7 Y7\nG17 G2 X10 Y16 I3 J4 F100")
    assert path.moves.length[1:].sum() == within.of(printed["length"])
    assert path.moves.end[-1].tolist() == [260, 266]


@standard("3.5.3.1", column="centre sweep", kind=COMPUTED, abs=1e-6)
@pytest.mark.parametrize(
    ("end", "radius", "clockwise", "centre", "sweep"),
    [
        ((10, 15), 20, True, (19.855069, -2.403379), 53.576),
        ((10, 15), -20, True, (-9.855069, 17.403379), 306.424),
        ((10, 0), 10, False, (5, 8.660254), 60.0),
        ((10, 0), -10, False, (5, -8.660254), 300.0),
    ],
)
def test_arcs_by_radius(
    end: tuple[float, float],
    radius: float,
    clockwise: bool,
    centre: tuple[float, float],
    sweep: float,
    within: Within,
) -> None:
    """A 3.5.3.1 gives G17 G2 X10 Y15 R20 as its example; the numbers are C."""
    near(by_radius((0, 0), end, radius, clockwise=clockwise), centre, sweep, within)


@standard("3.5.3.1", kind=COMPUTED, printed=(0.935085, 5.348100), abs=1e-6)
def test_sweeps_of_the_printed_radius_example_in_radians(within: Within, printed: Any) -> None:
    """The same arcs (C)."""
    assert math.radians(abs(by_radius((0, 0), (10, 15), 20, clockwise=True).sweep)) == within.of(
        printed[0]
    )
    assert math.radians(abs(by_radius((0, 0), (10, 15), -20, clockwise=True).sweep)) == within.of(
        printed[1]
    )


@standard("appendix C.1 and table 12", column="sweep length", abs=1e-6, kind=COMPUTED)
@pytest.mark.parametrize(
    ("start", "line", "centre", "sweep", "length"),
    [
        ((16, 2.5), "g3 x13.5 y0 i-2.5", (13.5, 2.5), 270.0, 11.780972),
        ((32.5, 0), "g2 x32.5 j2.5", (32.5, 2.5), 360.0, 15.707963),
        ((64, 4), "g2 x69 r4", (66.5, 0.877501), 77.364375, 5.401052),
        ((79.5, 0), "g2 j2.5 y5", (79.5, 2.5), 180.0, 7.853982),
        ((-2, -2), "G2 X-2.6 Y-0.2 J1", (-2, -1), 143.130102, math.radians(143.130102)),
    ],
)
def test_arcs_of_the_sample_programs(
    start: tuple[float, float],
    line: str,
    centre: tuple[float, float],
    sweep: float,
    length: float,
    within: Within,
) -> None:
    """Lines of A appendix C.1 (the engraved greeting) and of table 12; centres, sweeps and lengths
    C.
    """
    path = run(f"G0 X{start[0]} Y{start[1]}\nF100 {line}")
    assert path.moves.length[1:].sum() == within.of(length)
    around = path.moves.end[1:] - 250 - centre
    radius = length / math.radians(sweep)
    assert around[:, 0] ** 2 + around[:, 1] ** 2 == pytest.approx(radius**2, abs=1e-5)
    turned = -1 if "g2" in line.lower() else 1
    angles = [
        math.atan2(start[1] - centre[1], start[0] - centre[0]),
        *(math.atan2(y, x) for x, y in around),
    ]
    steps = [(b - a + math.pi) % math.tau - math.pi for a, b in pairwise(angles)]
    assert math.degrees(sum(steps)) == pytest.approx(turned * sweep, abs=1e-4)


@standard("3.5.3.2", printed={"mm": 0.002, "in": 0.0002})
def test_the_radius_rule(printed: Any) -> None:
    """A 3.5.3.2: an error where both radii differ by more than 0.002 mm, or 0.0002 in."""
    assert by_centre((0, 0), (10, 0), (5 - printed["mm"] / 2, 0), clockwise=True)
    with pytest.raises(Fault, match=r"may differ by 0\.002 mm"):
        by_centre((0, 0), (10, 0), (4.9989, 0), clockwise=True)
    assert run(f"G20 G2 X1 I{0.5 - printed['in'] / 2:.4f} F10").ink == 0
    with pytest.raises(GcodeError):
        run("G20 G2 X1 I0.4998 F10")


@standard("3.5.3.2 and 3.5.17", rel=1e-6)
def test_centres_are_increments_whatever_the_distance_mode(within: Within) -> None:
    absolute = run("G0 X7 Y7\nG2 X10 Y16 I3 J4 F100")
    incremental = run("G0 X7 Y7\nG91 G2 X3 Y9 I3 J4 F100")
    assert absolute.moves.end == within.of(incremental.moves.end)


@standard("3.5.3.1")
def test_an_arc_by_radius_may_not_be_a_full_circle() -> None:
    with pytest.raises(Fault, match="may not end where it starts"):
        by_radius((3, 3), (3, 3), 5, clockwise=True)
