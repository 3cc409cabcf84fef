"""Compiled: ranks of a dither mask by void and cluster.

R. Ulichney, *The Void-and-Cluster Method for Dither Array Generation*, Proc. SPIE 1913, 1993. First
the pattern is evened out: its tightest pixel moves to its largest void until it would come back.
Then pixels of the pattern get the ranks below its number, tightest first and highest rank first;
the others get those above, largest void first.

Between steps ``energy`` (rows, columns) is the sum of the kernel about every pixel that is set, on
a torus; so it differs from a fresh sum by rounding only. ``tests/images/test_dithering.py``
compares the spectrum of the result with what the method promises.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled


@compiled
def ranks(pattern: NDArray[np.bool_], kernel: FloatArray) -> IntArray:
    """The rank (rows, columns) of each pixel, from a first pattern and a kernel of its shape."""
    rows, columns = pattern.shape
    now = pattern.copy()
    energy = np.zeros((rows, columns))
    number = 0
    for row in range(rows):
        for column in range(columns):
            if now[row, column]:
                number += 1
                change(energy, kernel, row, column, 1.0)
    while True:
        row, column = extreme(energy, now, True)
        now[row, column] = False
        change(energy, kernel, row, column, -1.0)
        void_row, void_column = extreme(energy, now, False)
        now[void_row, void_column] = True
        change(energy, kernel, void_row, void_column, 1.0)
        if void_row == row and void_column == column:
            break
    rank = np.zeros((rows, columns), np.int64)
    rest = now.copy()
    falling = energy.copy()
    for k in range(number - 1, -1, -1):
        row, column = extreme(falling, rest, True)
        rest[row, column] = False
        change(falling, kernel, row, column, -1.0)
        rank[row, column] = k
    for k in range(number, rows * columns):
        row, column = extreme(energy, now, False)
        now[row, column] = True
        change(energy, kernel, row, column, 1.0)
        rank[row, column] = k
    return rank


@compiled
def change(energy: FloatArray, kernel: FloatArray, row: int, column: int, by: float) -> None:
    """Add or take away the kernel about a pixel."""
    rows, columns = energy.shape
    for i in range(rows):
        up = (i - row) % rows
        for j in range(columns):
            energy[i, j] += by * kernel[up, (j - column) % columns]


@compiled
def extreme(energy: FloatArray, now: NDArray[np.bool_], is_set: bool) -> tuple[int, int]:
    """The set pixel with the most energy, or the empty one with the least; the first of equals."""
    best_row = -1
    best_column = -1
    best = 0.0
    for row in range(energy.shape[0]):
        for column in range(energy.shape[1]):
            if now[row, column] != is_set:
                continue
            value = energy[row, column] if is_set else -energy[row, column]
            if best_row < 0 or value > best:
                best = value
                best_row = row
                best_column = column
    return best_row, best_column
