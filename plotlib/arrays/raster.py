"""The share of each pixel that a round pen covers."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray, IntArray

# Samples in a pixel, across and down. The kernel packs those of one row into a byte.
_SIDE = 8


def cover(points: FloatArray, offsets: IntArray, *, width: float, shape: tuple[int, int]) -> NDArray[np.float32]:
    """Share of each pixel covered by strokes of a round pen, from 0 to 1.

    Caps and joins are round, a dot is a disc, and what several strokes cover counts once: a pixel counts those of its 64 sample points
    that lie within half a width of a stroke, so that neither crossings nor neighbours darken an edge twice.

    Parameters
    ----------
    points : ndarray, shape (N, 2), float64
        Points in pixels, x right, **y down**; pixel (row, column) is the square from (column, row) to (column + 1, row + 1).
    offsets : ndarray, shape (M + 1,), int64
        Where each stroke begins, and the end.
    width : float
        Width of the pen in pixels, > 0; a pen narrower than the distance of two samples is taken as that wide, so that no line is lost.
    shape : (int, int)
        Rows and columns of the result; what lies outside is left out.

    Returns
    -------
    ndarray, shape ``shape``, float32
        Multiples of 1/64. Working memory is 12 bytes a pixel.

    Examples
    --------
    >>> cover(np.array([[1.0, 1.5], [3.0, 1.5]]), np.array([0, 2]), width=1.0, shape=(3, 4))[:, 1:3]
    array([[0., 0.], [1., 1.], [0., 0.]], dtype=float32)
    """
    from plotlib.arrays.raster_kernel import mark

    rows, columns = shape
    bits = np.zeros((rows * _SIDE, columns), np.uint8)
    mark(points * _SIDE, offsets, max(width * _SIDE, 1.0) / 2, bits)
    samples = _ONES[bits].reshape(rows, _SIDE, columns).sum(axis=1, dtype=np.uint8)
    return np.divide(samples, np.float32(_SIDE * _SIDE), dtype=np.float32)


_ONES = np.unpackbits(np.arange(256, dtype=np.uint8)[:, None], axis=1).sum(axis=1, dtype=np.uint8)
