"""Runs of points that lie on arcs of circles, and arcs as points."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray

if TYPE_CHECKING:
    from plotlib.arrays.arcs_kernel import Rules

TOLERANCE = 0.03  # mm: the chord error of curves, 0.02, and the rounding to two decimals
_AT_ONCE = 200_000  # points between two chances of Ctrl-C, a few hundredths of a second


class Runs(NamedTuple):
    """Runs of points on arcs, in their order.

    Attributes
    ----------
    first, last : ndarray (A,)
        Their ends, as rows of the points.
    centre : ndarray (A, 2)
        In the unit of the points.
    sweep : ndarray (A,)
        How far they turn, in radians, positive counter-clockwise; a full circle where both ends
        are the same place.
    """

    first: IntArray
    last: IntArray
    centre: FloatArray
    sweep: FloatArray


def runs_on_arcs(points: FloatArray, offsets: IntArray, rules: Rules) -> Runs:
    """The runs (A) of ragged strokes that lie on arcs."""
    from plotlib.arrays.arcs_kernel import find

    all_ends = [np.zeros((0, 2), np.int64)]
    all_shapes = [np.zeros((0, 3))]
    begin = 0
    while begin < len(offsets) - 1:
        until = int(np.searchsorted(offsets, offsets[begin] + _AT_ONCE, side="right")) - 1
        until = max(until, begin + 1)
        low = offsets[begin]
        some = np.ascontiguousarray(points[low : offsets[until]], np.float64)
        ends, shapes = find(some, offsets[begin : until + 1] - low, rules)
        all_ends.append(ends + low)
        all_shapes.append(shapes)
        begin = until
    ends = np.concatenate(all_ends)
    shapes = np.concatenate(all_shapes)
    centre = shapes[:, :2]
    sweep = sweeps(points[ends[:, 0]] - centre, points[ends[:, 1]] - centre, shapes[:, 2])
    return Runs(ends[:, 0], ends[:, 1], centre, sweep)


def sweeps(start: FloatArray, end: FloatArray, side: FloatArray) -> FloatArray:
    """How far (A,) to turn from one direction (A, 2) to another, to the left (side 1) or right
    (-1), in radians; a full turn where they are the same.
    """
    cross = start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]
    dot = (start * end).sum(axis=1)
    turn = (np.arctan2(cross, dot) * side) % math.tau
    return np.asarray(np.where((start == end).all(axis=1), math.tau, turn) * side)


def inner_points(
    start: FloatArray, centre: FloatArray, end: FloatArray, sweep: float, *, tolerance: float
) -> FloatArray:
    """Points (k, 2) along an arc between its ends, chords within ``tolerance`` of it, its
    leftmost, lowest, rightmost and topmost points among them.

    Where the ends are not equally far from the centre the distance changes evenly with the angle.
    """
    near = math.dist(start, centre)
    far = math.dist(end, centre)
    step = 2.0 * math.acos(max(0.0, 1.0 - tolerance / max(near, far, tolerance)))
    count = max(1, math.ceil(abs(sweep) / step - 1e-9))
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    share = np.unique(np.concatenate([np.arange(1, count) / count, _extremes(first, sweep)]))
    angle = first + sweep * share
    reach = near + (far - near) * share
    return np.column_stack([centre[0] + reach * np.cos(angle), centre[1] + reach * np.sin(angle)])


def _extremes(first: float, sweep: float) -> FloatArray:
    """The shares of a sweep at which an arc runs along an axis, its ends left out."""
    quarter = math.pi / 2
    low, high = sorted((first, first + sweep))
    angles = np.arange(math.ceil(low / quarter), math.floor(high / quarter) + 1) * quarter
    share = (angles - first) / sweep
    return np.asarray(share[(share > 1e-6) & (share < 1 - 1e-6)])
