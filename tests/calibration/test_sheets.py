"""Every sheet lies on its paper, says what to do, and shows what it is for."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest
import shapely

import plotlib as pl
from plotlib import calibration
from plotlib.errors import InvalidValue
from plotlib.gcode.writer import text_of

INK = pl.Pen("black", 0.3)
A5 = pl.Sheet.iso("A5", margin=8, at=(5, 5))
WIDE = pl.Sheet.iso("A5", margin=8, landscape=True, at=(5, 5))
BENCH = pl.Machine(
    width=225,
    height=250,
    x=pl.Axis(9_000),
    y=pl.Axis(6_000),
    feed=3_000,
    lift=pl.ServoLift("M5", "M3 S90"),
)
SHEETS: dict[str, Callable[[pl.Sheet], pl.Drawing]] = {
    "squareness_frame": lambda sheet: calibration.squareness_frame(sheet, pen=INK),
    "backlash_comb": lambda sheet: calibration.backlash_comb(sheet, pen=INK),
    "roundness": lambda sheet: calibration.roundness(sheet, pen=INK),
    "flatness_grid": lambda sheet: calibration.flatness_grid(sheet, pen=INK),
    "feed_ladder": lambda sheet: calibration.feed_ladder(sheet, [1_000, 3_000], pen=INK),
    "width_wedge": lambda sheet: calibration.width_wedge(sheet, pen=INK),
    "tone_ramp": lambda sheet: calibration.tone_ramp(sheet, pen=INK),
    "offset_cross": lambda sheet: calibration.offset_cross(sheet, [INK, pl.Pen("red")]),
}


@pytest.mark.parametrize("sheet", [A5, WIDE], ids=["upright", "lying"])
@pytest.mark.parametrize("name", sorted(SHEETS))
def test_a_sheet_lies_inside_its_margin_and_is_proven(name: str, sheet: pl.Sheet) -> None:
    drawing = SHEETS[name](sheet)
    assert sheet.area.buffer(1e-6).contains(shapely.box(*drawing.bounds))
    plot = pl.plan(drawing, BENCH, sheet=sheet, refuse="margin", effort="quick")
    pl.testing.assert_on_bed(text_of(plot), BENCH)


@pytest.mark.parametrize("name", sorted(SHEETS))
def test_a_sheet_that_is_too_small_says_what_it_needs(name: str) -> None:
    with pytest.raises(InvalidValue, match="mm inside its margin, and has 30 x 30"):
        SHEETS[name](pl.Sheet(50, 50))


@pytest.mark.parametrize("name", sorted(SHEETS))
@pytest.mark.parametrize("size", [(75.9, 300), (300, 49.9)])
def test_a_margin_leaves_too_little_room(name: str, size: tuple[float, float]) -> None:
    """The paper would do, were it not for 8 mm on each side."""
    with pytest.raises(InvalidValue, match="mm inside its margin, and has"):
        SHEETS[name](pl.Sheet(*size, margin=8))


def test_the_more_rows_the_more_room_is_needed() -> None:
    paper = pl.Sheet(200, 150)  # 130 inside its margin
    many = [pl.Pen(f"pen {number}") for number in range(5)]
    needed = {
        "148 mm": lambda: calibration.offset_cross(paper, many[:5]),  # 40, and 4 targets of 27
        "142 mm": lambda: calibration.feed_ladder(paper, [500] * 12),  # 34, and 12 rows of 9
        "133 mm": lambda: calibration.lift_ladder(BENCH, [BENCH.lift] * 9, sheet=paper),
    }
    for words, made in needed.items():
        with pytest.raises(InvalidValue, match=f"x {words} inside its margin"):
            made()
    assert len(calibration.offset_cross(paper, many[:4])) > 40
    assert len(calibration.feed_ladder(paper, [500] * 10)) > 40
    assert len(calibration.lift_ladder(BENCH, [BENCH.lift] * 8, sheet=paper)) == 8


@pytest.mark.parametrize("name", sorted(SHEETS))
@pytest.mark.parametrize("sheet", [A5.turned(90), pl.Sheet.round(200)], ids=["turned", "round"])
def test_paper_that_does_not_lie_along_the_axes_is_refused(name: str, sheet: pl.Sheet) -> None:
    """What is measured on it would not be the machine's x and y."""
    with pytest.raises(InvalidValue, match="a rectangle that lies straight"):
        SHEETS[name](sheet)


