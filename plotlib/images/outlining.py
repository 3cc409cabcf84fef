"""Edges: the outlines of a picture, where its lightness changes most."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from plotlib import checks
from plotlib.arrays import reshape
from plotlib.arrays.ragged import pack
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.images.tone import Tone, as_tone
from plotlib.images.wanted import averaged
from plotlib.pen import Pen, as_pen

_MOST = 4_000_000  # pixels looked at
_FINE = 4  # pixels in the radius of the blur
_TOLERANCE = 0.05  # mm; and half a pixel at least, so that steps of pixels vanish
_AROUND = ((0, 1), (1, 0), (0, -1), (-1, 0), (1, 1), (1, -1), (-1, -1), (-1, 1))


def edges(
    tone: Tone,
    *,
    detail: float = 0.6,
    low: float = 0.06,
    high: float = 0.15,
    shortest: float = 2.0,
    pen: Pen | None = None,
) -> Drawing:
    """The edges of a picture as strokes (Canny's detector, by scikit-image). They say nothing of
    tones; lay them over another maker's drawing.

    Parameters
    ----------
    tone : Tone
        The picture; the strokes stay in its rectangle.
    detail : float, default 0.6
        Standard deviation in mm of the blur before, > 0: what is finer makes no edge.
    low, high : float, default 0.06 and 0.15
        Steepness, as the share of its range by which lightness changes over the blur's size: edges
        begin where it is above ``high`` and go on while it is above ``low``. 0 <= low <= high <= 1.
    shortest : float, default 2
        Shorter strokes are left out, mm.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        A stroke for each chain of edge pixels, longest first.

    Raises
    ------
    InvalidValue
        If an argument is invalid.
    MissingPackage
        If scikit-image is not installed.

    References
    ----------
    J. Canny, *A Computational Approach to Edge Detection*, IEEE Transactions on Pattern Analysis
    and Machine Intelligence 8, 1986, 679-698.

    Examples
    --------
    >>> step = Tone([[0.2] * 40 + [0.8] * 40], (0, 0, 40, 20))
    >>> outline = edges(step)
    >>> len(outline), bool(abs(outline.points[:, 0] - 20).max() < 0.3)
    (1, True)
    """
    picture = as_tone("tone", tone)
    radius = checks.positive("detail", detail, unit="mm")
    least = checks.between("low", low, 0.0, 1.0)
    most = checks.between("high", high, 0.0, 1.0)
    if least > most:
        raise InvalidValue(f"low must not be above high, got {low:g} and {high:g}", name="low")
    stub = checks.not_negative("shortest", shortest, unit="mm")
    line = as_pen(pen)
    feature = checks.package("skimage.feature", install="scikit-image", use="looking for edges")
    left, bottom, right, top = picture.extent
    pixel = max(radius / _FINE, np.sqrt((right - left) * (top - bottom) / _MOST))
    columns = max(1, round((right - left) / pixel))
    rows = max(1, round((top - bottom) / pixel))
    if min(rows, columns) < 3 or max(rows, columns) > _MOST:
        return Drawing(pen=line)
    lightness = np.cbrt(averaged(picture.values, rows, columns))
    sigma = min(radius / pixel, float(max(rows, columns)))
    found = feature.canny(
        lightness, sigma=sigma, low_threshold=least, high_threshold=most, mode="nearest"
    )
    chains = _chains(np.asarray(found))
    cell = np.array([(right - left) / columns, (top - bottom) / rows])
    strokes = [(chain[:, ::-1] + 0.5) * cell + (left, bottom) for chain in chains]
    if not strokes:
        return Drawing(pen=line)
    points, offsets = reshape.simplify(*pack(strokes), max(_TOLERANCE, 0.75 * float(cell.max())))
    drawing = Drawing.from_arrays(points, offsets, pen=line)
    order = np.argsort(-drawing.lengths, kind="stable")
    return drawing[order[drawing.lengths[order] >= max(stub, 1e-9)]]


def _chains(found: NDArray[np.bool_]) -> list[FloatArray]:
    """Edge pixels (row, column) as chains of neighbours, each pixel once; ends first, so that what
    is open is one chain, and then what is closed.
    """
    left_over = {(int(row), int(column)) for row, column in np.argwhere(found)}
    ends = sorted(pixel for pixel in left_over if len(_neighbours(pixel, left_over)) == 1)
    chains = []
    for start in [*ends, *sorted(left_over)]:
        if start not in left_over:
            continue
        chain = [start]
        left_over.discard(start)
        while True:
            onward = _neighbours(chain[-1], left_over)
            if not onward:
                break
            chain.append(onward[0])
            left_over.discard(onward[0])
        is_ring = len(chain) > 4 and np.abs(np.subtract(chain[0], chain[-1])).max() == 1
        chains.append(np.array([*chain, chain[0]] if is_ring else chain, np.float64))
    return chains


def _neighbours(pixel: tuple[int, int], among: set[tuple[int, int]]) -> list[tuple[int, int]]:
    row, column = pixel
    around = [(row + down, column + across) for down, across in _AROUND]
    return [other for other in around if other in among]
