"""Dart throwing over a grid of cells (R. L. Cook, 1986): random points that keep their distance.

No cell of the grid holds more than one dot, so that a dart is compared with those of 25 cells.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled


class Board(NamedTuple):
    """What has been hit so far."""

    taken: IntArray  # (columns, rows) the dot in each cell, or -1; two cells of edge all around
    found: FloatArray  # (P, 2) the dots, in the order of their darts
    number: IntArray  # (1,) how many there are
    left: float
    bottom: float
    distance: float


def board(bounds: tuple[float, float, float, float], distance: float) -> Board:
    """An empty board for darts within ``bounds``."""
    left, bottom, right, top = bounds
    cell = distance / math.sqrt(2.0)
    columns = int((right - left) / cell) + 1
    rows = int((top - bottom) / cell) + 1
    return Board(
        taken=np.full((columns + 4, rows + 4), -1, np.int64),
        found=np.empty((columns * rows, 2)),
        number=np.zeros(1, np.int64),
        left=left,
        bottom=bottom,
        distance=distance,
    )


@compiled
def _is_free(board: Board, x: float, y: float, i: int, j: int) -> bool:
    nearest = board.distance * board.distance
    if board.taken[i, j] >= 0:  # the diagonal of a cell is the distance
        return False
    for a in range(i - 2, i + 3):
        for b in range(j - 2, j + 3):
            k = board.taken[a, b]
            if k >= 0 and (board.found[k, 0] - x) ** 2 + (board.found[k, 1] - y) ** 2 < nearest:
                return False
    return True


@compiled
def spread(board: Board, darts: FloatArray, keep: bool) -> BoolArray:
    """Which darts (n, 2) are at least the distance from all dots; with ``keep`` each of them
    becomes a dot before the next dart is looked at.
    """
    cell = board.distance / math.sqrt(2.0)
    free = np.zeros(len(darts), np.bool_)
    for k in range(len(darts)):
        x = darts[k, 0]
        y = darts[k, 1]
        i = int((x - board.left) / cell) + 2
        j = int((y - board.bottom) / cell) + 2
        free[k] = _is_free(board, x, y, i, j)
        if keep and free[k]:
            board.found[board.number[0], 0] = x
            board.found[board.number[0], 1] = y
            board.taken[i, j] = board.number[0]
            board.number[0] += 1
    return free
