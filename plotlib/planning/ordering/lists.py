"""Lists of near ends: for every end of a tour the links worth trying."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray, IntArray
from plotlib.planning.metric import Metric

# Quadrant neighbours (Johnson and McGeoch, 1997). Measured on a prototype: drill boards in rows
# stay 0.9 % above the optimum without quadrants; windows of 20 points are blind in dense rows.
SEARCHED = 60  # nearest points looked at for a list
EACH = 2  # taken in every quadrant
KEPT = 10  # points in a list
# Every COARSER-th point of the tree ends its list with DISTANT points among these, and so on, so
# that clusters far apart know of each other.
COARSER = 8
DISTANT = 4


@dataclass(frozen=True)
class Seats:
    """Where ends may be, if closed runs may be entered at several vertices: each row of the lists
    is a place.

    Attributes
    ----------
    places : FloatArray
        Shape (rows, 2).
    port : NDArray[np.int32]
        Shape (rows, width): the row at which the listed end would be.
    span : NDArray[np.int32]
        Shape (n, 2): first row of each stroke and how many it has to choose from, 0 where it has no
        choice.
    origin : NDArray[np.int32]
        Shape (rows,): number of each row in the lists that these are a part of.
    """

    places: FloatArray
    port: NDArray[np.int32]
    span: NDArray[np.int32]
    origin: NDArray[np.int32]


@dataclass(frozen=True)
class Lists:
    """``near[row[e]]`` are the ends near end e, nearest first, -1 after the last; ``far`` are the
    costs of the links to them.
    """

    row: NDArray[np.int32]
    near: NDArray[np.int32]
    far: FloatArray
    twins: bool
    seats: Seats | None = None


def near_lists(
    metric: Metric,
    xy: FloatArray,
    *,
    searched: int = SEARCHED,
    each: int = EACH,
    kept: int = KEPT,
    free: int = -1,
) -> Lists:
    """Lists for all ends ``xy`` (2n, 2); an end with x = nan is near nothing, and ``free`` (such an
    end) is near to all.

    Unless ``each`` is 0, some of the ends know a few that lie further off.
    """
    from plotlib.planning.ordering.neighbours_kernel import near_ends, row_costs

    ends = np.flatnonzero(~np.isnan(xy[:, 0]))
    whole = xy[ends].astype(np.int64)
    keys = (whole[:, 0] << 32) + whole[:, 1]
    ranked = np.argsort(keys, kind="stable")
    fresh = np.concatenate([[True], np.diff(keys[ranked]) != 0])[: len(ends)]
    begin = np.append(np.flatnonzero(fresh), len(ends))
    ends = ends[ranked]
    row = np.full(len(xy), len(begin) - 1, np.int32)
    row[ends] = np.cumsum(fresh) - 1
    at = ends[begin[:-1]]
    points = xy[at]
    scale = metric.scale

    def near_some(chosen: IntArray, *how: int) -> tuple[NDArray[np.int32], IntArray]:
        return _near_points(metric, points[chosen], scale, *how)

    near, perm = near_some(np.arange(len(points)), searched, each, kept)
    if each > 0:
        look_further(near_some, points, scale, near, perm)
    wide = kept * (2 if len(ends) > 1.2 * len(points) else 1) + (free >= 0)
    listed = np.full((len(points) + 1, wide), -1, np.int32)
    near_ends(near, begin, ends, 6, free, listed[:-1])
    far = np.full(listed.shape, np.inf)
    row_costs(metric, xy, at, listed[:-1], far[:-1])
    return Lists(row=row, near=listed, far=far, twins=len(ends) > 1.2 * len(points))


def _near_points(
    metric: Metric,
    points: FloatArray,
    scale: tuple[float, float],
    searched: int,
    each: int,
    kept: int,
) -> tuple[NDArray[np.int32], IntArray]:
    """For each point the points near it, nearest first, and the points in the order of their
    tree.
    """
    from plotlib.planning.kd_tree_kernel import Tree, build_tree
    from plotlib.planning.ordering.neighbours_kernel import near_points

    perm, ranges, boxes = build_tree(points, *scale)
    near = np.empty((len(points), kept), np.int32)
    near_points(metric, Tree(points[perm], ranges, boxes), perm, searched, each, near)
    return near, perm


def look_further(
    near_some: Callable[..., tuple[NDArray[np.int32], IntArray]],
    points: FloatArray,
    scale: tuple[float, float],
    near: NDArray[np.int32],
    chosen: IntArray,
) -> None:
    """Let some points know points further off: where dots lie in clusters, near ones alone never
    lead out of a cluster.

    ``near_some(chosen, searched, each, kept)`` finds what is near among some points only.
    """
    while len(chosen) >= 2 * COARSER:
        chosen = chosen[COARSER // 2 :: COARSER]
        found, _ = near_some(chosen, SEARCHED, 1, DISTANT)
        rows = near[chosen]
        rows[:, -DISTANT:] = np.where(found >= 0, chosen[found], -1)
        away = (points[np.where(rows >= 0, rows, 0)] - points[chosen][:, None]) * scale
        distance = np.where(rows >= 0, np.hypot(away[..., 0], away[..., 1]), np.inf)
        near[chosen] = np.take_along_axis(rows, np.argsort(distance, axis=1, kind="stable"), axis=1)
