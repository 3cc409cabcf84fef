"""Strokes of a tour, and the vertices at which closed ones may be entered: their seats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray, IntArray
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.lists import EACH, KEPT, Lists, Seats, look_further

LOOKED = (
    20  # other runs looked at for a list; each is one place, so fewer than lists of points need
)


@dataclass(frozen=True)
class Strokes:
    """Strokes with two ends each, closed ones at one of their vertices.

    Attributes
    ----------
    xy : FloatArray
        Shape (2n, 2): the ends of stroke s are 2s and 2s + 1; nan for an end without a place.
    vertices : FloatArray
        Shape (V, 2): where closed strokes may be entered.
    first : IntArray
        Shape (n + 1,): stroke s has the vertices ``first[s]:first[s + 1]``, none where its ends
        are fixed.
    """

    xy: FloatArray
    vertices: FloatArray
    first: IntArray

    @classmethod
    def fixed(cls, xy: FloatArray) -> Strokes:
        """Strokes without a choice."""
        return cls(xy, np.zeros((0, 2)), np.zeros(len(xy) // 2 + 1, np.int64))

    @property
    def choices(self) -> bool:
        """Whether any stroke may be entered at several vertices."""
        return len(self.vertices) > 0

    @property
    def share(self) -> float:
        """How many of the strokes may be entered at several vertices, 0 to 1."""
        return float(np.mean(np.diff(self.first) > 0))

    def along(self, seq: NDArray[np.int32] | IntArray) -> Strokes:
        """The strokes (or some of them) in the order and direction of their entry ends ``seq``."""
        seq = np.asarray(seq, np.int64)
        xy = self.xy[np.stack([seq, seq ^ 1], axis=1).ravel()]
        stroke = seq >> 1
        counts = self.first[stroke + 1] - self.first[stroke]
        first = np.concatenate([[0], np.cumsum(counts)])
        rows = np.repeat(self.first[stroke] - first[:-1], counts) + np.arange(first[-1])
        return Strokes(xy, self.vertices[rows], first)


def seat_lists(metric: Metric, strokes: Strokes, *, free: int = -1) -> Lists:
    """Lists of near ends for every place where an end may be; see
    :func:`plotlib.planning.ordering.lists.near_lists`.
    """
    from plotlib.planning.ordering.seats_kernel import Listed, list_ends

    n = len(strokes.first) - 1
    counts = np.diff(strokes.first)
    fixed = counts == 0
    dot = (strokes.xy[0::2] == strokes.xy[1::2]).all(axis=1)
    known = ~np.isnan(strokes.xy[:, 0]).reshape(-1, 2)
    rows_of = np.where(fixed, np.where(dot, 1, known.sum(axis=1)), counts)
    begin = np.concatenate([[0], np.cumsum(rows_of)])
    stroke = np.repeat(np.arange(n), rows_of)
    within = np.arange(begin[-1]) - begin[stroke]
    twin = (dot | ~fixed)[stroke]
    # of a stroke with one known end, the first row is that end
    second = np.where(twin, 0, np.where(known[stroke, 0], within, 1))
    enter = 2 * stroke + second
    places = strokes.xy[enter]
    chosen = ~fixed[stroke]
    places[chosen] = strokes.vertices
    key = np.where(twin, 2 * stroke, enter)
    row = np.full(2 * n, begin[-1], np.int64)
    row[enter] = np.arange(begin[-1])
    row[enter[twin] + 1] = row[enter[twin]]
    span = np.stack([begin[:-1], np.where(fixed, 0, counts)], axis=1).astype(np.int32)
    for s in np.flatnonzero(~fixed):
        here = (strokes.vertices[strokes.first[s] : strokes.first[s + 1]] == strokes.xy[2 * s]).all(
            axis=1
        )
        row[2 * s : 2 * s + 2] = begin[s] + int(np.argmax(here))
    near = _near_rows(metric, places, key)
    twins = bool(twin.sum() > 0 and np.sum(dot | ~fixed) > 0.2 * n)
    wide = KEPT * (2 if twins else 1) + (free >= 0)
    ends = np.full((len(places) + 1, wide), -1, np.int32)
    port = np.full(ends.shape, -1, np.int32)
    far = np.full(ends.shape, np.inf)
    listed = Listed(ends[:-1], port[:-1], far[:-1])
    list_ends(metric, places, near, enter, twin.astype(np.int64), free, listed)
    every = np.concatenate([places, [[np.nan, np.nan]]])
    seats = Seats(every, port, span, np.arange(len(every), dtype=np.int32))
    return Lists(row=row.astype(np.int32), near=ends, far=far, twins=twins, seats=seats)


def _near_rows(metric: Metric, places: FloatArray, key: IntArray) -> NDArray[np.int32]:
    """For each place the places of other runs near it, nearest first."""
    scale = metric.scale

    def near_some(
        chosen: IntArray, looked: int, each: int, kept: int
    ) -> tuple[NDArray[np.int32], IntArray]:
        from plotlib.planning.kd_tree_kernel import Tree, build_tree
        from plotlib.planning.ordering.seats_kernel import near_rows

        points = places[chosen]
        perm, ranges, boxes = build_tree(points, *scale)
        near = np.empty((len(points), kept), np.int32)
        tree = Tree(points[perm], ranges, boxes)
        near_rows(metric, tree, perm, key[chosen][perm], looked, each, near)
        return near, perm

    near, perm = near_some(np.arange(len(places)), LOOKED, EACH, KEPT)
    look_further(near_some, places, scale, near, perm)
    return near
