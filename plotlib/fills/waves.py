"""Wavy hatching: rows that swing, round or in zigzag."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple, TypeAlias, TypeGuard

import numpy as np

from plotlib.arrays.asking import PlaneFunction, finite_at
from plotlib.arrays.mapping import remap
from plotlib.checks import FloatArray, finite, not_negative, point, positive, two_digits
from plotlib.checks import affordable as few_enough
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.laying import affordable, box_in, clipped, without_crumbs
from plotlib.fills.room import room
from plotlib.fills.scanlines import Frame
from plotlib.pen import Pen

Numbers: TypeAlias = "Callable[[FloatArray, FloatArray], FloatArray]"
Box: TypeAlias = "tuple[float, float, float, float]"  # u0, v0, u1, v1

_MOST_CHORDS = 10_000


def wave(
    region: RegionLike,
    *,
    spacing: float,
    amplitude: float | PlaneFunction,
    wavelength: float,
    shift: float = 0.0,
    phase: float | PlaneFunction = 0.0,
    angle: float = 0.0,
    origin: tuple[float, float] = (0.0, 0.0),
    tolerance: float = 0.02,
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with parallel sine waves, which may swing as a field says: shading by waves.

    Parameters
    ----------
    amplitude : float, function or scalar field
        How far in mm the waves swing to each side of their row: a number > 0, or
        ``amplitude(x, y)`` of two float64 arrays (n,) in mm, without jumps; where that is below 0
        the waves swing the other way.
    wavelength : float
        In mm, > 0.
    shift : float, default 0
        By what share of a wavelength each row is shifted against the one below it; 0.5 makes
        scales.
    phase : float, function or scalar field, default 0
        Degrees by which the swing is ahead at each place, 360 for a whole wavelength: a number,
        or ``phase(x, y)`` as for ``amplitude``.
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
        a function gives what is not finite, or jumps, another argument is invalid, or the
        waves would have millions of points.

    Examples
    --------
    >>> from shapely import box
    >>> len(wave(box(0, 0, 30, 10), spacing=2, amplitude=0.8, wavelength=6))
    5
    >>> fading = wave(box(0, 0, 30, 10), spacing=2, amplitude=lambda x, y: x / 30, wavelength=6)
    >>> left, right = fading.clipped(box(0, 0, 6, 9)), fading.clipped(box(24, 0, 30, 9))
    >>> left.length < right.length
    True
    """
    long = positive("wavelength", wavelength, unit="mm")
    fine = positive("tolerance", tolerance, unit="mm")
    crumb = not_negative("shortest", shortest, unit="mm")
    if _is_function(amplitude) or _is_function(phase):
        swing = _Swing(amplitude, phase, long, finite("shift", shift) % 1.0)
        made = _by_field(region, swing, fine, spacing, angle, origin, inset, pen)
        return without_crumbs(made, crumb)
    high = positive("amplitude", amplitude, unit="mm")
    count = _chords(high, fine)
    ahead = 2 * math.pi / 360 * finite("phase", phase)
    height = high * np.sin(np.arange(count) * (2 * math.pi / count) + ahead)
    made = _swinging(region, height, long, spacing, shift, angle, origin, inset, pen)
    return without_crumbs(made, crumb)


def _chords(high: float, fine: float) -> int:
    """How many chords a wave needs: one over h of a curve with curvature c stands off by
    c h^2 / 8, and the greatest curvature is amplitude (2 pi / wavelength)^2.
    """
    chords = math.pi * math.sqrt(high / (2 * fine))
    least = two_digits(high / 2 * (math.pi / _MOST_CHORDS) ** 2)
    remedy = f"take {least} mm or more"
    few_enough("tolerance", fine, chords, _MOST_CHORDS, "chords for each wave", remedy)
    return 4 * math.ceil(chords / 4 + 1)