def test_the_frame_is_what_it_says() -> None:
    sizes = [np.ptp(s, axis=0).tolist() for s in calibration.squareness_frame(A5) if len(s) == 5]
    assert [110.0, 150.0] in sizes


def test_teeth_are_reached_from_their_side_whichever_end_comes_first() -> None:
    """In the comb for x the pen comes from the left before each upright of an upper tooth, from the
    right before a lower one, tooth k is k steps nearer to its partner, and where both are read
    there is no hook.
    """
    teeth = [s for s in calibration.backlash_comb(A5, step=0.05) if len(s) == 4]
    across = [t for t in teeth if t[1, 0] == t[2, 0] and np.isclose(np.ptp(t[1:3, 1]), 8.5)]
    for tooth in across:
        assert np.sign(tooth[1, 0] - tooth[0, 0]) == np.sign(tooth[2, 0] - tooth[3, 0])
    upper = sorted(t[1, 0] for t in across if t[1, 0] > t[0, 0])
    lower = sorted(t[1, 0] for t in across if t[1, 0] < t[0, 0])
    assert len(upper) == len(lower) >= 10
    steps = np.subtract(upper, lower)
    assert steps == pytest.approx(0.05 * np.arange(len(upper)), abs=1e-9)
    ends = [(t[1:3, 1].min(), t[1:3, 1].max()) for t in across]
    assert max(low for low, _ in ends) + 3 == pytest.approx(min(high for _, high in ends))


def test_the_wedge_opens_by_its_step() -> None:
    lines = [s for s in calibration.width_wedge(WIDE, step=0.1) if len(s) == 2]
    uprights = sorted(s[0, 0] for s in lines if s[0, 0] == s[1, 0] and np.ptp(s[:, 1]) > 20)
    gaps = np.diff(uprights)[::2]
    assert gaps == pytest.approx(0.1 * np.arange(1, len(gaps) + 1), abs=1e-9)


@pytest.mark.parametrize(("width", "pairs"), [(118.8, 10), (119.2, 11), (127.8, 11), (128.2, 12)])
def test_the_wedge_has_a_pair_every_nine_mm(width: float, pairs: int) -> None:
    """Its first and last stand 4.5 mm inside, and 16 mm are margin: 9 k + 4 fit into the rest."""
    wedge = calibration.width_wedge(pl.Sheet(width, 120, margin=8))
    lines = [s for s in wedge if len(s) == 2 and s[0, 0] == s[1, 0] and np.ptp(s[:, 1]) > 20]
    assert len(lines) == 2 * pairs


def test_each_row_of_the_feed_ladder_is_driven_at_its_feed_and_comes_back() -> None:
    drawing = calibration.feed_ladder(WIDE, [1_000, 2_500], pen=INK)
    assert [pen.feed for pen in drawing.pens] == [1_000, 2_500]
    rows = [s for s in drawing if len(s) > 60]
    assert len(rows) == 2
    for row in rows:
        assert row[0, 0] == row[-1, 0]  # both halves of the mark stand one under the other
        assert row[1].tolist() == row[-2].tolist()
    with pytest.raises(InvalidValue, match=r"feeds\[1\] must be greater than 0"):
        calibration.feed_ladder(WIDE, [1_000, -5])


def test_each_rung_of_the_lift_ladder_has_its_own_lift() -> None:
    lifts = [pl.ServoLift("M5", "M3 S90", settle_up=time) for time in (0, 0.1, 0.3)]
    rungs = calibration.lift_ladder(BENCH, lifts, sheet=A5)
    assert [rung.machine.lift for rung in rungs] == lifts
    tops = [max(s[:, 1].max() for s in rung.drawing if is_upright(s)) for rung in rungs]
    assert np.diff(tops) == pytest.approx([-11, -11])
    for rung in rungs:
        pl.testing.assert_on_bed(text_of(rung), rung.machine)
        assert A5.paper.buffer(-8).contains(shapely.box(*rung.drawing.moved(-5, -5).bounds))


