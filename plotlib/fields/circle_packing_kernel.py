"""Compiled: circle packing, the widest circle first.

Greedy packing of given centres, a plain method without a source of its own: a circle is as wide as
the edge and the circles before it allow, and of all candidates one that is nearly the widest is
taken next.

Between steps no two circles are nearer than the gap, ``room`` is at least what a candidate really
has (it only shrinks), and each candidate that this pass left has less than nine tenths of the
widest room with which the pass began.

``plain_packing`` in ``tests/oracles_fields.py``, which asks all circles, tests it.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled

# places in the counts of a Packing
COUNT = 0
NEXT = 1
LEFT_OVER = 2
KEPT = 3


class Packing(NamedTuple):
    """The state of a packing that can pause, in passes over the m candidates."""

    room: FloatArray  # (m,) how wide a circle at each spot may be, as far as looked at
    left_over: IntArray  # (m,) candidates of this pass, and behind NEXT those of the next one
    circles: FloatArray  # (m, 3) x, y and radius, the first COUNT of them
    newest: IntArray  # (rows, columns) the newest circle of each cell, or -1
    below: IntArray  # (m,) the next circle of the same cell, or -1
    limits: FloatArray  # (2,) the widest room of this pass, and of the next one
    counts: IntArray  # (4,) COUNT circles, NEXT place in the pass, LEFT_OVER and KEPT candidates
    left: float  # of all spots, mm
    bottom: float
    widest: float  # mm, the side of a cell: a circle may meet others two cells away at most


def packing(spots: FloatArray, room: FloatArray, gap: float) -> Packing:
    """An empty state for candidates (m, 2) with ``room`` (m,) to the edge."""
    widest = float(room.max()) + gap
    left, bottom = (float(low) for low in spots.min(axis=0))
    columns, rows = (int(side / widest) + 1 for side in np.ptp(spots, axis=0))
    return Packing(
        room=room.copy(),
        left_over=np.argsort(-room, kind="stable"),
        circles=np.empty((len(spots), 3)),
        newest=np.full((rows, columns), -1, np.int64),
        below=np.full(len(spots), -1, np.int64),
        limits=np.array([float(room.max()), 0.0]),
        counts=np.array([0, 0, len(spots), 0], np.int64),
        left=left,
        bottom=bottom,
        widest=widest,
    )


@compiled
def pack(state: Packing, spots: FloatArray, smallest: float, gap: float, budget: int) -> bool:
    """Circles at ``spots`` (m, 2), the widest first, each as wide as its room and the circles
    before it allow; returns False after ``budget`` candidates, to be called again.
    """
    room = state.room
    circles = state.circles
    counts = state.counts
    while counts[LEFT_OVER] > 0 and state.limits[0] >= smallest:
        # Room only shrinks: one pass takes all that still have nine tenths of the widest, in the
        # order of what they had before. Those kept move to the front, behind the reading place.
        enough = 0.9 * state.limits[0]
        while counts[NEXT] < counts[LEFT_OVER]:
            if budget <= 0:
                return False
            budget -= 1
            k = state.left_over[counts[NEXT]]
            counts[NEXT] += 1
            x = spots[k, 0]
            y = spots[k, 1]
            i = int((x - state.left) / state.widest)
            j = int((y - state.bottom) / state.widest)
            if room[k] >= enough:
                room[k] = _room(x, y, room[k], circles, state.newest, state.below, i, j, gap)
            if room[k] >= enough:
                count = counts[COUNT]
                circles[count, 0] = x
                circles[count, 1] = y
                circles[count, 2] = room[k]
                state.below[count] = state.newest[j, i]
                state.newest[j, i] = count
                counts[COUNT] = count + 1
            elif room[k] >= smallest:
                state.left_over[counts[KEPT]] = k
                counts[KEPT] += 1
                state.limits[1] = max(state.limits[1], room[k])
        state.limits[0] = state.limits[1]
        state.limits[1] = 0.0
        counts[LEFT_OVER] = counts[KEPT]
        counts[NEXT] = 0
        counts[KEPT] = 0
    return True


@compiled
def _room(
    x: float,
    y: float,
    room: float,
    circles: FloatArray,
    newest: IntArray,
    below: IntArray,
    i: int,
    j: int,
    gap: float,
) -> float:
    """How wide a circle at (x, y) may be among those that stand: their centres are within two
    cells.
    """
    for row in range(max(j - 2, 0), min(j + 3, newest.shape[0])):
        for column in range(max(i - 2, 0), min(i + 3, newest.shape[1])):
            k = newest[row, column]
            while k >= 0:
                room = min(
                    room, math.hypot(circles[k, 0] - x, circles[k, 1] - y) - circles[k, 2] - gap
                )
                k = below[k]
    return room
