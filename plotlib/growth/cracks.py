"""Cracks: straight lines that grow from random points and stop where they meet another."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import BoolArray, FloatArray, IntArray, Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.fields.particles import within
from plotlib.growth.afford import Limit, affordable, squares
from plotlib.pen import Pen
from plotlib.progress import Progress, Stage, asked

_MOST = 200_000  # cracks
_FIRST = (
    2.0  # spacings that tips grow before crossings are looked for; then twice as far, and so on
)
_AT_ONCE = 10_000  # tips looked at between which Ctrl-C is heard
_ROUNDS = 64  # at most, while cracks begin
_BACK = 1e-7  # mm by which a tip ends before the edge, so that rounding cannot put it over
_LEAST = 1e-6  # mm, of a crack: shorter ones are no strokes


class _Tips(NamedTuple):
    """Two tips of each crack, one after the other."""

    start: FloatArray  # (2n, 2) mm
    way: FloatArray  # (2n, 2) unit vectors
    born: FloatArray  # (2n,) when it begins; tips grow by 1 mm in the unit of time


def cracks(
    region: RegionLike,
    *,
    spacing: float = 5.0,
    angles: ArrayLike | None = None,
    lead: float = 0.0,
    seed: Seed = 0,
    pen: Pen | None = None,
    progress: Progress = None,
) -> Drawing:
    """Cracks that grow both ways from random points, straight and all equally fast, and stop where
    they meet another: the Gilbert tessellation.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; cracks that reach its edge stop there.
    spacing : float, default 5.0
        The side in mm, > 0, of a square as large as a cell between cracks is on average: a crack
        for each such square.
    angles : array-like (n,), optional
        Directions in degrees that cracks may have, each as often; without it any direction.
    lead : float, default 0.0
        How far in mm the first crack has grown when the last one begins, >= 0: 0 lets all begin at
        once, much more gives long old cracks and short young ones between them.
    seed : int or numpy Generator, default 0
        Where cracks begin, and in which directions.
    pen : Pen, optional
        The pen; without it the default one.
    progress : bool or function, optional
        True for a bar, or a function that is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    Drawing
        A straight stroke for each crack, which touches others and crosses none.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or there would be more than 200,000 cracks.

    References
    ----------
    E. N. Gilbert, *Random Plane Networks and Needle-Shaped Crystals*, 1967; M. S. Mackisack,
    R. E. Miles, *Homogeneous Rectangular Tessellations*, Advances in Applied Probability 28, 1996
    (for ``angles=[0, 90]``).

    Examples
    --------
    >>> from shapely import box
    >>> len(cracks(box(0, 0, 40, 30), spacing=5))
    48
    """
    area = as_area(region)
    apart = checks.positive("spacing", spacing, unit="mm")
    chosen = None if angles is None else checks.numbers("angles", angles, ndim=1)
    if chosen is not None and not len(chosen):
        raise InvalidValue("angles is empty; give at least one direction", name="angles")
    spread = checks.not_negative("lead", lead, unit="mm")
    random = checks.generator(seed)
    affordable("spacing", apart, Limit(squares(area.area), _MOST, "cracks"))
    number = float(area.area) / apart**2
    count = math.ceil(number - 1e-9)
    if not count:
        return Drawing(pen=pen)
    tips = _tips(area, count, chosen, spread, random)
    with asked("growing cracks", progress) as work:
        stops = np.full(2 * count, np.inf)
        time = _FIRST * apart
        growing = np.ones(2 * count, np.bool_)
        while growing.any():
            stops = _grown(tips, area, stops, growing, time, work)
            growing = np.isinf(stops)
            work.done(max(1.0 - float(growing.mean()), work.share or 0.0))
            time = _next(time, apart, spread)
    ends = (tips.start + tips.way * stops[:, None]).reshape(-1, 2, 2)
    ends = ends[stops.reshape(-1, 2).sum(axis=1) > _LEAST]
    return Drawing.from_arrays(ends.reshape(-1, 2), 2 * np.arange(len(ends) + 1), pen=pen)


def _tips(
    area: Polygon | MultiPolygon,
    count: int,
    angles: FloatArray | None,
    lead: float,
    random: np.random.Generator,
) -> _Tips:
    """Cracks at random points, with random directions and beginnings."""
    shapely.prepare(area)
    start = within(area, count, random)
    turn = random.uniform(0.0, math.pi, count)
    if angles is not None:
        turn = np.radians(angles)[random.integers(0, len(angles), count)]
    born = lead * np.arange(count) / max(count - 1, 1)
    way = np.column_stack([np.cos(turn), np.sin(turn)])
    both = np.stack([way, -way], axis=1).reshape(-1, 2)
    return _Tips(np.repeat(start, 2, axis=0), both, np.repeat(born, 2))


def _next(time: float, apart: float, lead: float) -> float:
    """The time after which crossings are looked for again. While cracks begin, so often that those
    that began last are still short: long ones have many crossings beyond the first.
    """
    if time < lead:
        return min(2 * time, time + max(_FIRST * apart, lead / _ROUNDS))
    return 2 * time


def _grown(
    tips: _Tips,
    area: Polygon | MultiPolygon,
    stops: FloatArray,
    growing: BoolArray,
    time: float,
    work: Stage,
) -> FloatArray:
    """How far each tip has got at a time: inf for those that still grow. All that grew before are
    grown anew, with the crossings of the longer way.
    """
    from plotlib.growth.cracks_kernel import stop_tips

    reached = np.minimum(stops, np.maximum(time - tips.born, 0.0))
    ends = tips.start + tips.way * reached[:, None]
    lines = np.asarray(shapely.linestrings(np.stack([tips.start, ends], axis=1)))
    limits = stops.copy()
    begun = growing & (tips.born < time)
    limits[begun] = _to_edge(tips, lines, area, begun)
    new = np.nonzero(begun)[0]
    near = _near(lines, new, work)
    late, early, way, needed = _crossings(tips, near, np.minimum(limits, reached))
    stop_tips(late, early, way, needed, limits)
    limits[growing & (limits > reached)] = np.inf
    return limits


def _to_edge(
    tips: _Tips, lines: np.ndarray, area: Polygon | MultiPolygon, growing: BoolArray
) -> FloatArray:
    """How far it is to the edge, inf where the line does not meet it."""
    edge = area.boundary
    shapely.prepare(edge)
    some = lines[growing]
    meets = np.asarray(shapely.intersects(edge, some), np.bool_)
    far = np.full(len(some), np.inf)
    origins = shapely.points(tips.start[growing][meets])
    far[meets] = shapely.distance(origins, shapely.intersection(some[meets], edge)) - _BACK
    return np.asarray(np.maximum(far, 0.0))


def _near(lines: np.ndarray, new: IntArray, work: Stage) -> tuple[IntArray, IntArray]:
    """Pairs of lines that meet, the first of each a new one. About half of what was still to do is
    done with them.
    """
    tree = shapely.STRtree(lines)
    pairs = [np.empty((2, 0), np.int64)]
    before = work.share or 0.0
    for begin in range(0, len(new), _AT_ONCE):
        work.done(before + 0.5 * (1.0 - before) * begin / len(new))
        some = new[begin : begin + _AT_ONCE]
        one, other = tree.query(lines[some], predicate="intersects")
        pairs.append(np.stack([some[one], other]))
    first, second = np.concatenate(pairs, axis=1)
    return first, second


def _crossings(
    tips: _Tips, near: tuple[IntArray, IntArray], reached: FloatArray
) -> tuple[IntArray, IntArray, FloatArray, FloatArray]:
    """Crossings of tips that grow with what is near, in the order in which the later one arrives:
    the later and the earlier tip, and how far each has come there.
    """
    one, other = near
    is_other = one // 2 != other // 2
    one = one[is_other]
    other = other[is_other]
    gap = tips.start[other] - tips.start[one]
    u = tips.way[one]
    v = tips.way[other]
    area = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        along = (gap[:, 0] * v[:, 1] - gap[:, 1] * v[:, 0]) / area
        across = (gap[:, 0] * u[:, 1] - gap[:, 1] * u[:, 0]) / area
    arrives = tips.born[one] + along
    meets = (along >= 0) & (across >= 0) & (along <= reached[one]) & (across <= reached[other])
    # each pair of tips that both grow comes twice: once with each as the later one
    meets &= (arrives > tips.born[other] + across) | (
        (arrives == tips.born[other] + across) & (one > other)
    )
    found = np.nonzero(meets)[0]
    found = found[np.lexsort((other[found], one[found], arrives[found]))]
    return one[found], other[found], along[found], across[found]
