"""Runs of points that lie on arcs of circles, and arcs as points."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray

if TYPE_CHECKING:
    from plotlib.arrays.arcs_kernel import Rules

TOLERANCE = 0.03  # mm: the chord error of curves, 0.02, and the rounding to two decimals
_SAME = 1e-9  # steps: what floats may be off
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
    start: FloatArray, centre: FloatArray, end: FloatArray, sweep: FloatArray, *, tolerance: float
) -> tuple[FloatArray, IntArray]:
    """Points (K, 2) along arcs (A) between their ends, and the arc (K,) of each.

    Their chords lie within ``tolerance`` of the arcs; the leftmost, lowest, rightmost and topmost
    places are among them. ``start``, ``centre`` and ``end`` are (A, 2), ``sweep`` (A,) is in
    radians, positive counter-clockwise, and not 0. Where the ends are not equally far from the
    centre the distance changes evenly with the angle.
    """
    near = np.hypot(*(start - centre).T)
    far = np.hypot(*(end - centre).T)
    largest = np.maximum(np.maximum(near, far), tolerance)
    step = 2.0 * np.arccos(np.maximum(0.0, 1.0 - tolerance / largest))
    counts = np.maximum(1, np.ceil(np.abs(sweep) / step - 1e-9)).astype(np.int64)
    first = np.arctan2(*(start - centre).T[::-1])
    owner, share = _shares(first, sweep, counts)
    angle = first[owner] + sweep[owner] * share
    reach = near[owner] + (far - near)[owner] * share
    away = np.column_stack([reach * np.cos(angle), reach * np.sin(angle)])
    return centre[owner] + away, owner


def _shares(first: FloatArray, sweep: FloatArray, counts: IntArray) -> tuple[IntArray, FloatArray]:
    """The arc (K,) of each point between its ends, and the share (K,) of its sweep done there:
    ``counts`` (A,) even steps, and where it runs along an axis.
    """
    inner = counts - 1
    begun = np.cumsum(inner) - inner
    owner = np.repeat(np.arange(len(counts)), inner)
    share = (np.arange(1, len(owner) + 1) - begun[owner]) / counts[owner]
    who, where = _extremes(first, sweep)
    even = where * counts[who]
    between = np.abs(even - np.rint(even)) > _SAME  # else an even step ends there
    who = who[between]
    where = where[between]
    at = begun[who] + np.minimum((where * counts[who]).astype(np.int64), inner[who])
    return np.insert(owner, at, who), np.insert(share, at, where)


def _extremes(first: FloatArray, sweep: FloatArray) -> tuple[IntArray, FloatArray]:
    """The arc (E,) of each place where one runs along an axis, and the share (E,) of its sweep done
    there, its ends left out.
    """
    quarter = math.pi / 2
    side = np.sign(sweep)
    begin = np.ceil(first * side / quarter) * side
    angles = (begin[:, None] + side[:, None] * np.arange(5)) * quarter
    share = (angles - first[:, None]) / sweep[:, None]
    owner, column = np.nonzero((share > 1e-6) & (share < 1 - 1e-6))
    return owner, share[owner, column]
