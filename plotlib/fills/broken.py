"""Broken hatching: rows of dashes, rows of dots."""

from __future__ import annotations

import numpy as np

from plotlib.arrays.ragged import offsets_of
from plotlib.checks import FloatArray, IntArray, finite, point, positive
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.laying import affordable
from plotlib.fills.room import room
from plotlib.fills.scanlines import NOTHING, Frame, chord_ends, crossings
from plotlib.pen import Pen


def dashed_hatch(
    region: RegionLike,
    *,
    spacing: float,
    dash: float,
    gap: float,
    stagger: float = 0.5,
    angle: float = 0.0,
    origin: tuple[float, float] = (0.0, 0.0),
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with parallel rows of dashes.

    Parameters
    ----------
    dash, gap : float
        Lengths in mm of each dash and of the gap after it, > 0.
    stagger : float, default 0.5
        By what share of a period each row is shifted against the one below it.
    region, spacing, angle, origin, inset, pen
        As for `hatch`.

    Returns
    -------
    Drawing
        Dashes counted from the origin, so that neighbouring areas line up; those that meet the edge
        are cut there. Every second row runs backwards.

    Raises
    ------
    InvalidValue
        If ``spacing``, ``dash`` or ``gap`` is not positive, another argument is not finite, or the
        dashes would be millions.

    Examples
    --------
    >>> from shapely import box
    >>> dashed_hatch(box(0, 0, 10, 2), spacing=2, dash=3, gap=2)[1].tolist()
    [[5.0, 1.0], [8.0, 1.0]]
    """
    length = positive("dash", dash, unit="mm")
    period = dash + positive("gap", gap, unit="mm")
    frame = Frame(
        positive("spacing", spacing, unit="mm"), finite("angle", angle), point("origin", origin)
    )
    ends, shift = _rows(region, frame, finite("stagger", stagger) * period, inset, pen)
    left = ends[::2, 0] - shift
    right = ends[1::2, 0] - shift
    first = np.floor(left / period)
    count = _counted(np.ceil(right / period) - first)
    chord, step = _spread(count)
    begin = (first[chord] + step) * period
    one = np.maximum(begin, left[chord])
    two = np.minimum(begin + length, right[chord])
    kept = two - one > NOTHING
    points = np.stack([one[kept] + shift[chord[kept]], two[kept] + shift[chord[kept]]], axis=1)
    return _made(points, ends[::2, 1][chord[kept]], frame, pen)


def dotted_hatch(
    region: RegionLike,
    *,
    spacing: float,
    every: float | None = None,
    stagger: float = 0.5,
    angle: float = 0.0,
    origin: tuple[float, float] = (0.0, 0.0),
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with parallel rows of dots.

    Parameters
    ----------
    every : float, optional
        Distance of the dots of a row in mm; ``spacing`` without it.
    stagger : float, default 0.5
        By what share of that distance each row is shifted against the one below it.
    region, spacing, angle, origin, inset, pen
        As for `hatch`.

    Returns
    -------
    Drawing
        Strokes of one point, counted from the origin.

    Raises
    ------
    InvalidValue
        If ``spacing`` or ``every`` is not positive, another argument is not finite, or the dots
        would be millions.

    Examples
    --------
    >>> from shapely import box
    >>> len(dotted_hatch(box(0, 0, 10, 10), spacing=1))
    100
    """
    frame = Frame(
        positive("spacing", spacing, unit="mm"), finite("angle", angle), point("origin", origin)
    )
    period = frame.spacing if every is None else positive("every", every, unit="mm")
    ends, shift = _rows(region, frame, finite("stagger", stagger) * period, inset, pen)
    left = (ends[::2, 0] - shift) / period
    right = (ends[1::2, 0] - shift) / period
    first = np.ceil(left - 0.5)
    chord, step = _spread(_counted(np.ceil(right - 0.5) - first))
    place = (first[chord] + step + 0.5) * period + shift[chord]
    return _made(place[:, None], ends[::2, 1][chord], frame, pen)


def _rows(
    region: RegionLike, frame: Frame, shift: float, inset: bool | float | None, pen: Pen | None
) -> tuple[FloatArray, FloatArray]:
    """Chords as (u, v), left to right, and by how much the pattern of each is shifted along it."""
    ends = chord_ends(crossings(room(region, pen, inset), frame), frame, alternate=False)
    return ends, np.floor(ends[::2, 1] / frame.spacing) * shift


def _counted(count: FloatArray) -> IntArray:
    count = np.maximum(count, 0)
    affordable(
        2 * float(count.sum()),
        "the dashes or dots of this area",
        widen="spacing, dash, gap or every",
    )
    return count.astype(np.int64)


def _spread(count: IntArray) -> tuple[IntArray, IntArray]:
    """The chord of each piece, and its number in the chord."""
    chord = np.repeat(np.arange(len(count)), count)
    return chord, np.arange(len(chord)) - offsets_of(count)[:-1][chord]


def _made(u: FloatArray, v: FloatArray, frame: Frame, pen: Pen | None) -> Drawing:
    """Strokes from places u (n, k) and heights v (n,), odd rows from right to left."""
    back = np.floor(v / frame.spacing) % 2 == 1
    order = np.lexsort((np.where(back, -u[:, 0], u[:, 0]), v))
    u = np.where(back[order, None], u[order, ::-1], u[order])
    points = np.column_stack([u.ravel(), np.repeat(v[order], u.shape[1])])
    return Drawing.from_arrays(
        frame.back(points), np.arange(0, len(points) + 1, u.shape[1]), pen=pen
    )
