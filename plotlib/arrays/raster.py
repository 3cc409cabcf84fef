"""The share of each pixel that a round pen covers."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray, IntArray

# Rows of samples in a pixel, more for thin pens. The kernel packs the eight samples of a row into a
# byte. Each row is shifted by its own
# part of a step: on a square lattice the weight of upright and diagonal lines would depend on where
# they lie.
_THIN = 2.5
_ROWS = {True: 16, False: 8}
_ONES = np.unpackbits(np.arange(256, dtype=np.uint8)[:, None], axis=1).sum(axis=1, dtype=np.uint8)


def shifts(width: float) -> FloatArray:
    """How far each row of samples in a pixel is shifted, in steps of 1/8 pixel, for a pen ``width``
    pixels wide.
    """
    golden = (np.sqrt(5.0) - 1) / 2
    return np.asarray(np.modf((np.arange(_ROWS[width < _THIN]) + 0.5) * golden)[0] - 0.5)


def cover(
    points: FloatArray, offsets: IntArray, *, width: float, shape: tuple[int, int]
) -> NDArray[np.float32]:
    """Share of each pixel covered by strokes of a round pen, from 0 to 1.

    Caps and joins are round, a dot is a disc, and what several strokes cover counts once: a pixel
    counts those of its 128 sample points (64 for pens of 2.5 pixels and more) that lie within half
    a width of a stroke, so that neither crossings nor neighbours darken an edge twice.

    Parameters
    ----------
    points : ndarray, shape (N, 2), float64
        Points in pixels, x right, **y down**; pixel (row, column) is the square from (column, row)
        to (column + 1, row + 1).
    offsets : ndarray, shape (M + 1,), int64
        Where each stroke begins, and the end.
    width : float
        Width of the pen in pixels, > 0; a pen narrower than 1/8 is taken as that wide, so that no
        line is lost.
    shape : (int, int)
        Rows and columns of the result; what lies outside is left out.

    Returns
    -------
    ndarray, shape ``shape``, float32
        Multiples of 1/128. Working memory is 20 bytes a pixel.

    Examples
    --------
    >>> cover(np.array([[1.0, 1.5], [3.0, 1.5]]), np.array([0, 2]), width=1.0, shape=(3, 4))[:, 1:3]
    array([[0., 0.], [1., 1.], [0., 0.]], dtype=float32)
    """
    from plotlib.arrays.raster_kernel import counted, mark

    rows, columns = shape
    lattice = shifts(width)
    bits = np.zeros((rows * len(lattice), columns), np.uint8)
    mark(points, offsets, max(width, 1 / 8) / 2, lattice, bits)
    return counted(bits, len(lattice), _ONES)
