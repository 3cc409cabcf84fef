"""The print simulated: which share of each cell of a rectangle strokes of their pens cover."""

from __future__ import annotations

import math

import numpy as np

from plotlib.arrays.ragged import take
from plotlib.arrays.raster import cover
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.images.tone import Extent

_BAND = 1 << 22  # pixels worked on at a time
_SQUARE = 0.02  # by which sides of pixels may differ, as a share
_LARGEST = 400_000_000  # pixels


def printed(drawing: Drawing, extent: Extent, rows: int, columns: int) -> FloatArray:
    """Covered share (rows, columns) of the cells of a rectangle, row 0 lowest; what two pens cover
    by chance counts once.
    """
    bare = np.ones((rows, columns))
    for number in range(len(drawing.pens)):
        bare *= 1.0 - one_pen(drawing, number, extent, rows, columns)
    return 1.0 - bare


def one_pen(drawing: Drawing, number: int, extent: Extent, rows: int, columns: int) -> FloatArray:
    """Covered share of each cell by the strokes of one pen alone."""
    pen = drawing.pens[number]
    left, bottom, right, top = extent
    cell_x = (right - left) / columns
    cell_y = (top - bottom) / rows
    # no larger than the pen is wide; each pixel is looked at in 64 or 128 places
    pixel = min(cell_x, cell_y, pen.width)
    pixel = max(pixel, math.sqrt((right - left) * (top - bottom) / _LARGEST))
    fine_x, fine_y = _square(cell_x / pixel, cell_y / pixel)
    which, offsets = take(drawing.offsets, np.flatnonzero(drawing.pen_index == number))
    scale = (fine_x / cell_x, fine_y / cell_y)
    points = (drawing.points[which] - (left, bottom)) * scale
    width = pen.width * math.sqrt(scale[0] * scale[1])
    share = np.zeros((rows, columns))
    band = max(1, _BAND // (columns * fine_x * fine_y))
    for first in range(0, rows, band):
        count = min(band, rows - first)
        moved = points - (0.0, first * fine_y)
        pixels = cover(moved, offsets, width=width, shape=(count * fine_y, columns * fine_x))
        blocks = pixels.reshape(count, fine_y, columns, fine_x)
        share[first : first + count] = blocks.mean(axis=(1, 3), dtype=np.float64)
    return share


def _square(across: float, up: float) -> tuple[int, int]:
    """Into how many pixels a cell is cut each way, so that they are nearly square: a pen is as wide
    across as up.
    """
    best = (1, 1)
    least = math.inf
    for times in range(1, 5):
        columns = max(1, round(times * across))
        rows = max(1, round(times * up))
        off = abs(math.log(across * rows / (up * columns)))
        if off < 0.8 * least:
            best = (columns, rows)
            least = off
        if least < _SQUARE:
            break
    return best
