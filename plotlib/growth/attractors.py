"""Strange attractors: of differential equations as one stroke, of maps as dots."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import ArrayLike
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.arrays.flatten import TOLERANCE, adaptive
from plotlib.checks import BoolArray, FloatArray, Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.growth.afford import Limit, affordable
from plotlib.growth.flows import FLOWS, Flow
from plotlib.pen import Pen
from plotlib.progress import Progress, Stage, asked

MAPS = {
    "clifford": (-1.4, 1.6, 1.0, 0.7),
    "de jong": (1.4, -2.3, 2.4, -2.1),
    "henon": (1.4, 0.3),
}
_RELATIVE = 1e-9  # error of a step
_MOST_STEPS = 50_000  # of the solver: some ten seconds
_LEAST = 1e-3  # units of time
_LONGEST = 10.0  # times the usual duration: the paper has long been black
_AT_ONCE = 200  # steps between two reports
_MOST_DOTS = 5_000_000
_MOST_CELLS = 50_000_000
_DOTS_AT_ONCE = 1_000_000
_SETTLE = 1_000  # points of a map until the orbit is on the attractor
_NUDGE = 1e-3  # of the start, by the seed


def attractor(
    region: RegionLike,
    *,
    system: str = "lorenz",
    parameters: ArrayLike | None = None,
    duration: float | None = None,
    view: tuple[float, float] | None = None,
    tolerance: float = TOLERANCE,
    seed: Seed = 0,
    pen: Pen | None = None,
    progress: Progress = None,
) -> Drawing:
    """A strange attractor of differential equations: the way of one point, as one stroke.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; the attractor is fitted into its bounds, in proportion, and what is outside the
        area is cut off.
    system : {"lorenz", "rossler", "thomas", "halvorsen", "langford"}, default "lorenz"
        The equations.
    parameters : array-like of shape (n,), optional
        Their constants, in the order of the publication; without it well-known ones.
    duration : float, optional
        For how many units of time the point is followed, 0.001 … ten times as long as without it:
        60 (Lorenz), 250 (Rössler), 500 (Thomas), 60 (Halvorsen) or 160 (Langford).
    view : tuple of two floats, optional
        From where it is seen, in degrees: azimuth from the x axis of the system and elevation.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    seed : int or numpy Generator, default 0
        Which way on the attractor.
    pen : Pen, optional
        The pen; without it the default one.
    progress : bool or function, optional
        True for a bar, or a function that is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    Drawing
        One stroke in a rectangle. Iterative: on other processors it may come out differently.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the point does not stay near the origin, or following it takes
        more than 50,000 steps.
    UnknownName
        If ``system`` is none of the five.

    References
    ----------
    E. N. Lorenz, *Deterministic Nonperiodic Flow*, 1963 (sigma, rho, beta); O. E. Rössler, *An
    Equation for Continuous Chaos*, 1976 (a, b, c); R. Thomas, *Deterministic Chaos Seen in Terms of
    Feedback Circuits*, 1999 (b); W. F. Langford, *Numerical Studies of Torus Bifurcations*, 1984
    (a … f); Halvorsen's system (a) after J. C. Sprott, *Chaos and Time-Series Analysis*, 2003.

    Examples
    --------
    >>> from shapely import box
    >>> wings = attractor(box(0, 0, 120, 120), system="lorenz", duration=5)
    >>> len(wings)
    1
    """
    area = as_area(region)
    flow = FLOWS[checks.one_of("system", system, FLOWS)]
    constants = _constants(flow.parameters, parameters)
    time = flow.duration
    if duration is not None:
        time = checks.between("duration", duration, _LEAST, _LONGEST * flow.duration)
    azimuth, elevation = flow.view if view is None else checks.point("view", view)
    limit = checks.positive("tolerance", tolerance, unit="mm")
    random = checks.generator(seed)
    if area.is_empty:
        return Drawing(pen=pen)
    axes = _axes(math.radians(azimuth), math.radians(elevation))
    start = np.asarray(flow.start) * (1 + _NUDGE * random.standard_normal(3))
    with asked("following the attractor", progress) as work:
        way = solved(flow, constants, start, flow.settle + time, work)
        begin = flow.settle
        breaks = way.ts[way.ts > begin]
        breaks = np.concatenate([[begin], breaks])
        seen = way(np.linspace(begin, breaks[-1], 4 * len(breaks))).T @ axes
        scale, shift = _fit(seen, area)
        points = adaptive(lambda t: way(t).T @ axes * scale + shift, breaks, limit)
        drawn = Drawing.from_arrays(points, np.array([0, len(points)]), pen=pen)
        return drawn.fitted(area).clipped(area)


def _constants(known: tuple[float, ...], given: ArrayLike | None) -> tuple[float, ...]:
    if given is None:
        return known
    values = checks.numbers("parameters", given, ndim=1)
    if len(values) != len(known):
        raise InvalidValue(
            f"parameters of this system are {checks.counted(len(known), 'number')}, as in "
            f"{known}, got {len(values)}",
            name="parameters",
        )
    return tuple(values.tolist())


def _axes(azimuth: float, elevation: float) -> FloatArray:
    """The matrix (3, 2) of a parallel projection: to the right, and up."""
    right = (-math.sin(azimuth), math.cos(azimuth), 0.0)
    low = -math.sin(elevation)
    up = (low * math.cos(azimuth), low * math.sin(azimuth), math.cos(elevation))
    return np.array([right, up]).T


def solved(
    flow: Flow, constants: tuple[float, ...], start: FloatArray, time: float, work: Stage
) -> Any:
    """The way of a point as a function of the time."""
    from scipy.integrate import DOP853, OdeSolution

    def rates(_: float, at: FloatArray) -> FloatArray:
        x, y, z = at.tolist()
        try:
            return np.array(flow.rates((x, y, z), constants))
        except (OverflowError, ValueError):  # of numbers that are not finite any more
            return np.full(3, math.nan)

    with np.errstate(all="ignore"):
        solver: Any = DOP853(rates, 0.0, start, time, rtol=_RELATIVE, atol=_RELATIVE)
        times = [0.0]
        pieces = []
        while solver.status == "running" and len(times) <= _MOST_STEPS:
            solver.step()
            if solver.status == "failed" or not np.abs(solver.y).max() < 1e6:
                raise InvalidValue(
                    "with these parameters the point flies off; keep them nearer to the known "
                    f"ones, {flow.parameters}",
                    name="parameters",
                )
            times.append(solver.t)
            pieces.append(solver.dense_output())
            if len(times) % _AT_ONCE == 0:
                work.done(min(1.0, solver.t / time))
    if solver.status == "running":
        raise InvalidValue(
            f"following the point for {time:g} takes more than {_MOST_STEPS:,} steps, which came "
            f"to {solver.t:g}; take a shorter duration",
            name="duration",
            value=time,
        )
    return OdeSolution(times, pieces)


def _fit(points: FloatArray, area: Polygon | MultiPolygon) -> tuple[float, FloatArray]:
    """Scale and shift that bring points into the bounds of an area, in proportion."""
    left, bottom, right, top = area.bounds
    low = points.min(axis=0)
    size = np.maximum(points.max(axis=0) - low, 1e-9)
    scale = float(min((right - left) / size[0], (top - bottom) / size[1]))
    middle = np.array([(left + right) / 2, (bottom + top) / 2])
    return scale, middle - scale * (low + size / 2)


def orbit(
    region: RegionLike,
    *,
    system: str = "clifford",
    parameters: ArrayLike | None = None,
    count: int = 40_000,
    spacing: float = 0.5,
    seed: Seed = 0,
    pen: Pen | None = None,
    progress: Progress = None,
) -> Drawing:
    """The orbit of a point under a map of the plane, as dots: a strange attractor.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; the orbit is fitted into its bounds, in proportion, and dots outside the area are
        left out.
    system : {"clifford", "de jong", "henon"}, default "clifford"
        The map.
    parameters : array-like of shape (n,), optional
        Its constants, in the order of the formula; without it some that look well.
    count : int, default 40,000
        How many points of the orbit are looked at; few leave where it seldom comes thin.
    spacing : float, default 0.5
        No two dots are nearer than this, mm, > 0: of points of the orbit too near to a dot no dot
        is made.
    seed : int or numpy Generator, default 0
        Where the orbit begins.
    pen : Pen, optional
        The pen; without it the default one.
    progress : bool or function, optional
        True for a bar, or a function that is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    Drawing
        Strokes of one point, from left to right in rows. Sensitive: on other processors it may come
        out differently.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the orbit flies off, or ``count`` is above 5 million, or
        the area has more than 25 million squares of the spacing.
    UnknownName
        If ``system`` is none of the three.

    References
    ----------
    M. Hénon, *A Two-dimensional Mapping with a Strange Attractor*, 1976: x' = 1 - a x² + y,
    y' = b x. C. A. Pickover, *Chaos in Wonderland*, 1994, for Clifford's x' = sin a y + c cos a x,
    y' = sin b x + d cos b y; A. K. Dewdney, *Scientific American*, July 1987, for de Jong's
    x' = sin a y - cos b x, y' = sin c x - cos d y (the last two from memory).

    Examples
    --------
    >>> from shapely import box
    >>> dust = orbit(box(0, 0, 60, 60), count=500, spacing=1)
    >>> 100 < len(dust) < 500
    True
    """
    from plotlib.growth.orbit_kernel import follow

    area = as_area(region)
    constants = np.array(_constants(MAPS[checks.one_of("system", system, MAPS)], parameters))
    number = checks.whole("count", count, low=2, high=_MOST_DOTS)
    apart = checks.positive("spacing", spacing, unit="mm")
    start = checks.generator(seed).uniform(-0.1, 0.1, 2)
    if area.is_empty:
        return Drawing(pen=pen)
    affordable("spacing", apart, Limit(lambda s: math.prod(_cells(area, s)), _MOST_CELLS, "cells"))
    kind = list(MAPS).index(system)
    points = np.zeros((number, 2))
    with asked("following the orbit", progress) as work:
        at = follow(kind, constants, start, np.zeros((_SETTLE, 2)))
        for begin in range(0, number, _DOTS_AT_ONCE):
            at = follow(kind, constants, at, points[begin : begin + _DOTS_AT_ONCE])
            work.done(begin / number)
        if not np.abs(points).max() < 1e6:
            raise InvalidValue(
                "with these parameters the orbit flies off; keep them nearer to the known ones, "
                f"{MAPS[system]}",
                name="parameters",
            )
        scale, shift = _fit(points, area)
        places = points * scale + shift
        chosen = places[_thinned(places, area, apart)]
    drawn = Drawing.from_arrays(chosen, np.arange(len(chosen) + 1), pen=pen)
    return drawn.clipped(area)


def _cells(area: Polygon | MultiPolygon, apart: float) -> tuple[float, float]:
    """Rows and columns of the grid by which dots are thinned."""
    left, bottom, right, top = area.bounds
    side = max(apart / math.sqrt(2), 1e-100)
    return np.floor((top - bottom) / side) + 2, np.floor((right - left) / side) + 2


def _thinned(places: FloatArray, area: Polygon | MultiPolygon, apart: float) -> BoolArray:
    """Which places are kept so that none are too near to each other."""
    from plotlib.growth.orbit_kernel import thin

    rows, columns = _cells(area, apart)
    heads = np.full((int(rows), int(columns)), -1)
    return thin(np.maximum(places - area.bounds[:2], 0.0), apart, heads)
