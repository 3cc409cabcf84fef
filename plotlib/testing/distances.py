"""How far lines lie from other lines, at the place where they lie farthest."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import shapely

from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing

_DOT = 1e-9  # mm; shorter pieces are dots, since their squares may vanish


class Pieces(NamedTuple):
    """Straight pieces of strokes."""

    ends: FloatArray  # (n, 2, 2), mm; a dot has two equal ends
    stroke: IntArray  # (n,), the stroke of each
    along: FloatArray  # (n,), mm from the start of its stroke to its first end


class Place(NamedTuple):
    """A place on a stroke, and how far it lies from the other lines."""

    distance: float  # mm
    where: FloatArray  # (2,), mm
    stroke: int


def pieces(drawing: Drawing) -> Pieces:
    """The segments and dots of a drawing, stroke by stroke."""
    starts = drawing.offsets[:-1]
    sizes = np.diff(drawing.offsets)
    first = np.ones(len(drawing.points), bool)
    first[drawing.offsets[1:] - 1] = sizes == 1  # the last point begins no segment, but a dot
    begin = np.flatnonzero(first)
    stroke = np.searchsorted(starts, begin, side="right") - 1
    end = np.where(sizes[stroke] == 1, begin, begin + 1)
    ends = np.stack([drawing.points[begin], drawing.points[end]], axis=1)
    lengths = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    ends[lengths < _DOT, 1] = ends[lengths < _DOT, 0]
    before = np.concatenate([[0.0], np.cumsum(lengths)])[:-1]
    of_stroke = np.searchsorted(begin, starts)
    along = before - before[of_stroke][stroke] if len(begin) else before
    return Pieces(ends, stroke, along)


def as_lines(ends: FloatArray) -> Any:
    """Shapely lines, points where both ends are the same; shape (n,), dtype object."""
    lines: Any = shapely.linestrings(ends)
    is_dot = (ends[:, 0] == ends[:, 1]).all(axis=1)
    lines[is_dot] = shapely.points(ends[is_dot, 0])
    return lines


def farthest(looked_at: Pieces, others: FloatArray, tolerance: float) -> Place | None:
    """A place that lies farther than ``tolerance`` from all other pieces, shape (m, 2, 2); None if
    there is none.

    A piece both of whose ends are near one other piece is near it all along, since a segment with a
    rim of equal width is convex; and nothing lies farther than the middle by more than half the
    length. What neither settles is halved until it is as short as a hundredth of the tolerance, or
    of a millimetre where that is shorter.
    """
    if not len(looked_at.ends):
        return None
    if not len(others):
        return Place(np.inf, looked_at.ends[0, 0], int(looked_at.stroke[0]))
    lines = as_lines(others)
    tree = shapely.STRtree(lines)
    ends = looked_at.ends
    stroke = looked_at.stroke
    while len(ends):
        middle = ends.mean(axis=1)
        near, distance = _nearest(tree, middle)
        worst = _worst(tree, ends, middle, distance)
        if worst.distance > tolerance:
            return Place(worst.distance, worst.where, int(stroke[worst.stroke]))
        half = np.hypot(*(ends[:, 1] - ends[:, 0]).T) / 2
        to_ends = shapely.distance(shapely.points(ends), lines[near][:, None]).max(axis=1)
        is_settled = (to_ends <= tolerance) | (distance + half <= tolerance)
        left = ~is_settled & (half > min(tolerance, 1.0) / 100)
        low, high = ends[left].swapaxes(0, 1)
        cut = middle[left]
        ends = np.concatenate([np.stack([low, cut], axis=1), np.stack([cut, high], axis=1)])
        stroke = np.tile(stroke[left], 2)
    return None


def _worst(
    tree: shapely.STRtree, ends: FloatArray, middle: FloatArray, distance: FloatArray
) -> Place:
    """The farthest of all ends and middles, with the number of its piece as the stroke."""
    _, to_low = _nearest(tree, ends[:, 0])
    _, to_high = _nearest(tree, ends[:, 1])
    all_of_them = np.stack([to_low, distance, to_high])
    which, piece = np.unravel_index(int(np.argmax(all_of_them)), all_of_them.shape)
    where = (ends[piece, 0], middle[piece], ends[piece, 1])[int(which)]
    return Place(float(all_of_them[which, piece]), where, int(piece))


def _nearest(tree: shapely.STRtree, places: FloatArray) -> tuple[IntArray, FloatArray]:
    """For each place the number of the nearest line, and its distance in mm."""
    found, distance = tree.query_nearest(
        shapely.points(places), return_distance=True, all_matches=False
    )
    order = np.argsort(found[0], kind="stable")
    return found[1][order], distance[order]
