"""A ladder of heights, what is read on it, and the map that this becomes."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import shapely

import plotlib as pl
from plotlib import calibration
from plotlib.errors import InvalidValue
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.writer import text_of

A5 = pl.Sheet.iso("A5", margin=8, at=(5, 5))
BENCH = pl.Machine(
    width=225,
    height=250,
    x=pl.Axis(9_000),
    y=pl.Axis(6_000),
    feed=3_000,
    lift=pl.ZLift(up=4, down=0, feed=600),
)
NAMES = [f"{column}{row}" for row in (1, 2) for column in "ABC"]
READ = dict(zip(NAMES, (0.1, 0.2, 0, -0.1, 0.3, 0.2), strict=True))


def test_each_plot_of_the_ladder_holds_the_pen_at_its_offset_and_draws_one_tick_at_each_place() -> (
    None
):
    plots = calibration.height_ladder(BENCH, (0, 0.2, -0.2), sheet=A5, columns=3, rows=2)
    assert [plot.machine.lift.heights.down for plot in plots] == [0.2, 0, -0.2]
    for plot in plots:
        prove(text_of(plot), plot)
        paper = A5.paper.buffer(-8 + 1e-6)
        assert paper.contains(shapely.box(*plot.drawing.moved(-5, -5).bounds))
    first, second, _ = plots
    assert len(first.drawing) == len(second.drawing) == 6
    shift = np.array(list(second.drawing)) - np.array(list(first.drawing))
    assert shift == pytest.approx(np.broadcast_to([2.5, 0], shift.shape))


def test_the_pen_may_be_upside_down() -> None:
    below = dataclasses.replace(BENCH, lift=pl.ZLift(up=-4, down=0, feed=600))
    plots = calibration.height_ladder(below, (0.2, -0.2), sheet=A5, columns=2, rows=2)
    assert [plot.machine.lift.heights.down for plot in plots] == [-0.2, 0.2]


def test_both_sheets_have_their_places_where_the_map_has_them() -> None:
    bed = calibration.from_heights(A5, READ, columns=3, rows=2)
    crosses = calibration.flatness_grid(A5, columns=3, rows=2)
    across = [s for s in crosses if len(s) == 2 and np.ptp(s[:, 0]) == pytest.approx(6)]
    middles = {tuple((s.mean(axis=0) + 5).round(6)) for s in across}
    assert middles == {(x, y) for x in np.round(bed.x, 6) for y in np.round(bed.y, 6)}
    ticks = calibration.height_ladder(BENCH, (0.1, 0, -0.1), sheet=A5, columns=3, rows=2)[1]
    places = np.array([s.mean(axis=0) for s in ticks.drawing])
    assert bed.at(places) == pytest.approx([READ[name] for name in NAMES])


def test_readings_that_cannot_be_are_named() -> None:
    short = {name: READ[name] for name in NAMES[1:]}
    with pytest.raises(InvalidValue, match="there is no reading of A1; the places are A1 to C2"):
        calibration.from_heights(A5, short, columns=3, rows=2)
    with pytest.raises(InvalidValue, match="the sheet has no place D9"):
        calibration.from_heights(A5, {**READ, "D9": 0.1}, columns=3, rows=2)
    with pytest.raises(InvalidValue, match="readings B1 must be a finite number"):
        calibration.from_heights(A5, {**READ, "B1": "high"}, columns=3, rows=2)  # type: ignore[dict-item]
    with pytest.raises(InvalidValue, match="readings must be a mapping of names"):
        calibration.from_heights(A5, [0.1, 0.2], columns=3, rows=2)  # type: ignore[arg-type]


def test_a_map_of_a_turned_sheet_is_refused() -> None:
    with pytest.raises(InvalidValue, match="a rectangle that lies straight"):
        calibration.from_heights(A5.turned(5), READ, columns=3, rows=2)
    with pytest.raises(InvalidValue, match="a rectangle that lies straight"):
        calibration.height_ladder(BENCH, sheet=A5.turned(5))


def test_ladders_that_cannot_be_are_refused() -> None:
    servo = dataclasses.replace(BENCH, lift=pl.ServoLift("M5", "M3 S90"))
    with pytest.raises(InvalidValue, match="a ladder of heights needs a ZLift"):
        calibration.height_ladder(servo, sheet=A5)
    with pytest.raises(InvalidValue, match=r"9 ticks need 24\.5 mm, and 8 columns"):
        calibration.height_ladder(BENCH, sheet=A5, columns=8)
    with pytest.raises(InvalidValue, match="more than half raised"):
        calibration.height_ladder(BENCH, (3, 0), sheet=A5)
    with pytest.raises(InvalidValue, match="offsets must be 2 to 9 different heights"):
        calibration.height_ladder(BENCH, (0.1, 0.1), sheet=A5)


def test_room_that_just_suffices_suffices() -> None:
    """Three ticks need 9.5 mm, and places stand 12 mm inside the margin: eight columns are
    7 * 9.5 + 24 mm wide. The pen may be held half raised.
    """
    exact = pl.Sheet(106.5, 150, margin=8, at=(5, 5))
    heights = (0.2, 0, -0.2)
    assert len(calibration.height_ladder(BENCH, heights, sheet=exact, columns=8)) == 3
    less = pl.Sheet(106.25, 150, margin=8, at=(5, 5))
    with pytest.raises(InvalidValue, match=r"3 ticks need 9\.5 mm, and 8 columns leave 9\.5"):
        calibration.height_ladder(BENCH, heights, sheet=less, columns=8)
    assert len(calibration.height_ladder(BENCH, (2, 0), sheet=A5)) == 2
    with pytest.raises(InvalidValue, match="more than half raised"):
        calibration.height_ladder(BENCH, (2.01, 0), sheet=A5)


@pytest.mark.parametrize("height", [20.5, -20.5])
def test_a_reading_that_is_no_bed_is_named(height: float) -> None:
    with pytest.raises(InvalidValue, match=r"readings B2 must be from -20 to 20 \(mm\)"):
        calibration.from_heights(A5, {**READ, "B2": height}, columns=3, rows=2)


def test_a_second_sheet_improves_the_first() -> None:
    bed = calibration.from_heights(A5, READ, columns=3, rows=2)
    once = calibration.corrected(BENCH, bed)
    assert once.height_map == bed
    again = calibration.from_heights(A5, dict.fromkeys(READ, 0.05), columns=3, rows=2)
    twice = calibration.corrected(once, again)
    assert twice.height_map is not None
    places = [(40, 50), (100, 150)]
    assert twice.height_map.at(places) == pytest.approx(bed.at(places) + 0.05)
