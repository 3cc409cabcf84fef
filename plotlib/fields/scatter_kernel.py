"""Compiled: points no two of which are nearer than a given distance, and circles that do not
touch.
"""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.fields.walls_kernel import Walls, is_inside

_TRIES = 30  # R. Bridson, *Fast Poisson Disk Sampling in Arbitrary Dimensions*, SIGGRAPH 2007


@compiled
def spread(
    walls: Walls,
    random: np.random.Generator,
    starts: FloatArray,
    apart: float,
    width: float,
    height: float,
) -> FloatArray:
    """Points (n, 2) inside the walls, ``apart`` mm from each other or more, grown from those of
    ``starts`` that have room.
    """
    cell = apart / math.sqrt(2.0)
    columns = int(width / cell) + 1
    rows = int(height / cell) + 1
    grid = np.full((rows, columns), -1, np.int64)
    found = np.empty((columns * rows, 2))
    active = np.empty(columns * rows, np.int64)
    count = 0
    for s in range(len(starts)):
        waiting = 0
        if _is_free(walls, grid, found, starts[s, 0], starts[s, 1], cell, apart):
            active[0] = count
            waiting = 1
            count = _place(walls, grid, found, starts[s, 0], starts[s, 1], cell, count)
        while waiting:
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
    return found[:count].copy()


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


@compiled
def pack(spots: FloatArray, room: FloatArray, smallest: float, gap: float) -> FloatArray:
    """Circles (n, 3) at ``spots`` (m, 2), the widest first, each as wide as its ``room`` (m,) and
    the circles before it allow.
    """
    widest = room.max() + gap
    left = spots[:, 0].min()
    bottom = spots[:, 1].min()
    columns = int((spots[:, 0].max() - left) / widest) + 1
    rows = int((spots[:, 1].max() - bottom) / widest) + 1
    newest = np.full((rows, columns), -1, np.int64)
    below = np.full(len(spots), -1, np.int64)
    circles = np.empty((len(spots), 3))
    count = 0
    left_over = np.argsort(-room, kind="mergesort")
    room = room.copy()
    limit = widest - gap
    while len(left_over) and limit >= smallest:
        # Room only shrinks: one pass takes all that still have nine tenths of the widest, in the
        # order of what they had before.
        kept = np.empty(len(left_over), np.int64)
        n = 0
        next_limit = 0.0
        for k in left_over:
            if room[k] >= 0.9 * limit:
                i = int((spots[k, 0] - left) / widest)
                j = int((spots[k, 1] - bottom) / widest)
                room[k] = _room(
                    spots[k, 0], spots[k, 1], room[k], circles, newest, below, i, j, gap
                )
            if room[k] >= 0.9 * limit:
                circles[count, 0], circles[count, 1], circles[count, 2] = (
                    spots[k, 0],
                    spots[k, 1],
                    room[k],
                )
                below[count] = newest[j, i]
                newest[j, i] = count
                count += 1
            elif room[k] >= smallest:
                kept[n] = k
                n += 1
                next_limit = max(next_limit, room[k])
        left_over = kept[:n]
        limit = next_limit
    return circles[:count].copy()


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
