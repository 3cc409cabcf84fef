"""Graded hatching: rows that stand closer where the tone is darker."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias

import numpy as np

from plotlib.arrays.ragged import offsets_of
from plotlib.checks import FloatArray, IntArray, finite, point, positive
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.fills.laying import affordable
from plotlib.fills.room import room
from plotlib.fills.scanlines import NOTHING, Frame, chord_ends, crossings
from plotlib.pen import Pen

Spacing: TypeAlias = "Callable[[FloatArray, FloatArray], Any]"

_BITS = 6  # tones: rows come in one by one in 64 steps


def graded_hatch(
    region: RegionLike,
    spacing: Spacing,
    *,
    finest: float,
    angle: float = 0.0,
    origin: tuple[float, float] = (0.0, 0.0),
    step: float | None = None,
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with parallel strokes whose mean distance follows a function of the place:
    shading.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    spacing : function or scalar field
        ``spacing(x, y)`` of two arrays in mm: the distance of neighbouring strokes wanted there, >
        0. Infinity for none.
    finest : float
        The smallest distance in mm, > 0; where less is wanted, this is drawn.
    step : float, optional
        Along the rows the function is asked at places so far apart, mm; ``finest`` without it.
    shortest : float, default 0
        Strokes shorter than this are left out, mm.
    angle, origin, inset, pen
        As for `hatch`.

    Returns
    -------
    Drawing
        Rows ``finest`` apart, each of them drawn where the tone calls for it: of 64 neighbouring
        rows those come first that are far from each other (the order of J. G. van der Corput,
        1935), so that halving the spacing puts a row in the middle between two.

    Raises
    ------
    InvalidValue
        If the function gives what is not a number above 0.

    Examples
    --------
    >>> from shapely import box
    >>> fading = graded_hatch(box(0, 0, 64, 64), lambda x, y: 1 + x / 8, finest=1)
    >>> len(fading)
    64
    """
    frame = Frame(
        positive("finest", finest, unit="mm"), finite("angle", angle), point("origin", origin)
    )
    apart = frame.spacing if step is None else positive("step", step, unit="mm")
    ends = chord_ends(
        crossings(room(region, pen, inset), frame, widen="finest"), frame, alternate=False
    )
    places, offsets = _samples(ends, apart)
    if not len(places):
        return Drawing.from_arrays(places, offsets, pen=pen)
    row = np.floor(ends[::2, 1] / frame.spacing).astype(np.int64)
    chord = np.repeat(np.arange(len(row)), np.diff(offsets))
    tone = frame.spacing / _asked(spacing, frame.back(places)) - _threshold(row)[chord]
    one, two, v = _dark(places, tone, chord)
    kept = two - one > max(finite("shortest", shortest), NOTHING)
    return _alternating(one[kept], two[kept], v[kept], frame, pen)


def _samples(ends: FloatArray, step: float) -> tuple[FloatArray, IntArray]:
    """Places (u, v) along each chord: its ends and what lies on multiples of ``step`` between
    them.
    """
    left = ends[::2, 0]
    right = ends[1::2, 0]
    first = np.floor(left / step) + 1
    last = np.ceil(right / step) - 1
    between = np.maximum(last - first + 1, 0)
    affordable(float(between.sum()) + len(ends), "the samples of this area", widen="step or finest")
    offsets = offsets_of(between.astype(np.int64) + 2)
    chord = np.repeat(np.arange(len(left)), np.diff(offsets))
    nth = np.arange(len(chord)) - offsets[chord]
    u = (first[chord] + nth - 1) * step
    u[offsets[:-1]] = left
    u[offsets[1:] - 1] = right
    return np.column_stack([u, ends[::2, 1][chord]]), offsets


def _asked(spacing: Spacing, points: FloatArray) -> FloatArray:
    if not callable(spacing):
        raise InvalidValue(
            f"spacing must be a function of x and y, or a scalar field; got {spacing!r}; use "
            f"hatch for an even spacing"
        )
    try:
        wanted = np.broadcast_to(
            np.asarray(spacing(points[:, 0], points[:, 1]), np.float64), (len(points),)
        )
    except (TypeError, ValueError) as error:
        raise InvalidValue(
            "spacing must take two arrays x and y (n,) and return distances as an array (n,), so "
            f"it is written with numpy's functions; {type(error).__name__}: {error}",
            name="spacing",
        ) from error
    bad = ~(wanted > 0)
    if bad.any():
        at = int(np.argmax(bad))
        raise InvalidValue(
            f"spacing must be greater than 0 (mm), got {wanted[at]} at ({points[at, 0]:g}, "
            f"{points[at, 1]:g})",
            value=wanted[at],
        )
    return wanted


def _threshold(row: IntArray) -> FloatArray:
    """The tone from which on a row is drawn: its number with the bits in reverse, as a fraction."""
    rest = row % (1 << _BITS)
    turned = np.zeros(len(row), np.int64)
    for _ in range(_BITS):
        turned = 2 * turned + rest % 2
        rest = rest // 2
    return np.asarray((turned + 0.5) / (1 << _BITS))


def _dark(
    places: FloatArray, tone: FloatArray, chord: IntArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Where along each chord the tone is above 0: beginnings, ends, and the row's height."""
    dark = tone > 0
    same = chord[1:] == chord[:-1]
    change = same & (dark[1:] != dark[:-1])
    share = tone[:-1] / np.where(change, tone[:-1] - tone[1:], 1.0)
    turn = places[:-1, 0] + share * (places[1:, 0] - places[:-1, 0])
    head = np.append(True, ~same)
    tail = np.append(~same, True)
    begins = dark & head
    rises = change & dark[1:]
    falls = change & dark[:-1]
    one = np.where(begins, places[:, 0], np.append(np.nan, np.where(rises, turn, np.nan)))
    two = np.where(dark & tail, places[:, 0], np.append(np.where(falls, turn, np.nan), np.nan))
    first = ~np.isnan(one)
    last = ~np.isnan(two)
    return one[first], two[last], places[first, 1]


def _alternating(
    one: FloatArray, two: FloatArray, v: FloatArray, frame: Frame, pen: Pen | None
) -> Drawing:
    back = np.floor(v / frame.spacing) % 2 == 1
    order = np.lexsort((np.where(back, -one, one), v))
    one = one[order]
    two = two[order]
    v = v[order]
    back = back[order]
    u = np.column_stack([np.where(back, two, one), np.where(back, one, two)])
    points = np.column_stack([u.ravel(), np.repeat(v, 2)])
    return Drawing.from_arrays(frame.back(points), np.arange(0, len(points) + 1, 2), pen=pen)
