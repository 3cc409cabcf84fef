"""Compiled: points no two of which are nearer than a given distance, and circles that do not
touch.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.fields.walls_kernel import Walls, is_inside

_TRIES = 30  # R. Bridson, *Fast Poisson Disk Sampling in Arbitrary Dimensions*, SIGGRAPH 2007


# places in the counts of a Scattering or a Packing
COUNT = 0
WAITING = 1
START = 2
NEXT = 1
LEFT_OVER = 2
KEPT = 3


class Scattering(NamedTuple):
    """Poisson-disk sampling that can pause: no cell of ``grid`` holds more than one point."""

    grid: IntArray  # (rows, columns) the point in each cell, or -1
    found: FloatArray  # (P, 2)
    active: IntArray  # (P,) points with room around them perhaps: the first WAITING of them
    counts: IntArray  # COUNT points found, WAITING, START: the next of the starts
    cell: float


def scattering(apart: float, width: float, height: float) -> Scattering:
    cell = apart / math.sqrt(2.0)
    columns = int(width / cell) + 1
    rows = int(height / cell) + 1
    return Scattering(
        grid=np.full((rows, columns), -1, np.int64),
        found=np.empty((columns * rows, 2)),
        active=np.empty(columns * rows, np.int64),
        counts=np.zeros(3, np.int64),
        cell=cell,
    )


@compiled
def spread(
    state: Scattering,
    walls: Walls,
    random: np.random.Generator,
    starts: FloatArray,
    apart: float,
    budget: int,
) -> bool:
    """Points inside the walls, ``apart`` mm from each other or more, grown from those of ``starts``
    (s, 2) that have room; returns False after ``budget`` of them, to be called again.
    """
    grid = state.grid
    found = state.found
    active = state.active
    cell = state.cell
    count = state.counts[COUNT]
    waiting = state.counts[WAITING]
    start = state.counts[START]
    while budget > 0 and (waiting or start < len(starts)):
        budget -= 1
        if not waiting:
            x = starts[start, 0]
            y = starts[start, 1]
            start += 1
            if _is_free(walls, grid, found, x, y, cell, apart):
                active[0] = count
                waiting = 1
                count = _place(walls, grid, found, x, y, cell, count)
            continue
        k = min(int(random.random() * waiting), waiting - 1)
        centre = active[k]
        placed = False
        for _ in range(_TRIES):
            turn = 2.0 * math.pi * random.random()
            far = apart * math.sqrt(1.0 + 3.0 * random.random())
            x = found[centre, 0] + far * math.cos(turn)
            y = found[centre, 1] + far * math.sin(turn)
            if _is_free(walls, grid, found, x, y, cell, apart):
                active[waiting] = count
                waiting += 1
                count = _place(walls, grid, found, x, y, cell, count)
                placed = True
                break
        if not placed:
            waiting -= 1
            active[k] = active[waiting]
    state.counts[COUNT] = count
    state.counts[WAITING] = waiting
    state.counts[START] = start
    return not waiting and start >= len(starts)


@compiled
def _place(
    walls: Walls, grid: IntArray, found: FloatArray, x: float, y: float, cell: float, count: int
) -> int:
    found[count, 0] = x
    found[count, 1] = y
    grid[int((y - walls.y) / cell), int((x - walls.x) / cell)] = count
    return count + 1


@compiled
def _is_free(
    walls: Walls, grid: IntArray, found: FloatArray, x: float, y: float, cell: float, apart: float
) -> bool:
    if not is_inside(walls, x, y):
        return False
    i = int((x - walls.x) / cell)
    j = int((y - walls.y) / cell)
    for row in range(max(j - 2, 0), min(j + 3, grid.shape[0])):
        for column in range(max(i - 2, 0), min(i + 3, grid.shape[1])):
            k = grid[row, column]
            if k >= 0 and (found[k, 0] - x) ** 2 + (found[k, 1] - y) ** 2 < apart * apart:
                return False
    return True


class Packing(NamedTuple):
    """Circle packing that can pause, in passes over the candidates that are left."""

    room: FloatArray  # (m,) how wide a circle at each spot may be, as far as looked at
    left_over: IntArray  # (m,) candidates of this pass, and behind NEXT those of the next one
    circles: FloatArray  # (m, 3)
    newest: IntArray  # (rows, columns) the newest circle of each cell, or -1
    below: IntArray  # (m,) the next circle of the same cell, or -1
    limits: FloatArray  # (2,) the widest room of this pass, and of the next one
    counts: IntArray  # COUNT circles, NEXT place in the pass, LEFT_OVER and KEPT candidates
    left: float
    bottom: float
    widest: float


def packing(spots: FloatArray, room: FloatArray, gap: float) -> Packing:
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
