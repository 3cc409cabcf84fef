"""Where the Hilbert curve goes, number by number."""

from __future__ import annotations

import numpy as np

from plotlib.checks import IntArray
from plotlib.compiled import compiled


@compiled
def hilbert_cells(order: int, columns: int, rows: int) -> IntArray:
    """The cells (n, 2) with column < ``columns`` and row < ``rows`` in the order in which the Hilbert curve of ``order`` visits them.

    After D. Hilbert, 1891, by the usual turning of quadrants; whole quadrants outside are skipped.
    """
    cells = np.empty((columns * rows, 2), np.int64)
    at, number, side = 0, 0, 1 << order
    while number < side * side:
        # The largest aligned run of numbers from here on is a quadrant.
        x, y, rest, size = 0, 0, number, 1
        while size < side:
            right = 1 & (rest // 2)
            upper = 1 & (rest ^ right)
            if upper == 0:
                if right == 1:
                    x, y = size - 1 - x, size - 1 - y
                x, y = y, x
            x, y = x + size * right, y + size * upper
            rest //= 4
            size *= 2
        skip = 1
        while number % (4 * skip * skip) == 0 and 2 * skip <= side:
            low_x, low_y = x // (2 * skip) * (2 * skip), y // (2 * skip) * (2 * skip)
            if low_x < columns and low_y < rows:
                break
            skip *= 2
        if x < columns and y < rows:
            cells[at, 0], cells[at, 1] = x, y
            at += 1
            number += 1
        else:
            number += skip * skip
    return cells[:at]
