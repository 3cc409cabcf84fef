"""Where the Hilbert curve goes, number by number."""

from __future__ import annotations

import numpy as np

from plotlib.checks import IntArray
from plotlib.compiled import compiled


@compiled
def hilbert_cells(order: int, columns: int, rows: int) -> IntArray:
    """The cells (n, 2) with column < ``columns`` and row < ``rows`` in the order in which the
    Hilbert curve of ``order`` visits them.

    After D. Hilbert, 1891, by the usual turning of quadrants; whole quadrants outside are skipped.
    """
    cells = np.empty((columns * rows, 2), np.int64)
    at = 0
    number = 0
    side = 1 << order
    while number < side * side:
        # The largest aligned run of numbers from here on is a quadrant.
        x = 0
        y = 0
        rest = number
        size = 1
        while size < side:
            right = 1 & (rest // 2)
            upper = 1 & (rest ^ right)
            if upper == 0:
                if right == 1:
                    x = size - 1 - x
                    y = size - 1 - y
                x, y = y, x
            x = x + size * right
            y = y + size * upper
            rest //= 4
            size *= 2
        skip = 1
        while number % (4 * skip * skip) == 0 and 2 * skip <= side:
            low_x = x // (2 * skip) * (2 * skip)
            low_y = y // (2 * skip) * (2 * skip)
            if low_x < columns and low_y < rows:
                break
            skip *= 2
        if x < columns and y < rows:
            cells[at, 0] = x
            cells[at, 1] = y
            at += 1
            number += 1
        else:
            number += skip * skip
    return cells[:at]
