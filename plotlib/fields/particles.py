"""Particles with momentum: they take a while to follow the flow, and overshoot its bends."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays import ragged, reshape
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, IntArray, Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.fields.vector import VectorField, as_vector
from plotlib.pen import Pen

_MOST_STEPS = 100_000  # of one particle: about half a minute
_AT_ONCE = 200_000  # points asked for in one go, between which Ctrl-C is heard
_MOST_PLACES = 30_000_000  # of all particles: half a gigabyte


def particles(
    field: VectorField,
    region: RegionLike,
    *,
    count: int,
    duration: float,
    lag: float,
    step: float = 0.1,
    tolerance: float = 0.02,
    seed: Seed = 0,
    pen: Pen | None = None,
) -> Drawing:
    """Tracks of particles that a flow drags along: each starts at rest at a random point and its
    speed approaches the flow's.

    Parameters
    ----------
    field : VectorField
        The flow in mm/s: here the lengths of its vectors matter.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to stay in; a track ends at its edge.
    count : int
        How many particles, >= 1.
    duration : float
        For how many seconds they fly.
    lag : float
        Seconds in which a particle makes up 63 % of the difference to the flow; 0 for none of its
        own momentum.
    step : float, default 0.1
        Seconds of a step. The error falls with its square.
    tolerance : float, default 0.02
        Points may go as long as the track moves by no more than this, mm.
    seed : int or numpy Generator, default 0
        Where they start.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        A stroke for each particle, cut where it leaves the region.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the flow is not finite where a particle goes, the tracks
        would have more than 100,000 steps each or 30 million in all, or the region fills so
        little of its box that random points hardly ever hit it.

    Examples
    --------
    >>> from shapely import box
    >>> from plotlib.fields.flows import uniform
    >>> tracks = particles(uniform(speed=10), box(0, 0, 1000, 10), count=5, duration=20, lag=1)
    >>> len(tracks)
    5
    """
    field = as_vector("field", field)
    area = as_area(region)
    number = checks.whole("count", count, low=1, high=10_000_000)
    time = checks.positive("duration", duration, unit="s")
    late = checks.not_negative("lag", lag, unit="s")
    steps = _steps(time, checks.positive("step", step, unit="s"), number)
    fine = checks.not_negative("tolerance", tolerance, unit="mm")
    if area.is_empty:
        return Drawing(pen=pen)
    shapely.prepare(area)
    starts = within(area, number, checks.generator(seed))
    tracks, lasts = _flown(field, starts, area, steps, time / steps, late)
    points, offsets = ragged.without_repeats(_cut(tracks, lasts), ragged.offsets_of(lasts + 1))
    if fine:
        points, offsets = reshape.simplify(points, offsets, fine)
    return Drawing.from_arrays(points, offsets, pen=pen).clipped(area)


def _steps(time: float, step: float, number: int) -> int:
    """How many steps each particle flies, or InvalidValue where that would be without end."""
    most = min(_MOST_STEPS, max(1, _MOST_PLACES // number))
    remedy = (
        f"with count = {number:,} fly for {step * most:.2g} s at most, or take a step of "
        f"{checks.two_digits(time / most)} s or more"
    )
    checks.affordable("duration", time, time / step, most, f"steps of {step:g} s", remedy)
    return math.ceil(time / step)


def within(area: Polygon | MultiPolygon, count: int, random: np.random.Generator) -> FloatArray:
    """``count`` random points (n, 2) evenly inside a prepared area."""
    found = np.empty((0, 2))
    for _ in range(10_000):
        spots = random.uniform(area.bounds[:2], area.bounds[2:], (2 * count + 64, 2))
        inside = [
            shapely.contains_xy(area, *spots[start : start + _AT_ONCE].T)
            for start in range(0, len(spots), _AT_ONCE)
        ]
        found = np.concatenate([found, spots[np.concatenate(inside)]])
        if len(found) >= count:
            return found[:count]
    raise InvalidValue(
        f"the region fills too little of its box to find {count} points in it; split it into its "
        f"parts"
    )


def _flown(
    field: VectorField,
    starts: FloatArray,
    area: Polygon | MultiPolygon,
    steps: int,
    dt: float,
    lag: float,
) -> tuple[FloatArray, IntArray]:
    """All tracks (steps + 1, n, 2), and the last step (n,) of each: the first one outside, or the
    end.
    """
    keep = math.exp(-dt / lag) if lag else 0.0  # of the difference to the flow, after a step
    at = starts
    speed = np.zeros_like(starts)
    tracks = [starts]
    lasts = np.full(len(starts), steps, np.int64)
    flying = np.ones(len(starts), np.bool_)
    for k in range(steps):
        middle = at + 0.5 * dt * speed
        u, v = field(middle[:, 0], middle[:, 1])
        flow = np.stack([u, v], axis=1)
        if not np.isfinite(flow).all():
            bad = middle[int(np.argmin(np.isfinite(flow).all(axis=1)))]
            raise InvalidValue(f"the vector field is not finite at ({bad[0]:g}, {bad[1]:g})")
        slip = speed - flow
        at = at + np.where(flying[:, None], dt * flow + lag * (1.0 - keep) * slip, 0.0)
        speed = flow + keep * slip
        tracks.append(at)
        out = flying & ~shapely.contains_xy(area, at[:, 0], at[:, 1])
        lasts[out] = k + 1
        flying = flying & ~out
        if not flying.any():
            break
    return np.stack(tracks), np.minimum(lasts, len(tracks) - 1)


def _cut(tracks: FloatArray, lasts: IntArray) -> FloatArray:
    """The points of each track up to its last step, track after track."""
    flown = np.arange(len(tracks))[None, :] <= lasts[:, None]
    return np.swapaxes(tracks, 0, 1)[flown]
