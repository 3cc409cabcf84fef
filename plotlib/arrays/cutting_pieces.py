"""From strokes with known sides to pieces: runs of links of one side, as ranges of a pool of
points.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plotlib.arrays.ragged import MEET, gaps
from plotlib.checks import BoolArray, FloatArray, IntArray


@dataclass(frozen=True)
class Nodes:
    """Strokes with crossings put in; each node but the last of a stroke begins a link.

    Attributes
    ----------
    points : ndarray, shape (K, 2)
    offsets : ndarray, shape (M + 1,)
        Each stroke has at least one link with a length.
    inside : ndarray of bool, shape (K,)
        Side of the link that begins at each node; without meaning at the last node of a stroke.
    given : ndarray of bool, shape (K,)
        Whether the node is a point of the stroke, not a crossing.
    """

    points: FloatArray
    offsets: IntArray
    inside: BoolArray
    given: BoolArray

    def tidied(self) -> Nodes:
        """The same strokes without crossings at which the side does not change (a touch is no
        cut).
        """
        inside = _inherited(self.points, self.offsets, self.inside)
        needed = self.given.copy()
        needed[1:] |= inside[1:] != inside[:-1]
        if needed.all():
            return Nodes(self.points, self.offsets, inside, self.given)
        offsets = np.concatenate(([0], np.cumsum(needed)))[self.offsets]
        return Nodes(self.points[needed], offsets, inside[needed], self.given[needed])


@dataclass(frozen=True)
class Ranges:
    """Slices of a pool of points; one that is not ``fresh`` goes on the piece before it."""

    start: IntArray
    stop: IntArray
    source: IntArray
    fresh: BoolArray

    @staticmethod
    def strokes(offsets: IntArray, chosen: IntArray) -> Ranges:
        """Whole strokes."""
        return Ranges(
            offsets[chosen], offsets[chosen + 1], chosen, np.ones(len(chosen), dtype=np.bool_)
        )

    def moved(self, shift: int, source: IntArray) -> Ranges:
        """The same slices ``shift`` further on in the pool, of strokes numbered anew."""
        return Ranges(self.start + shift, self.stop + shift, source[self.source], self.fresh)

    def merged(self, other: Ranges) -> Ranges:
        """Both, in the order of their strokes."""
        source = np.concatenate((self.source, other.source))
        return Ranges(
            np.concatenate((self.start, other.start)),
            np.concatenate((self.stop, other.stop)),
            source,
            np.concatenate((self.fresh, other.fresh)),
        ).ordered(source)

    def ordered(self, key: IntArray) -> Ranges:
        """Sorted by ``key``; what has equal keys keeps its order."""
        order = np.argsort(key, kind="stable")
        return Ranges(self.start[order], self.stop[order], self.source[order], self.fresh[order])


def gathered(pool: FloatArray, ranges: Ranges) -> tuple[FloatArray, IntArray]:
    """Points and offsets of the pieces."""
    counts = ranges.stop - ranges.start
    ends = np.cumsum(counts)
    total = int(ends[-1]) if len(ends) else 0
    offsets = np.append((ends - counts)[ranges.fresh], total)
    index = np.arange(total) + np.repeat(ranges.start - (ends - counts), counts)
    return pool.take(index, axis=0), offsets


def pieces(nodes: Nodes, inside: bool) -> Ranges:
    """Runs of links of the wanted side; the runs that meet at the start of a closed stroke are one
    piece.
    """
    wanted = nodes.inside == inside
    wanted[nodes.offsets[1:] - 1] = False
    before = np.append(False, wanted[:-1])
    after = np.append(wanted[1:], False)
    start = np.flatnonzero(wanted & ~before)
    stop = np.flatnonzero(wanted & ~after) + 2
    source = np.searchsorted(nodes.offsets, start, side="right") - 1
    return _stitched(nodes, Ranges(start, stop, source, np.ones(len(start), dtype=np.bool_)))


def _stitched(nodes: Nodes, runs: Ranges) -> Ranges:
    closed = gaps(nodes.points, nodes.offsets) <= MEET
    head = np.flatnonzero((runs.start == nodes.offsets[runs.source]) & closed[runs.source])
    tail = np.flatnonzero((runs.stop == nodes.offsets[runs.source + 1]) & closed[runs.source])
    last = np.full(len(closed), -1)
    last[runs.source[tail]] = tail
    partner = last[runs.source[head]]
    joins = (partner >= 0) & (partner != head)
    head = head[joins]
    partner = partner[joins]
    key = 2 * np.arange(len(runs.start))
    key[head] = 2 * partner + 1
    start = runs.start.copy()
    fresh = runs.fresh.copy()
    start[head] += 1
    fresh[head] = False
    return Ranges(start, runs.stop, runs.source, fresh).ordered(key)


def _inherited(points: FloatArray, offsets: IntArray, inside: BoolArray) -> BoolArray:
    """Give links without length the side of the link before them, at the start of a stroke that of
    the link after them.
    """
    real = np.append((points[1:] != points[:-1]).any(axis=1), False)
    last = offsets[1:] - 1
    real[last] = True
    if real.all():
        return inside
    real[last] = False
    index = np.arange(len(points))
    before = np.maximum.accumulate(np.where(real, index, -1))
    after = np.minimum.accumulate(np.where(real, index, len(points))[::-1])[::-1]
    donor = np.where(before >= np.repeat(offsets[:-1], np.diff(offsets)), before, after)
    donor[last] = last
    return inside[donor]
