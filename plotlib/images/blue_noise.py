"""A blue-noise threshold mask by void and cluster."""

from __future__ import annotations

import functools

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray

SIDE = 64  # pixels of the mask, which repeats
_SIGMA = 1.5  # pixels, as Ulichney proposes
_FIRST = 0.1  # share of pixels in the first pattern


@functools.lru_cache(maxsize=1)
def mask() -> FloatArray:
    """Thresholds (64, 64), each from 0 to 1 once, evenly: at every level the pixels below it are
    spread evenly, and the mask goes on at its edges.

    R. Ulichney, *The Void-and-Cluster Method for Dither Array Generation*, Proc. SPIE 1913, 1993.
    """
    from plotlib.images.void_kernel import ranks

    random = np.random.default_rng(1993)
    pattern = np.zeros(SIDE * SIDE, np.bool_)
    pattern[random.permutation(SIDE * SIDE)[: int(_FIRST * SIDE * SIDE)]] = True
    order = ranks(pattern.reshape(SIDE, SIDE), _kernel())
    found: FloatArray = (order + 0.5) / (SIDE * SIDE)
    found.flags.writeable = False
    return found


def _kernel() -> FloatArray:
    """A Gaussian (64, 64) about the first pixel, on a torus."""
    away = np.minimum(np.arange(SIDE), SIDE - np.arange(SIDE))
    one: FloatArray = np.exp(-(away**2) / (2 * _SIGMA**2))
    return one[:, None] * one[None, :]


def ordered(size: int) -> FloatArray:
    """Bayer's thresholds (size, size), a power of two: B. E. Bayer, *An Optimum Method for
    Two-Level Rendition of Continuous-Tone Pictures*, ICC 1973.
    """
    matrix = np.zeros((1, 1))
    while len(matrix) < size:
        matrix = np.block([[4 * matrix, 4 * matrix + 2], [4 * matrix + 3, 4 * matrix + 1]])
    return (matrix + 0.5) / matrix.size


def tiled(thresholds: FloatArray, rows: int, columns: int) -> NDArray[np.float64]:
    """A mask laid over so many pixels."""
    across = np.arange(columns) % thresholds.shape[1]
    up = np.arange(rows) % thresholds.shape[0]
    return np.asarray(thresholds[up[:, None], across[None, :]])
