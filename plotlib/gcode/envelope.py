"""Whether a toolpath stays where its machine allows: how far it leaves the bed, and where it
crosses a keep-out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from plotlib.checks import BoolArray, FloatArray
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import KeepOut, Machine

_SAME = 1e-9  # mm: what a sum of decimals may be off; the finest grid counts 1e-6
_SIDES = ("left", "bottom", "right", "top")


@dataclass(frozen=True)
class Excess:
    """The place that is farthest outside.

    Attributes
    ----------
    line : int
        The line that leads there, from 1.
    side : str
        "left", "right", "bottom" or "top" of the bed, or "keep-out".
    excess : float
        By how many mm; for a keep-out the mm of way inside.
    place : (float, float)
        Bed mm, not a number where unknown; the end of the move for a keep-out.
    count : int
        How many moves are outside.
    """

    line: int
    side: str
    excess: float
    place: tuple[float, float]
    count: int

    @property
    def where(self) -> str:
        """The place in words."""
        x, y = ("unknown" if math.isnan(value) else f"{value:g}" for value in self.place)
        return f"({x}, {y})"


def excess(toolpath: Toolpath, machine: Machine) -> Excess | None:
    """The worst place off the bed, ink and travel alike; None when everything stays on it."""
    moves = toolpath.moves
    half = toolpath.glimpses
    if not _leaves(toolpath, (machine.width, machine.height)):
        return None
    places = np.concatenate([moves.end, half.place, moves.start, toolpath.points])
    lines = np.concatenate([moves.line, half.line, moves.line, toolpath.point_lines])
    over = np.column_stack([-places, places - (machine.width, machine.height)])
    over[np.isnan(over)] = -math.inf  # what is not known is no excess; the other axis may be one
    worst = over.max(axis=1)
    out = worst > _SAME
    at = int(np.argmax(worst))
    x, y = places[at].tolist()
    return Excess(
        int(lines[at]),
        _SIDES[int(np.argmax(over[at]))],
        float(worst[at]),
        (x, y),
        int(out[: len(moves.line) + len(half.line)].sum()) or 1,
    )


def _leaves(toolpath: Toolpath, size: tuple[float, float]) -> bool:
    """Whether anything known leaves the bed: most programs do not, and need no tables of all their
    places to see it.
    """
    moves = toolpath.moves
    tables = (moves.end, toolpath.glimpses.place, moves.start, toolpath.points)
    for table in tables:
        for along, end in zip(table.T, size, strict=True):
            low = np.fmin.reduce(along, initial=math.inf)
            high = np.fmax.reduce(along, initial=-math.inf)
            if -low > _SAME or high - end > _SAME:
                return True
    return False


def trespass(toolpath: Toolpath, machine: Machine) -> Excess | None:
    """The first move through a keep-out: ink through any, travel through those with
    ``passable=False``; None when there is none.

    A keep-out counts from one unit of the grid inside its edge, since strokes that end on the edge
    are rounded to the grid.
    """
    found = [_first(toolpath, keep_out, machine.unit) for keep_out in machine.keep_outs]
    return min(
        (item for item in found if item is not None), key=lambda item: item.line, default=None
    )


def _first(toolpath: Toolpath, keep_out: KeepOut, unit: float) -> Excess | None:
    inner = keep_out.area.buffer(-unit, join_style="mitre")
    if inner.is_empty:
        return None
    moves = toolpath.moves
    chosen = np.flatnonzero(
        (moves.down | (not keep_out.passable)) & _near(moves.start, moves.end, inner.bounds)
    )
    shapely.prepare(inner)
    ways = shapely.linestrings(np.stack([moves.start[chosen], moves.end[chosen]], axis=1))
    hit = chosen[shapely.intersects(inner, ways)]
    dots = toolpath.offsets[:-1][np.diff(toolpath.offsets) == 1]
    dots = dots[shapely.intersects_xy(inner, toolpath.points[dots])]
    lines = [(int(moves.line[hit[0]]), moves.end[hit[0]])] if len(hit) else []
    lines += [(int(toolpath.point_lines[dots[0]]), toolpath.points[dots[0]])] if len(dots) else []
    if not lines:
        return None
    line, place = min(lines, key=lambda item: item[0])
    inside = shapely.length(
        shapely.intersection(
            inner, shapely.linestrings(np.stack([moves.start[hit], moves.end[hit]], axis=1))
        )
    ).sum()
    x, y = place.tolist()
    return Excess(line, "keep-out", float(inside), (x, y), len(hit) + len(dots))


def _near(
    start: FloatArray, end: FloatArray, bounds: tuple[float, float, float, float]
) -> BoolArray:
    """Which moves have a box that meets ``bounds``."""
    low = np.minimum(start, end)
    high = np.maximum(start, end)
    return np.asarray((low <= bounds[2:]).all(axis=1) & (high >= bounds[:2]).all(axis=1))
