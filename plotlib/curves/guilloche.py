"""Guilloche: bands of lines that swing between two curves, as a rose engine turns them."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.arrays.flatten import TOLERANCE, adaptive
from plotlib.checks import FloatArray
from plotlib.curves.making import MOST_LAPS
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.progress import stage

_PER_SWING = 8  # pieces of 45 degrees, where ``adaptive`` asks for no more than a right angle
_PAIRINGS = ("length", "points")
# Some two seconds of work, and hundreds of metres of ink: more is a mistake in an argument.
_MOST_SWINGS = 100_000
_MOST_POINTS = 1_000_000


class _Band(NamedTuple):
    """Both edges at the same shares (n,) of the way along them, which increase from 0 to 1."""

    share: FloatArray
    inner: FloatArray  # (n, 2)
    outer: FloatArray  # (n, 2)
    is_closed: bool

    def at(self, share: FloatArray, level: FloatArray) -> FloatArray:
        """Points (n, 2) at shares, a ``level`` of 0 on the inner edge, 1 on the outer one."""
        columns = []
        for axis in (0, 1):
            low = np.interp(share, self.share, self.inner[:, axis])
            high = np.interp(share, self.share, self.outer[:, axis])
            columns.append(low + (high - low) * level)
        return np.column_stack(columns)


def guilloche(
    inner: Drawing | ArrayLike,
    outer: Drawing | ArrayLike,
    *,
    lobes: int,
    lines: int,
    phase: float = 0.0,
    pairing: str = "length",
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """A guilloche: an engine-turned band of sine lines that swing between two curves.

    Parameters
    ----------
    inner, outer : Drawing of one stroke, or points (n, 2) in mm
        The edges of the band, both open or both closed (first and last point alike). Closed ones
        should begin side by side and run the same way; they may be waves or cross each other.
    lobes : int
        How often the band touches its outer edge, 1 to 100,000.
    lines : int
        How many lines run side by side, 1 to 10,000; each swings ``lobes / lines`` times on its
        way from one end of the band to the other or round it.
    phase : float, default 0.0
        By how many degrees of a swing each line is ahead; at 0 the first begins on the outer edge.
    pairing : str, default "length"
        Which places of both edges lie side by side: "length", equal shares of their lengths;
        "points", points of the same number, for edges with as many points each, such as mitred
        corners.
    tolerance : float, default 0.02
        Greatest distance in mm between a line and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        Round a closed band as few strokes as there can be: a line that comes back to another goes
        on as that one, and closes after ``lines / gcd(lobes, lines)`` turns, so there are
        ``gcd(lobes, lines)`` closed strokes, and a single one where the numbers have no common
        divisor. Of an open band one stroke for each line.

    Raises
    ------
    InvalidValue, UnknownName
        If an argument is invalid, an edge is not one stroke with a length, only one of them is
        closed, they differ in their number of points although these are paired, or the band needs
        more than a million points.

    Notes
    -----
    Line j is at ``(1 + cos(360 (s lobes + j) / lines + phase)) / 2`` of the way from the inner to
    the outer edge, s from 0 to ``1`` along them. It touches the outer edge as the star polygon
    {lobes / lines} touches its circle, and has that star's parts and crossings.

    References
    ----------
    H. S. M. Coxeter, *Regular Polytopes*, 1963, 6.1; L. Bergeron, *Manuel du tourneur*, 1792 (the
    engine; from memory).

    Examples
    --------
    >>> from plotlib import shapes
    >>> ring = [shapes.circle((0, 0), radius) for radius in (20, 30)]
    >>> len(guilloche(*ring, lobes=36, lines=11)), len(guilloche(*ring, lobes=36, lines=10))
    (1, 2)
    """
    checks.one_of("pairing", pairing, _PAIRINGS)
    band = _band(_edge("inner", inner), _edge("outer", outer), pairing)
    swings = checks.whole("lobes", lobes, low=1, high=_MOST_SWINGS)
    count = checks.whole("lines", lines, low=1, high=MOST_LAPS)
    ahead = (checks.finite("phase", phase, unit="degrees") % 360.0) / 360.0
    limit = checks.positive("tolerance", tolerance, unit="mm")
    least = count * len(band.share) + _PER_SWING * swings
    remedy = "take fewer lines, or edges of fewer points"
    checks.affordable("lines", count, least, _MOST_POINTS, "points", remedy)
    number = math.gcd(swings, count) if band.is_closed else count
    turns = count // number if band.is_closed else 1
    strokes = []
    total = 0
    with stage("turning a guilloche") as work:
        for first in range(number):
            strokes.append(_line(band, swings / count, first / count + ahead, turns, limit))
            total += len(strokes[-1])
            remedy = "take a larger one"
            checks.affordable("tolerance", limit, total, _MOST_POINTS, "points", remedy)
            work.done((first + 1) / number)
    counts = np.array([len(stroke) for stroke in strokes], dtype=np.int64)
    return Drawing.from_arrays(np.concatenate(strokes), ragged.offsets_of(counts), pen=pen)


def _line(band: _Band, swings: float, ahead: float, turns: int, tolerance: float) -> FloatArray:
    """One stroke: ``turns`` along the band with so many ``swings`` each, the first of them begun
    ``ahead``, a share of a swing.
    """

    def curve(t: FloatArray) -> FloatArray:
        share = np.where(t == turns, 1.0, t % 1.0)
        return band.at(share, (1 + np.cos(2 * math.pi * (swings * t + ahead))) / 2)

    eighths = np.arange(math.ceil(_PER_SWING * ahead), _PER_SWING * (swings * turns + ahead))
    touches = (eighths / _PER_SWING - ahead) / swings
    corners = (np.arange(turns)[:, None] + band.share[:-1]).ravel()
    breaks = np.sort(np.concatenate([touches[(touches > 0) & (touches < turns)], corners]))
    apart = np.concatenate([[True], np.diff(breaks) > 1e-9])
    points = adaptive(curve, np.append(breaks[apart & (breaks < turns - 1e-9)], turns), tolerance)
    if band.is_closed:
        points[-1] = points[0]
    return points


def _edge(name: str, given: Drawing | ArrayLike) -> FloatArray:
    """The points of an edge, no two in a row alike."""
    if isinstance(given, Drawing):
        if len(given) != 1:
            raise InvalidValue(
                f"{name} must be one stroke, got {checks.counted(len(given), 'stroke')}; give "
                f"one of them",
                name=name,
                value=given,
            )
        given = given.points
    points = checks.points(name, given, least=2)
    if not _steps(points).sum() > 0:
        raise InvalidValue(f"{name} has no length: its points are all alike", name=name)
    return points


def _steps(points: FloatArray) -> FloatArray:
    return np.asarray(np.hypot(*np.diff(points, axis=0).T))


def _band(inner: FloatArray, outer: FloatArray, pairing: str) -> _Band:
    """Both edges at the same shares."""
    is_closed = [bool((edge[0] == edge[-1]).all()) for edge in (inner, outer)]
    if is_closed[0] != is_closed[1]:
        words = ["closed" if one else "open" for one in is_closed]
        raise InvalidValue(
            f"inner is {words[0]} and outer {words[1]}; make both alike: a closed one "
            f"ends on its first point",
            name="inner",
        )
    if pairing == "points":
        return _paired(inner, outer, is_closed[0])
    shares = [_shares(_steps(edge)) for edge in (inner, outer)]
    every = np.unique(np.concatenate(shares))
    edges = [
        np.column_stack([np.interp(every, share, edge[:, axis]) for axis in (0, 1)])
        for share, edge in zip(shares, (inner, outer), strict=True)
    ]
    return _Band(every, edges[0], edges[1], is_closed[0])


def _paired(inner: FloatArray, outer: FloatArray, is_closed: bool) -> _Band:
    """Point beside point; the way between is what a line midway has."""
    if len(inner) != len(outer):
        raise InvalidValue(
            f"pairing='points' needs edges with as many points each; inner has {len(inner)}, outer "
            f"{len(outer)}",
            name="pairing",
        )
    return _Band(_shares(_steps(inner) + _steps(outer)), inner, outer, is_closed)


def _shares(steps: FloatArray) -> FloatArray:
    """Shares (n + 1,) of the whole way after each of ``steps`` (n,), from 0 to 1."""
    way = np.concatenate([[0.0], np.cumsum(steps)])
    return np.asarray(way / way[-1])
