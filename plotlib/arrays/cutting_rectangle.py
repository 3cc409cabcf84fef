"""The sides of strokes of an axis-parallel rectangle: parametric clipping of all segments at
once.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plotlib.arrays.cutting_pieces import Nodes
from plotlib.checks import BoolArray, FloatArray, IntArray

TOLERANCE = 1e-9
"""Ink nearer to an edge than this (mm) lies on it."""


class Rectangle:
    """A knife with four straight edges; everything in it is exact but for the tolerance, which it
    trims away again.
    """

    def __init__(self, bounds: tuple[float, float, float, float]) -> None:
        self.low = np.array(bounds[:2])
        self.high = np.array(bounds[2:])

    def whole(self, points: FloatArray, offsets: IntArray) -> IntArray:
        """For each stroke 1 (all of it inside), 0 (all beyond one edge) or -1."""
        codes = self._codes(points)
        anywhere = np.bitwise_or.reduceat(codes, offsets[:-1])
        everywhere = np.bitwise_and.reduceat(codes, offsets[:-1])
        return np.where(anywhere == 0, 1, np.where(everywhere != 0, 0, -1))

    def nodes(self, points: FloatArray, offsets: IntArray) -> Nodes:
        """Strokes with their crossings; at most two on each segment, as a rectangle is convex."""
        codes = self._codes(points)
        start = codes[:-1]
        end = codes[1:]
        inside = np.append((start | end) == 0, False)
        unclear = ((start & end) == 0) & ~inside[:-1]
        unclear[offsets[1:-1] - 1] = False
        segment = np.flatnonzero(unclear)
        entry, exit_, crosses = self._clipped(points[segment], points[segment + 1])
        enters = crosses & (start[segment] != 0)
        leaves = crosses & (end[segment] != 0)
        inside[segment] = crosses & ~enters
        crossings = [
            (segment[enters], entry[enters], True),
            (segment[leaves], exit_[leaves], False),
        ]
        return _woven(points, offsets, inside, crossings)

    def trimmed(self, points: FloatArray) -> FloatArray:
        """The same points, moved onto the edge where they lie outside."""
        if (points >= self.low).all() and (points <= self.high).all():
            return points
        return np.where(
            points < self.low, self.low, np.where(points > self.high, self.high, points)
        )

    def _codes(self, points: FloatArray) -> NDArray[np.uint8]:
        """The sides on which each point is outside, as bits."""
        x = points[:, 0]
        y = points[:, 1]
        low = self.low - TOLERANCE
        high = self.high + TOLERANCE
        code: NDArray[np.uint8] = (x < low[0]).view(np.uint8) | ((x > high[0]).view(np.uint8) << 1)
        code |= (y < low[1]).view(np.uint8) << 2
        code |= (y > high[1]).view(np.uint8) << 3
        return code

    def _clipped(
        self, start: FloatArray, end: FloatArray
    ) -> tuple[FloatArray, FloatArray, BoolArray]:
        """Where segments enter and leave the rectangle, and whether they have more than a touch in
        it.
        """
        way = end - start
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            to_low = (self.low - start) / way
            to_high = (self.high - start) / way
        level = way == 0
        between = (start >= self.low) & (start <= self.high)
        enter = np.where(level, np.where(between, -np.inf, np.inf), np.minimum(to_low, to_high))
        leave = np.where(level, np.where(between, np.inf, -np.inf), np.maximum(to_low, to_high))
        first = enter.max(axis=1)
        last = leave.min(axis=1)
        length = np.hypot(way[:, 0], way[:, 1])
        share = np.minimum(last, 1) - np.maximum(first, 0)
        crosses = np.maximum(share, 0) * length > TOLERANCE
        near = np.where(way > 0, self.low, self.high)
        far = np.where(way > 0, self.high, self.low)
        entry = self._at(start, way, first, np.where(enter == first[:, None], near, np.nan))
        exit_ = self._at(start, way, last, np.where(leave == last[:, None], far, np.nan))
        return entry, exit_, crosses

    def _at(
        self, start: FloatArray, way: FloatArray, parameter: FloatArray, edge: FloatArray
    ) -> FloatArray:
        with np.errstate(invalid="ignore", over="ignore"):
            point = start + parameter[:, None] * way
        return np.where(np.isnan(edge), np.minimum(np.maximum(point, self.low), self.high), edge)


def _woven(
    points: FloatArray,
    offsets: IntArray,
    inside: BoolArray,
    crossings: list[tuple[IntArray, FloatArray, bool]],
) -> Nodes:
    """Put crossings (segment, point, side after it) after the points that begin their segments, in
    the order given.
    """
    extra = np.zeros(len(points), dtype=np.int64)
    for segment, _, _ in crossings:
        extra[segment] += 1
    place = np.arange(len(points)) + np.cumsum(extra) - extra
    total = len(points) + int(extra.sum())
    woven = np.empty((total, 2))
    side = np.empty(total, dtype=np.bool_)
    given = np.zeros(total, dtype=np.bool_)
    woven[place] = points
    side[place] = inside
    given[place] = True
    after = place + 1
    for segment, point, value in crossings:
        woven[after[segment]] = point
        side[after[segment]] = value
        after[segment] += 1
    return Nodes(woven, np.append(place, total)[offsets], side, given)
