"""The main job on real input: iso-lines of a measured elevation grid, planned, written, read back
and compared point by point.

The grid is ``jacksboro_fault_dem.npz``, which ships with matplotlib as sample data: 344 x 403
heights of 236 to 1076 m.
"""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from pathlib import Path
from typing import Any

import contourpy
import numpy as np
import pytest
from matplotlib.cbook import get_sample_data
from oracles_replay import replay
from scipy.ndimage import map_coordinates

import plotlib as pl

STEP = 0.45  # mm between neighbouring heights
LEVELS = np.arange(260, 1080, 40)
GREEN = pl.Pen("green", 0.25, "#3d5a40", 2_000)
BROWN = pl.Pen("brown", 0.35, "#7a4a21")


@pytest.fixture(scope="module")
def heights() -> Any:
    with get_sample_data("jacksboro_fault_dem.npz") as data:
        grid = data["elevation"].astype(np.float64)
    assert grid.shape == (344, 403)
    assert (grid.min(), grid.max(), round(grid.mean(), 4)) == (236, 1076, 531.0312)
    return grid[::-1]


@pytest.fixture(scope="module")
def drawing(heights: Any) -> pl.Drawing:
    field = pl.fields.from_function(
        lambda x, y: map_coordinates(
            heights, np.broadcast_arrays(y / STEP, x / STEP), order=1, mode="nearest"
        )
    )
    rows, columns = heights.shape
    area = pl.shapes.rectangle((0, 0), (columns - 1) * STEP, (rows - 1) * STEP)
    low, high = (
        pl.fields.isolines(field, area, levels=part, step=STEP, pen=pen)
        for part, pen in ((LEVELS[:7], GREEN), (LEVELS[7:], BROWN))
    )
    return low + high


MACHINE = pl.Machine(
    width=215.9,
    height=190,
    x=pl.Axis(10_000, 500, reversed=True),
    y=pl.Axis(4_000, 250),
    lift=pl.ZLift(up=4, down=-0.2, feed=900),
    feed=3_000,
    zero=(107.95, 95),
    decimals=2,
    prologue=("HOME", "(the carriage stands at home)"),
)


def test_iso_lines_are_those_of_a_general_library(heights: Any, drawing: pl.Drawing) -> None:
    lines = contourpy.contour_generator(z=heights)
    expected = (
        sum(
            np.hypot(*np.diff(line, axis=0).T).sum()
            for level in LEVELS
            for line in lines.lines(level)
        )
        * STEP
    )
    assert drawing.length == pytest.approx(expected, rel=0.01)
    assert len(drawing) > 500


def test_the_written_file_is_the_drawing(drawing: pl.Drawing, tmp_path: Path) -> None:
    path = tmp_path / "relief.gcode"
    sheet = pl.Sheet(200, 172, margin=5, at=(8, 9))
    placed = drawing.fitted(sheet.area)
    plot = pl.plan(placed, MACHINE, sheet=sheet)
    pl.gcode.write(plot, path, title="Measured relief")
    toolpath = pl.gcode.read(path, MACHINE)

    assert np.array_equal(toolpath.drawing.offsets, plot.drawing.offsets)
    assert np.array_equal(MACHINE.to_units(toolpath.drawing.points), plot.units)
    strokes, _, stops, is_up = replay(path.read_text(), MACHINE)
    assert [len(stroke) for stroke in strokes] == np.diff(plot.drawing.offsets).tolist()
    assert [point for stroke in strokes for point in stroke] == list(
        map(tuple, plot.units.tolist())
    )
    assert (stops, is_up) == (1, True)
    pl.testing.assert_on_bed(path, MACHINE)

    # no ink is lost or added: every segment of the drawing on the grid, pen by pen
    units = MACHINE.to_units(placed.points + np.asarray(sheet.at))
    for pen, part in plot.drawing.by_pen().items():
        mine = np.flatnonzero(placed.pen_index == placed.pens.index(pen))
        wanted = Counter(
            pair
            for k in mine
            for pair in _segments(units[placed.offsets[k] : placed.offsets[k + 1]])
        )
        drawn = Counter(pair for stroke in part for pair in _segments(MACHINE.to_units(stroke)))
        assert wanted == drawn

    # common practice, no source: joining never lifts more, ordering never travels more than what
    # was given
    assert plot.lifts <= len(placed)
    assert plot.cost <= pl.plan(placed, MACHINE, sheet=sheet, join=None, keep_order=True).cost


def _segments(stroke: Any) -> list[frozenset[tuple[int, ...]]]:
    return [frozenset(pair) for pair in pairwise(map(tuple, stroke.tolist())) if pair[0] != pair[1]]
