"""Compiled: Poisson-disk sampling.

R. Bridson, *Fast Poisson Disk Sampling in Arbitrary Dimensions*, SIGGRAPH 2007 sketch: a random
point that may still have room around it tries 30 places between one and two distances away; when
all fail, it is done.

Between steps every two points found are at least the distance apart, the diagonal of a cell of the
grid is that distance (so that no cell holds two points), and every point that may still have room
is among the first WAITING of ``active``.

``plain_poisson_disk`` in ``tests/oracles_fields.py``, which asks all points and shapely, tests it.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.fields.walls_kernel import Walls, is_inside

_TRIES = 30  # as the paper proposes

# places in the counts of a Sampling
COUNT = 0
WAITING = 1
START = 2


class Sampling(NamedTuple):
    """The state of a sampling that can pause, with room for P points."""

    grid: IntArray  # (rows, columns) the point in each cell, or -1
    found: FloatArray  # (P, 2) in mm, the first COUNT of them
    active: IntArray  # (P,) points with room around them perhaps: the first WAITING of them
    counts: IntArray  # (3,) COUNT points found, WAITING, START: the next of the starts
    cell: float  # mm


def sampling(apart: float, width: float, height: float) -> Sampling:
    """An empty state for points ``apart`` mm from each other in a box."""
    cell = apart / math.sqrt(2.0)
    columns = int(width / cell) + 1
    rows = int(height / cell) + 1
    return Sampling(
        grid=np.full((rows, columns), -1, np.int64),
        found=np.empty((columns * rows, 2)),
        active=np.empty(columns * rows, np.int64),
        counts=np.zeros(3, np.int64),
        cell=cell,
    )


@compiled
def spread(
    state: Sampling,
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
