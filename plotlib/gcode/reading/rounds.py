"""The arcs among the moves of a program: one move each while it is interpreted, chords afterwards,
those of all arcs at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from plotlib.checks import AnyInts, BoolArray, FloatArray, IntArray
from plotlib.gcode.reading.arcs import Bends
from plotlib.gcode.reading.undoing import Bed
from plotlib.gcode.toolpath import Turns


class Walked(NamedTuple):
    """Moves (K): where each ends (K, 2) as the controller counts, its feed, its line, and its
    motion as in ``plain.MOTIONS``.
    """

    spots: FloatArray
    feed: FloatArray
    line: IntArray
    motion: AnyInts


@dataclass(frozen=True)
class Rounds:
    """Arcs (A) among moves.

    Attributes
    ----------
    index : ndarray (A,)
        Which moves they are while each is one.
    bends : Bends
        As the controller counts.
    chords : ndarray (P, 2)
        The ends of their chords, one arc after another.
    counts : ndarray (A,)
        How many chords each has.
    """

    index: IntArray
    bends: Bends
    chords: FloatArray
    counts: IntArray

    @classmethod
    def of(cls, table: FloatArray, walked: Walked) -> Rounds:
        """The arcs of a table (A, 6) as in ``plain_kernel.Replay``, ordered by their lines."""
        index = np.searchsorted(walked.line, table[:, 0])
        bends = Bends(table[:, 1:3], walked.spots[index], table[:, 3:5], table[:, 5])
        return cls(index, bends, *bends.chords())

    def after(self, index: IntArray) -> IntArray:
        """What numbers of moves become when arcs are chords."""
        more = np.concatenate([[0], np.cumsum(self.counts - 1)])
        return np.asarray(index + more[np.searchsorted(self.index, index)])

    def chorded(self, walked: Walked) -> Walked:
        """The moves with chords in the place of the arcs."""
        if not len(self.index):
            return walked
        times = np.ones(len(walked.line), np.int64)
        times[self.index] = self.counts
        spots, feed, line, motion = (np.repeat(column, times, axis=0) for column in walked)
        spots[self._are_chords(len(line))] = self.chords
        return Walked(spots, feed, line, motion)

    def measured(self, length: FloatArray) -> tuple[BoolArray, FloatArray]:
        """Which moves (K,) are chords, and the lengths of all, along the arc where there is one."""
        is_chord = self._are_chords(len(length))
        if len(self.index):
            straight = length[is_chord]
            first = np.cumsum(self.counts) - self.counts
            whole = np.add.reduceat(straight, first)
            is_seen = whole > 0  # else the arc is smaller than floats can tell
            times = np.divide(self.bends.lengths, whole, out=np.ones(len(first)), where=is_seen)
            length[is_chord] = straight * np.repeat(times, self.counts)
        return is_chord, length

    def turns(self, bed: Bed) -> Turns:
        """The arcs as they lie on the bed, where one axis may be mirrored."""
        first = self.after(self.index)
        centre = bed.places(self.bends.centre, first)
        side = self.bends.side.astype(np.int64) * bed.hand
        return Turns(first, first + self.counts, centre, side)

    def _are_chords(self, count: int) -> BoolArray:
        """Which of so many moves, chords among them, are chords."""
        first = self.after(self.index)
        steps = np.zeros(count + 1, np.int32)
        np.add.at(steps, first, 1)
        np.add.at(steps, first + self.counts, -1)
        np.cumsum(steps, out=steps)
        return np.asarray(steps[:-1] > 0)
