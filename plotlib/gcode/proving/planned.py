"""What a program has to draw: all of a plot, or some strokes of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plotlib.checks import IntArray
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.bending import Arcs
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet


@dataclass(frozen=True)
class Planned:
    """Strokes of a plot with the pen-up ways to them.

    Attributes
    ----------
    machine, sheet, pens
        Those of the plot.
    units, offsets, pen_index : (N, 2), (M + 1,), (M,)
        The strokes in units of the grid, as a drawing has them in mm.
    begin, end : (L, 2)
        The ends of the ways, in units; both may be equal: then nothing moves.
    arcs : Arcs
        Counted in these points.
    is_from_home : bool
        Whether the first way is the first of the plot.
    """

    machine: Machine
    sheet: Sheet | None
    pens: tuple[Pen, ...]
    units: IntArray
    offsets: IntArray
    pen_index: IntArray
    begin: IntArray
    end: IntArray
    arcs: Arcs
    is_from_home: bool

    def __len__(self) -> int:
        """The number of strokes."""
        return len(self.offsets) - 1


def planned(plot: Plot, first: int = 0, end: int | None = None) -> Planned:
    """The strokes ``first`` … ``end - 1`` and the ways to them; the ways after the last stroke of
    the plot too.
    """
    drawing = plot.drawing
    count = len(drawing)
    legs = plot.legs
    end = count if end is None else min(end, count)
    ways = slice(
        _ways_to(legs.stroke, first),
        len(legs.stroke) if end == count else _ways_to(legs.stroke, end),
    )
    low, high = drawing.offsets[[first, end]].tolist()
    arcs = slice(*np.searchsorted(plot.arcs.first, [low, high]).tolist())
    return Planned(
        plot.machine,
        plot.sheet,
        drawing.pens,
        plot.units[low:high],
        drawing.offsets[first : end + 1] - low,
        drawing.pen_index[first:end],
        legs.begin[ways],
        legs.end[ways],
        _arcs(plot.arcs, arcs, low),
        not first,
    )


def _ways_to(strokes: IntArray, stroke: int) -> int:
    """How many ways there are up to the stroke before a stroke."""
    if not stroke:
        return 0
    return int(np.flatnonzero(strokes == stroke - 1)[0]) + 1


def _arcs(arcs: Arcs, some: slice, low: int) -> Arcs:
    return Arcs(arcs.first[some] - low, arcs.last[some] - low, arcs.centre[some], arcs.side[some])
