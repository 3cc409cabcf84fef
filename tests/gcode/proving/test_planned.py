"""A stretch of a plan, by hand."""

from __future__ import annotations

import pytest

import plotlib as pl
from plotlib.gcode.proving.planned import planned


@pytest.fixture
def plot() -> pl.Plot:
    axis = pl.Axis(9_000)
    lift = pl.ServoLift("M5", "M3 S90")
    machine = pl.Machine(width=200, height=100, x=axis, y=axis, feed=600, lift=lift)
    strokes = [[(10, 10), (20, 10)], [(30, 10), (30, 20), (40, 20)], [(50, 10), (60, 10)]]
    return pl.plan(pl.Drawing(strokes), machine, keep_order=True)


@pytest.mark.parametrize(
    ("first", "end", "points", "begins", "ends"),
    [
        (0, None, 7, [0, 20, 40, 50], [10, 30, 60, 0]),
        (0, 9, 7, [0, 20, 40, 50], [10, 30, 60, 0]),
        (0, 1, 2, [0], [10]),
        (1, 2, 3, [20], [30]),
        (1, 3, 5, [20, 40, 50], [30, 60, 0]),
        (2, 3, 2, [40, 50], [60, 0]),
    ],
)
def test_a_stretch_has_the_ways_to_its_strokes(
    first: int, end: int | None, points: int, begins: list[int], ends: list[int], plot: pl.Plot
) -> None:
    """The last one the way home too; x of each way in mm. The third stroke is turned round."""
    made = planned(plot, first, end)
    assert len(made) == min(end or 3, 3) - first
    assert len(made.units) == points
    assert made.offsets[0] == 0
    assert made.offsets[-1] == points
    assert made.begin[:, 0].tolist() == pytest.approx([1_000 * x for x in begins])
    assert made.end[:, 0].tolist() == pytest.approx([1_000 * x for x in ends])
    assert made.is_from_home == (first == 0)