def zigzag(
    region: RegionLike,
    *,
    spacing: float,
    amplitude: float | PlaneFunction,
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
    amplitude : float, function or scalar field
        How far in mm the corners lie to each side of their row: a number > 0, or
        ``amplitude(x, y)`` of two float64 arrays (n,) in mm; below 0 they lie on the other side.
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
        If ``spacing``, ``amplitude`` or ``wavelength`` is not positive and finite, a function gives
        what is not finite, another argument is invalid, or the lines would have millions of points.

    References
    ----------
    M. Held, *On the Computational Geometry of Pocket Machining*, Springer 1991 (paths parallel to a
    direction; from memory).

    Examples
    --------
    >>> from shapely import box
    >>> zigzag(box(0, 0, 8, 2), spacing=2, amplitude=1, wavelength=8)[0].tolist()
    [[0.0, 1.0], [2.0, 2.0], [4.0, 1.0], [6.0, 0.0], [8.0, 1.0]]
    """
    crumb = not_negative("shortest", shortest, unit="mm")
    height = np.array([0.0, 1.0, 0.0, -1.0])
    field = amplitude if _is_function(amplitude) else None
    if field is None:
        height *= positive("amplitude", amplitude, unit="mm")
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
        field,
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
    amplitude: PlaneFunction | None = None,
) -> Drawing:
    """Rows that repeat the heights of one wave, each times the amplitude at its place."""
    frame = Frame(
        positive("spacing", spacing, unit="mm"), finite("angle", angle), point("origin", origin)
    )
    lag = finite("shift", shift) % 1.0
    area = room(region, pen, inset)
    if area.is_empty:
        return Drawing.from_arrays(np.empty((0, 2)), np.zeros(1, np.int64), pen=pen)
    u0, v0, u1, v1 = box_in(area, frame)
    reach = float(np.abs(height).max())
    asked = None if amplitude is None else _within("amplitude", amplitude, frame, (u0, v0, u1, v1))
    if asked is not None:
        reach *= _greatest(asked, frame, (u0, v0, u1, v1), wavelength)
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
    points[:, :, 1] = frame.height(rows)[:, None]
    swing = np.broadcast_to(height[place.astype(np.int64) % len(height)], points.shape[:2])
    if asked is not None:
        places = points.reshape(-1, 2)
        swing = swing * asked(places[:, 0], places[:, 1]).reshape(swing.shape)
    points[:, :, 1] += swing
    back = rows % 2 == 1
    points[back] = points[back, ::-1]
    return clipped(
        frame.back(points.reshape(-1, 2)), np.arange(len(rows) + 1) * len(place), area, pen
    )


class _Swing(NamedTuple):
    """How waves swing: numbers or functions, and by how much rows lag behind each other."""

    amplitude: float | PlaneFunction
    phase: float | PlaneFunction
    wavelength: float
    lag: float


def _by_field(
    region: RegionLike,
    swing: _Swing,
    fine: float,
    spacing: float,
    angle: float,
    origin: tuple[float, float],
    inset: bool | float | None,
    pen: Pen | None,
) -> Drawing:
    """Straight rows, bent as the functions say, drawn to the tolerance."""
    frame = Frame(
        positive("spacing", spacing, unit="mm"), finite("angle", angle), point("origin", origin)
    )
    given = (_as_function("amplitude", swing.amplitude), _as_function("phase", swing.phase))
    area = room(region, pen, inset)
    if area.is_empty:
        return Drawing.from_arrays(np.empty((0, 2)), np.zeros(1, np.int64), pen=pen)
    u0, v0, u1, v1 = box_in(area, frame)
    amplitude = _within("amplitude", given[0], frame, (u0, v0, u1, v1))
    phase = _within("phase", given[1], frame, (u0, v0, u1, v1))
    reach = _greatest(amplitude, frame, (u0, v0, u1, v1), swing.wavelength)
    first = np.ceil((v0 - reach) / frame.spacing - 0.5)
    last = np.floor((v1 + reach) / frame.spacing - 0.5)
    affordable(
        max(last - first + 1, 0) * (1 + (u1 - u0) / swing.wavelength) * _chords(reach, fine),
        "the waves of this area",
        widen="spacing or wavelength, or a smaller amplitude",
    )
    rows = np.arange(first, last + 1)

    def bent(u: FloatArray, v: FloatArray) -> tuple[FloatArray, FloatArray]:
        row = np.round(v / frame.spacing - 0.5)
        turns = u / swing.wavelength - row * swing.lag % 1.0 + phase(u, v) / 360
        return u, v + amplitude(u, v) * np.sin(2 * math.pi * turns)

    ends = np.empty((len(rows), 2, 2))
    ends[:, :, 0] = np.where((rows % 2 == 1)[:, None], (u1, u0), (u0, u1))
    ends[:, :, 1] = frame.height(rows)[:, None]
    offsets = 2 * np.arange(len(rows) + 1)
    step = swing.wavelength / 8
    points, offsets = remap(ends.reshape(-1, 2), offsets, bent, tolerance=fine, step=step)
    return clipped(frame.back(points), offsets, area, pen)


def _is_function(value: object) -> TypeGuard[PlaneFunction]:
    return callable(value) and not isinstance(value, type)


def _as_function(name: str, value: float | PlaneFunction) -> PlaneFunction:
    if _is_function(value):
        return value
    number = finite(name, value) if name == "phase" else positive(name, value, unit="mm")
    return lambda x, y: np.full(len(x), number)


def _within(name: str, function: PlaneFunction, frame: Frame, box: Box) -> Numbers:
    """A function of (u, v) that is asked inside the box only, and its numbers checked: beyond it
    counts what is at its edge, so that a field need not reach farther than the area.
    """
    u0, v0, u1, v1 = box

    def asked(u: FloatArray, v: FloatArray) -> FloatArray:
        spots = np.column_stack([np.clip(u, u0, u1), np.clip(v, v0, v1)])
        return finite_at(name, function, frame.back(spots))

    return asked


def _greatest(amplitude: Numbers, frame: Frame, box: Box, wavelength: float) -> float:
    """The greatest swing over a box, asked at places a row or an eighth of a wave apart."""
    u0, v0, u1, v1 = box
    across = np.ceil(8 * (u1 - u0) / wavelength) + 2
    up = np.ceil((v1 - v0) / frame.spacing) + 2
    affordable(across * up, "the waves of this area", widen="spacing or wavelength")
    u, v = np.meshgrid(np.linspace(u0, u1, int(across)), np.linspace(v0, v1, int(up)))
    return float(np.abs(amplitude(u.ravel(), v.ravel())).max())