def is_upright(stroke: np.ndarray) -> bool:
    """Whether a stroke is one of the 4 mm that a rung is made of."""
    return len(stroke) == 2 and np.ptp(stroke, axis=0).tolist() == [0, 4]


def test_the_lettering_of_a_rung_says_what_is_unlike_the_others() -> None:
    """In the words of the profile, and by the last lift, which should be clean."""
    lifts = [pl.ServoLift("M5", "M3 S90", settle_up=time) for time in (0, 0.1)]
    first, last = calibration.lift_ladder(BENCH, lifts, sheet=A5)
    assert all(is_upright(stroke) for stroke in first.drawing)
    other = [pl.ServoLift("M5", "M3 S90", settle_down=time) for time in (0, 0.1)]
    assert len(calibration.lift_ladder(BENCH, other, sheet=A5)[1].drawing) != len(last.drawing)


@pytest.mark.parametrize(
    "lifts", [[], [BENCH.lift, "up"], ["up", BENCH.lift], [BENCH.lift] * 41], ids=len
)
def test_a_ladder_takes_lifts_and_as_many_as_fit(lifts: list[object]) -> None:
    with pytest.raises(InvalidValue, match="lifts must be 1 to 40 lifts"):
        calibration.lift_ladder(BENCH, lifts, sheet=A5)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "spacings", [[], [1, 0.049], [0.049, 1], [20.1, 1], [1, 20.1], [1] * 41], ids=str
)
def test_a_ramp_takes_spacings_in_their_range(spacings: list[float]) -> None:
    with pytest.raises(InvalidValue, match=r"spacings must be 1 to 40 of 0\.05 to 20 mm"):
        calibration.tone_ramp(A5, spacings=spacings)
    assert len(calibration.tone_ramp(A5, spacings=[20, 0.05])) > 100


@pytest.mark.parametrize("count", [0, 1, 9])
def test_a_target_takes_two_to_eight_pens(count: int) -> None:
    paper = pl.Sheet(120, 280)
    with pytest.raises(InvalidValue, match="pens"):
        calibration.offset_cross(paper, [pl.Pen(f"pen {number}") for number in range(count)])
    eight = [pl.Pen(f"pen {number}") for number in range(8)]
    assert calibration.offset_cross(paper, eight).pens == tuple(eight)


@pytest.mark.parametrize("feeds", [[], [1_000] * 41], ids=len)
def test_a_feed_ladder_takes_as_many_as_fit(feeds: list[float]) -> None:
    with pytest.raises(InvalidValue, match="feeds"):
        calibration.feed_ladder(A5, feeds)


@pytest.mark.parametrize("step", [1.001, 0, -1])
def test_steps_have_their_range(step: float) -> None:
    with pytest.raises(InvalidValue, match="step must be"):
        calibration.backlash_comb(A5, step=step)
    assert len(calibration.backlash_comb(A5, step=1)) > 40


@pytest.mark.parametrize("size", [(40, 40), (60, 200), (200, 60), (100, 80), (900, 600)])
def test_the_border_of_any_bed_stays_on_it(size: tuple[float, float]) -> None:
    bed = dataclasses.replace(BENCH, width=size[0], height=size[1], home=(0, 0), park=(0, 0))
    drawing = calibration.border(bed)
    assert drawing.bounds == (0, 0, *size)
    inner = drawing[1:]
    letters = [s for s in inner if len(s) > 2 or not is_straight(s)]
    for stroke in letters:
        assert bed.bed.buffer(-5).contains(shapely.box(*stroke.min(axis=0), *stroke.max(axis=0)))


def is_straight(stroke: np.ndarray) -> bool:
    return bool((np.ptp(stroke, axis=0) == 0).any())


def test_the_border_shows_the_whole_bed() -> None:
    assert pl.plan(calibration.border(BENCH), BENCH).drawing.bounds == (0, 0, 225, 250)
    assert calibration.border(BENCH, inset=5).bounds == (5, 5, 220, 245)
    with pytest.raises(InvalidValue, match="an inset of 110 mm leaves 5 x 30 mm"):
        calibration.border(BENCH, inset=110)
