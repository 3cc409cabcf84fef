"""What a round pen covers of each pixel, and how much light its ink takes away."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray, IntArray

# Rows of samples in a pixel, for pens up to so many pixels wide: a level line covers whole rows,
# and one of 1.1 pixels would be 5 % darker here than there with 16 of them. The kernel packs the
# eight samples of a row into a byte. Each row is shifted by its own part of a step: on a square
# lattice the weight of upright and diagonal lines would depend on where they lie.
_ROWS = ((1.25, 64), (2.5, 32), (np.inf, 8))
_ONES = np.unpackbits(np.arange(256, dtype=np.uint8)[:, None], axis=1).sum(axis=1, dtype=np.uint8)
_HAIRLINE = 1 / 8  # pixels: what is narrower could fall between the samples

# How a pixel sees the half pixels round it: by binomial weights (a B-spline on half pixels), from
# half a pixel beyond its edges, or from a whole one for lines that are no wider than two pixels.
# With the pixel alone a line of 1.1 pixels is one black pixel here and two grey ones there.
_NARROW = 2.0
_SHARP = (0, 1, 3, 3, 1, 0)
_SOFT = (1, 5, 10, 10, 5, 1)


def shifts(width: float) -> FloatArray:
    """How far each row of samples in a pixel is shifted, in steps of 1/8 pixel, for a pen ``width``
    pixels wide.
    """
    golden = (np.sqrt(5.0) - 1) / 2
    rows = next(rows for widest, rows in _ROWS if width < widest)
    return np.asarray(np.modf((np.arange(rows) + 0.5) * golden)[0] - 0.5)


def cover(
    points: FloatArray, offsets: IntArray, *, width: float, shape: tuple[int, int]
) -> NDArray[np.float32]:
    """Share of each pixel covered by strokes of a round pen, from 0 to 1.

    Caps and joins are round, a dot is a disc, and what several strokes cover counts once: a pixel
    counts those of its sample points (64 for pens of 2.5 pixels and more, up to 512 for thinner
    ones) that lie within half a width of a stroke, so that neither crossings nor neighbours darken
    an edge twice.

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
        Multiples of 1/512. Working memory is 30 to 200 bytes a pixel.

    Examples
    --------
    >>> cover(np.array([[1.0, 1.5], [3.0, 1.5]]), np.array([0, 2]), width=1.0, shape=(3, 4))[:, 1:3]
    array([[0., 0.], [1., 1.], [0., 0.]], dtype=float32)
    """
    from plotlib.arrays.raster_kernel import covered

    planes, _ = _marked(points, offsets, width, shape)
    return covered(planes, len(planes) // shape[0], _ONES)


def light_lost(
    points: FloatArray,
    offsets: IntArray,
    *,
    width: float,
    shape: tuple[int, int],
    kept: FloatArray,
) -> NDArray[np.float32]:
    """How much light a pixel loses by the ink of a round pen, each pass over a place anew.

    A place that the pen comes over n times keeps ``kept ** n`` of the light, n up to 7; what the
    pen covers without leaving it, as in a corner or in fine steps, is one pass. A pixel is the
    weighted mean of the samples in and round it, so that what a thin line takes away in all does
    not depend on where it lies between the pixels.

    Parameters
    ----------
    points, offsets, width, shape
        As for :func:`cover`; a pen narrower than 1/8 pixel takes its share of what one of 1/8 does.
    kept : ndarray, shape (3,), float64
        What one pass keeps of each colour, 0 to 1.

    Returns
    -------
    ndarray, shape (rows, columns, 3), float32
        From 0, no ink, to 1.

    Examples
    --------
    >>> line = np.array([[-9.0, 4.0], [9.0, 4.0]])
    >>> offsets = np.array([0, 2, 4])
    >>> twice = np.concatenate([line, line])
    >>> half = np.full(3, 0.5)
    >>> lost = light_lost(twice, offsets, width=6.0, shape=(9, 3), kept=half)
    >>> lost[:, 1, 0].tolist()
    [0.09375, 0.65625, 0.75, 0.75, 0.75, 0.75, 0.65625, 0.09375, 0.0]
    """
    from plotlib.arrays.raster_kernel import held_back

    planes, touched = _marked(points, offsets, width, shape)
    taps = np.array(_SOFT if width < _NARROW else _SHARP, np.float32)
    loss = (1.0 - kept ** np.arange(8)[:, None]) * min(width / _HAIRLINE, 1.0)
    side = len(planes) // shape[0]
    return held_back(planes, touched, side, _ONES, loss.astype(np.float32), taps / taps.sum())


def _marked(
    points: FloatArray, offsets: IntArray, width: float, shape: tuple[int, int]
) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """The passes over each sample in three binary digits, and which pixels have any."""
    from plotlib.arrays.raster_kernel import mark

    rows, columns = shape
    lattice = shifts(width)
    planes = np.zeros((rows * len(lattice), columns, 3), np.uint8)
    touched = np.zeros((rows, columns), np.uint8)
    mark(points, offsets, max(width, _HAIRLINE) / 2, lattice, planes, touched)
    return planes, touched
