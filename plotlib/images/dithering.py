"""Dithering: dots on a grid of pixels, as many as the tone asks for."""

from __future__ import annotations

import functools

import numpy as np
from numpy.typing import NDArray

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.images.blue_noise import mask, ordered, tiled
from plotlib.images.diffusing import WEIGHTS, diffused
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.printing import printed
from plotlib.images.tone import Tone, as_tone
from plotlib.images.wanted import Wanted, affordable, wanted
from plotlib.pen import Pen, as_pen

METHODS = (*WEIGHTS, "ordered", "blue-noise")
_MOST = 4_000_000  # pixels
_APART = 0.75  # pen widths between pixels: full ones leave no gap
_CLOSEST = 0.05  # pen widths between pixels that make sense
_WIDEST = 1_000.0
_BEYOND = 8  # pixels beyond the edge, where error diffusion loses some
_SIZE = 8  # of the ordered mask
_WHITE = 1e-3  # coverage below which nothing is drawn
_PATCH = 48  # pixels of the patch that is measured
_SHARES = np.linspace(0.0, 1.0, 21)


def dithered(
    tone: Tone,
    *,
    method: str = "floyd-steinberg",
    spacing: float | None = None,
    ink: InkModel | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Dithering: dots on a square grid; which of them are drawn, error diffusion or a mask says.

    Parameters
    ----------
    tone : Tone
        The picture; the dots stay in its rectangle.
    method : str, default "floyd-steinberg"
        Error diffusion with the weights of "floyd-steinberg", "jarvis-judice-ninke", "stucki" or
        "atkinson" (which passes on three quarters of the error and so loses light and dark tones);
        or a mask of thresholds: "ordered" (Bayer's, 8 x 8) or "blue-noise" (void and cluster).
    spacing : float, optional
        The distance in mm between pixels, 0.05 … 1,000 times the pen's width. When not given: 0.75
        times that. Above 0.7 times it, full pixels leave gaps.
    ink : InkModel, optional
        The ink model; without it the plain one.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        Dots row by row, every second row backwards. How much a share of full pixels covers is
        measured beforehand, overlap included.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or there are more than 4 million pixels.
    UnknownName
        If ``method`` is another word.

    References
    ----------
    R. W. Floyd, L. Steinberg 1976; J. F. Jarvis, C. N. Judice, W. H. Ninke 1976; P. Stucki 1981; B.
    E. Bayer 1973; R. Ulichney 1993.

    Examples
    --------
    >>> from plotlib.pen import Pen
    >>> grey = Tone([[0.5]], (0, 0, 30, 30))
    >>> dots = dithered(grey, pen=Pen("black", width=1))
    >>> bool(500 < len(dots) < 1_100)
    True
    """
    picture = as_tone("tone", tone)
    kind = checks.one_of("method", method, METHODS)
    line = as_pen(pen)
    apart = _APART * line.width
    if spacing is not None:
        apart = checks.positive("spacing", spacing, unit="mm")
        checks.between("spacing", apart, _CLOSEST * line.width, _WIDEST * line.width, unit="mm")
    model = as_ink("ink", ink)
    left, bottom, right, top = picture.extent
    affordable((right - left) * (top - bottom) / apart**2, _MOST, "pixels", picture)
    asked = wanted(picture, model, apart)
    covered = _covered(kind, min(20.0, round(apart / line.width, 6)))
    shares = np.where(asked.values < _WHITE, 0.0, np.interp(asked.values, covered, _SHARES))
    return _dots(asked, full_pixels(shares, kind) & (shares > 0), line)


def full_pixels(shares: FloatArray, method: str) -> NDArray[np.bool_]:
    """Which pixels are full, so that about ``shares`` of them are."""
    if method in WEIGHTS:
        wide = np.pad(shares, _BEYOND, mode="symmetric")
        return diffused(wide, kind=method)[_BEYOND:-_BEYOND, _BEYOND:-_BEYOND]
    limits = ordered(_SIZE) if method == "ordered" else mask()
    return np.asarray(shares > tiled(limits, *shares.shape))


@functools.lru_cache(maxsize=32)
def _covered(method: str, apart: float) -> FloatArray:
    """Coverage by the shares of full pixels, ``apart`` pen widths from each other; drawn and
    measured, and rising.
    """
    side = _PATCH * apart
    asked = Wanted(np.zeros((_PATCH, _PATCH)), 0.0, 0.0, apart, apart)
    pen = Pen("pen", width=1.0)
    found = []
    for share in _SHARES:
        full = full_pixels(np.full((2 * _PATCH, 2 * _PATCH), share), method)
        inner = full[_PATCH // 2 : -(_PATCH // 2), _PATCH // 2 : -(_PATCH // 2)]
        dots = _dots(asked, inner, pen)
        edge = apart
        extent = (edge, edge, side - edge, side - edge)
        found.append(float(printed(dots, extent, 1, 1)[0, 0]))
    risen = np.maximum.accumulate(np.array(found))
    # strictly rising, so that it can be turned round
    return np.asarray(risen + 1e-9 * np.arange(len(risen)))


def _dots(asked: Wanted, full: NDArray[np.bool_], pen: Pen) -> Drawing:
    full_rows, full_columns = np.nonzero(full)
    x = asked.left + (full_columns + 0.5) * asked.cell_x
    y = asked.bottom + (full_rows + 0.5) * asked.cell_y
    order = np.lexsort((np.where(full_rows % 2 == 0, x, -x), full_rows))
    points = np.stack([x, y], axis=1)[order]
    return Drawing.from_arrays(points, np.arange(len(points) + 1), pen=pen)
