"""When what happens in a plot: the motion model's seconds, laid end to end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plotlib.checks import FloatArray
from plotlib.planning.plot import Plot

_STEPS = 65535  # of a stroke's time, so that two bytes say when a point is reached


@dataclass(frozen=True)
class Timeline:
    """Seconds from the start of a plot; pen changes take none.

    Attributes
    ----------
    leaves, travels : ndarray (L,)
        When each pen-up move begins, and how long it takes.
    begins, draws : ndarray (M,)
        When the pen is down at the beginning of each stroke, and how long it draws it.
    shares : ndarray (N,) of uint16
        When each point is reached, in 65535ths of its stroke's time.
    duration : float
        All in all.
    """

    leaves: FloatArray
    travels: FloatArray
    begins: FloatArray
    draws: FloatArray
    shares: np.ndarray[tuple[int], np.dtype[np.uint16]]
    duration: float


def timeline(plot: Plot) -> Timeline:
    """Lay the times of a plot end to end: travel, pen down, stroke, pen up, and so on."""
    offsets = plot.drawing.offsets
    lift = plot.machine.lift
    stroke = plot.legs.stroke
    moves = _moves(plot)
    total = np.concatenate([[0.0], np.cumsum(moves)])
    draws = total[offsets[1:]] - total[offsets[:-1]]
    is_before = stroke >= 0  # a stroke follows this leg
    after = np.zeros(len(stroke))
    after[is_before] = lift.seconds_down + draws[stroke[is_before]] + lift.seconds_up
    ends = np.cumsum(plot.times.ways + after)
    leaves = ends - after - plot.times.ways
    begins = np.zeros(len(draws))
    begins[stroke[is_before]] = (ends - after + lift.seconds_down)[is_before]
    spent = total[1:] - np.repeat(total[offsets[:-1]], np.diff(offsets))
    whole = np.repeat(np.where(draws > 0, draws, 1.0), np.diff(offsets))
    shares = np.rint(np.clip(spent / whole, 0.0, 1.0) * _STEPS).astype(np.uint16)
    return Timeline(leaves, plot.times.ways, begins, draws, shares, float(ends[-1]))


def _moves(plot: Plot) -> FloatArray:
    """Seconds to each point, and in them the waiting for the link, where it happens."""
    times = plot.times
    moves = times.moves.copy()
    waiting = times.waiting
    for stutter in times.stutters:
        first = plot.drawing.offsets[stutter.run] + stutter.first
        last = plot.drawing.offsets[stutter.run] + stutter.last
        moves[first + 1 : last + 1] += stutter.waiting / max(last - first, 1)
        waiting -= stutter.waiting
    if waiting > 0 and times.drawing > 0:  # single waits, too short to be a stutter
        moves += waiting * times.moves / times.drawing
    return moves
