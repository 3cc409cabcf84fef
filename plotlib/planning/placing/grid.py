"""Onto the grid: every point is rounded once to whole units of the machine's last decimal, in bed
coordinates.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plotlib.arrays import ragged
from plotlib.checks import IntArray
from plotlib.drawing import Drawing
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.sheet import Sheet


@dataclass(frozen=True)
class GridStrokes:
    """Strokes in whole grid units: ``points`` (N, 2), ``offsets`` (M + 1,), ``pen_index`` (M,); no
    point equals the one before it.
    """

    points: IntArray
    offsets: IntArray
    pen_index: IntArray

    def __len__(self) -> int:
        return len(self.offsets) - 1

    def chosen(self, strokes: IntArray) -> GridStrokes:
        """Only ``strokes``, in that order."""
        rows, offsets = ragged.take(self.offsets, strokes)
        return GridStrokes(self.points[rows], offsets, self.pen_index[strokes])


def to_grid(drawing: Drawing, machine: Machine, sheet: Sheet | None) -> GridStrokes:
    """The drawing, laid where the sheet lies, in whole units of the bed; points that fall
    together are dropped.
    """
    placed = drawing.points if sheet is None else sheet.to_bed(drawing.points)
    units = machine.to_units(placed)
    points, offsets = ragged.without_repeats(units, drawing.offsets)
    return GridStrokes(points, offsets, drawing.pen_index)


def seats(pens: tuple[Pen, ...], pen_index: IntArray, machine: Machine) -> IntArray:
    """How far (M, 2) in units the ink of each stroke lies from where the carriage stands."""
    if not pens:
        return np.zeros((0, 2), np.int64)
    offsets: IntArray = machine.to_units([pen.offset for pen in pens])
    return offsets[pen_index]


def stands(machine: Machine) -> tuple[tuple[int, int], tuple[int, int]]:
    """The home and the park point in whole grid units."""
    (a, b), (c, d) = machine.to_units([machine.home, machine.park]).tolist()
    return (a, b), (c, d)
