"""Wavy hatching: rows that swing, round or in zigzag."""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import FloatArray, finite, not_negative, point, positive, two_digits
from plotlib.checks import affordable as few_enough
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.laying import affordable, box_in, clipped, without_crumbs
from plotlib.fills.room import room
from plotlib.fills.scanlines import Frame
from plotlib.pen import Pen

_MOST_CHORDS = 10_000


def wave(
    region: RegionLike,
    *,
    spacing: float,
    amplitude: float,
    wavelength: float,
    shift: float = 0.0,
    angle: float = 0.0,
    origin: tuple[float, float] = (0.0, 0.0),
    tolerance: float = 0.02,
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with parallel sine waves.

    Parameters
    ----------
    amplitude : float
        How far in mm the waves swing to each side of their row, > 0.
    wavelength : float
        In mm, > 0.
    shift : float, default 0
        By what share of a wavelength each row is shifted against the one below it; 0.5 makes
        scales.
    tolerance : float, default 0.02
        Greatest distance in mm between the waves and their chords.
    region, spacing, angle, origin, shortest, inset, pen
        As for `hatch`.

    Returns
    -------
    Drawing
        The waves, cut at the edge of the area; every second row runs backwards.

    Raises
    ------
    InvalidValue
        If ``spacing``, ``amplitude``, ``wavelength`` or ``tolerance`` is not positive and finite,
        another argument is invalid, or the waves would have millions of points.

    Examples
    --------
    >>> from shapely import box
    >>> len(wave(box(0, 0, 30, 10), spacing=2, amplitude=0.8, wavelength=6))
    5
    """
    high = positive("amplitude", amplitude, unit="mm")
    long = positive("wavelength", wavelength, unit="mm")
    # A chord over h of a curve with curvature c stands off by c h^2 / 8; the greatest curvature is
    # amplitude (2 pi / wavelength)^2.
    fine = positive("tolerance", tolerance, unit="mm")
    chords = math.pi * math.sqrt(high / (2 * fine))
    least = two_digits(high / 2 * (math.pi / _MOST_CHORDS) ** 2)
    remedy = f"take {least} mm or more"
    few_enough("tolerance", fine, chords, _MOST_CHORDS, "chords for each wave", remedy)
    count = 4 * math.ceil(chords / 4 + 1)
    height = high * np.sin(np.arange(count) * (2 * math.pi / count))
    crumb = not_negative("shortest", shortest, unit="mm")
    made = _swinging(region, height, long, spacing, shift, angle, origin, inset, pen)
    return without_crumbs(made, crumb)


def zigzag(
    region: RegionLike,
    *,
    spacing: float,
    amplitude: float,
    wavelength: float,
    shift: float = 0.0,
    angle: float = 0.0,
    origin: tuple[float, float] = (0.0, 0.0),
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with parallel zigzag lines (triangle waves).

    Parameters
    ----------
    amplitude : float
        How far in mm the corners lie to each side of their row, > 0.
    wavelength : float
        In mm, > 0.
    shift : float, default 0
        By what share of a wavelength each row is shifted against the one below it.
    region, spacing, angle, origin, shortest, inset, pen
        As for `hatch`.

    Returns
    -------
    Drawing
        The lines, cut at the edge of the area; every second row runs backwards.

    Raises
    ------
    InvalidValue
        If ``spacing``, ``amplitude`` or ``wavelength`` is not positive and finite, another argument
        is invalid, or the lines would have millions of points.

    Examples
    --------
    >>> from shapely import box
    >>> zigzag(box(0, 0, 8, 2), spacing=2, amplitude=1, wavelength=8)[0].tolist()
    [[0.0, 1.0], [2.0, 2.0], [4.0, 1.0], [6.0, 0.0], [8.0, 1.0]]
    """
    height = positive("amplitude", amplitude, unit="mm") * np.array([0.0, 1.0, 0.0, -1.0])
    crumb = not_negative("shortest", shortest, unit="mm")
    made = _swinging(
        region,
        height,
        positive("wavelength", wavelength, unit="mm"),
        spacing,
        shift,
        angle,
        origin,
        inset,
        pen,
    )
    return without_crumbs(made, crumb)


def _swinging(
    region: RegionLike,
    height: FloatArray,
    wavelength: float,
    spacing: float,
    shift: float,
    angle: float,
    origin: tuple[float, float],
    inset: bool | float | None,
    pen: Pen | None,
) -> Drawing:
    """Rows that repeat the heights of one wave."""
    frame = Frame(
        positive("spacing", spacing, unit="mm"), finite("angle", angle), point("origin", origin)
    )
    lag = finite("shift", shift) % 1.0
    area = room(region, pen, inset)
    if area.is_empty:
        return Drawing.from_arrays(np.empty((0, 2)), np.zeros(1, np.int64), pen=pen)
    u0, v0, u1, v1 = box_in(area, frame)
    reach = float(np.abs(height).max())
    step = wavelength / len(height)
    first = np.ceil((v0 - reach) / frame.spacing - 0.5)
    last = np.floor((v1 + reach) / frame.spacing - 0.5)
    begin = np.floor(u0 / wavelength) - 1
    end = np.ceil(u1 / wavelength)
    affordable(
        max(last - first + 1, 0) * (end - begin) * len(height),
        "the waves of this area",
        widen="spacing or wavelength, or a smaller amplitude",
    )
    rows = np.arange(first, last + 1)
    place = np.arange(begin * len(height), (end + 1) * len(height) + 1)
    points = np.empty((len(rows), len(place), 2))
    points[:, :, 0] = place * step + ((rows * lag) % 1.0 * wavelength)[:, None]
    points[:, :, 1] = frame.height(rows)[:, None] + height[place.astype(np.int64) % len(height)]
    back = rows % 2 == 1
    points[back] = points[back, ::-1]
    return clipped(
        frame.back(points.reshape(-1, 2)), np.arange(len(rows) + 1) * len(place), area, pen
    )
