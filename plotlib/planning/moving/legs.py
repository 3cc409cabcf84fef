"""Legs: the pen-up moves of a plot, one after another, from home over the strokes and the park
point to the end.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plotlib.checks import IntArray

PARK = -1
WAY_POINT = -2


@dataclass(frozen=True)
class Legs:
    """Pen-up moves in the order they are made.

    Attributes
    ----------
    begin, end : ndarray (L, 2) of int64
        Where each move begins and ends, in grid units, read-only; both may be equal: then nothing
        moves.
    stroke : ndarray (L,) of int64
        The stroke that follows; PARK (-1) where the move ends at the park point, WAY_POINT (-2) at
        a corner of a detour.
    """

    begin: IntArray
    end: IntArray
    stroke: IntArray

    def __post_init__(self) -> None:
        for name in ("begin", "end", "stroke"):
            own = np.array(getattr(self, name))
            own.flags.writeable = False
            object.__setattr__(self, name, own)


def legs_of(
    points: IntArray, offsets: IntArray, pen_index: IntArray, home: IntArray, park: IntArray
) -> Legs:
    """The pen-up moves of ordered strokes: after the last stroke of each pen the carriage goes to
    the park point.
    """
    count = len(offsets) - 1
    if not count:
        return Legs(home[None], park[None], np.array([PARK]))
    first = points[offsets[:-1]]
    last = points[offsets[1:] - 1]
    ends_pen = np.append(pen_index[1:] != pen_index[:-1], True)
    begin = np.vstack([home, np.where(ends_pen[:-1, None], park, last[:-1])])
    after = np.flatnonzero(ends_pen)
    order = np.argsort(np.concatenate([np.arange(count) * 2, after * 2 + 1]), kind="stable")
    return Legs(
        np.vstack([begin, last[after]])[order],
        np.vstack([first, np.broadcast_to(park, (len(after), 2))])[order],
        np.concatenate([np.arange(count), np.full(len(after), PARK)])[order],
    )


def travel(legs: Legs) -> float:
    """Length of all legs in grid units."""
    dx, dy = (legs.end - legs.begin).T.astype(np.float64)
    return float(np.sqrt(dx * dx + dy * dy).sum())
