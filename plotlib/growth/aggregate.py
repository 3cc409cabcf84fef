"""Diffusion-limited aggregation: branches of particles that stick where they touch."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays import ragged, reshape
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, Seed
from plotlib.drawing import Drawing, RegionLike, as_drawing
from plotlib.errors import InvalidValue
from plotlib.growth.room import Room, room
from plotlib.growth.trees import drawn_paths, fewest_paths
from plotlib.pen import Pen, as_pen
from plotlib.progress import Progress, Stage, asked

if TYPE_CHECKING:
    from plotlib.growth.walkers_kernel import Cluster, Ground

_MOST = 2_000_000  # particles
_AT_ONCE = 1_000_000  # jumps between two looks at the clock
_PATIENCE = 20  # walkers without room, and a tenth of all: then the area is full
_RIM = 8  # cells round the area


def aggregate(
    region: RegionLike,
    *,
    spacing: float,
    count: int = 10_000,
    first: Drawing | None = None,
    seed: Seed = 0,
    pen: Pen | None = None,
    progress: Progress = None,
) -> Drawing:
    """Branches that grow as frost, soot and some minerals do: particles wander in from far away,
    each sticks where it touches another, and a stroke leads from one to the next.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; what would stick outside is lost, and growth ends when a tenth is.
    spacing : float
        The diameter of a particle in mm, > 0: how far it is from one to the next.
    count : int, default 10_000
        How many particles, 1 … 2 million; fewer where the area is full.
    first : Drawing, optional
        What the first particles stick to: points at the spacing on its strokes, in the area.
        Without it one point, in the widest place of the area.
    seed : int or numpy Generator, default 0
        How the particles wander.
    pen : Pen, optional
        The pen; without it the default one.
    progress : bool or function, optional
        True for a bar, or a function that is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    Drawing
        The branches by as few strokes as there can be; ``first`` is not drawn. Two particles touch
        to 1 % of the diameter. Iterative: on other processors it may come out differently.

    Raises
    ------
    InvalidValue
        If an argument is invalid, nothing of ``first`` is in the area, or the area has more than 30
        million squares of the spacing.

    References
    ----------
    T. A. Witten, L. M. Sander, *Diffusion-Limited Aggregation, a Kinetic Critical Phenomenon*,
    Physical Review Letters 47, 1981.

    Examples
    --------
    >>> from shapely import Point
    >>> frost = aggregate(Point(0, 0).buffer(30), spacing=1, count=200)
    >>> round(frost.length)
    200
    """
    area = as_area(region)
    apart = checks.positive("spacing", spacing, unit="mm")
    wanted = checks.whole("count", count, low=1, high=_MOST)
    given = None if first is None else as_drawing("first", first)
    random = checks.generator(seed)
    pen = as_pen(pen)
    place = room(area, apart, "spacing", apart, cells=1.0)
    start = _middle(area) if given is None else _start(given, apart)
    begin = start[place.holds(start)]
    if not len(begin):
        if given is not None and len(given) and place.is_in.any():
            raise InvalidValue(
                "nothing of first is in the area, or it is too near its edge; move it inside by "
                f"{2 * apart:.3g} mm, or take a larger region",
                name="first",
            )
        return Drawing(pen=pen)
    cluster, ground, middle = _set_up(begin, place, apart, wanted, random)
    with asked("growing an aggregate", progress) as work:
        _walk(cluster, ground, len(begin) + wanted, work)
    total = int(cluster.counts[0])
    parent = cluster.parent[:total]
    paths = fewest_paths(parent, _sizes(parent))
    points, offsets = drawn_paths(middle + apart * cluster.at[:total], paths)
    return Drawing.from_arrays(points, offsets, pen=pen)


def _middle(area: Polygon | MultiPolygon) -> FloatArray:
    """The middle of the widest place."""
    if area.is_empty:
        return np.empty((0, 2))
    return shapely.get_coordinates(shapely.maximum_inscribed_circle(area))[:1]


def _start(given: Drawing, apart: float) -> FloatArray:
    """Points on the strokes that are about a diameter apart, each once."""
    checks.affordable(
        "spacing", apart, float(given.length) / apart, _MOST, "particles to begin with", "take less"
    )
    points, _ = reshape.resample(given.points, given.offsets, apart)
    return np.unique(points, axis=0)


def _set_up(
    begin: FloatArray, place: Room, apart: float, wanted: int, random: np.random.Generator
) -> tuple[Cluster, Ground, FloatArray]:
    """The cluster in diameters round its middle, which is given too, in mm."""
    from plotlib.growth.random_kernel import state_of
    from plotlib.growth.walkers_kernel import Cluster, Ground, add

    middle = (begin.min(axis=0) + begin.max(axis=0)) / 2
    rows, columns = (number + 2 * _RIM for number in place.is_in.shape)
    corner = (place.origin[:2] - middle) / apart - _RIM
    sizes: list[tuple[int, int]] = []
    side = 2
    while side < max(rows, columns) or not sizes:
        sizes.append((math.ceil(rows / side) + 1, math.ceil(columns / side) + 1))
        side *= 2
    starts = ragged.offsets_of(np.array([high * wide for high, wide in sizes]))
    capacity = len(begin) + wanted
    cluster = Cluster(
        np.zeros((capacity, 2)),
        np.full(capacity, -1),
        np.full(capacity, -1),
        np.full((rows, columns), -1),
        np.zeros(starts[-1], np.uint8),
        starts,
        np.array(sizes),
        corner,
        np.zeros(1),
        np.zeros(2, np.int64),
        state_of(random),
    )
    for x, y in (begin - middle) / apart:
        add(cluster, x, y, -1)
    origin = np.array([*(place.origin[:2] - middle) / apart, *place.origin[2:] / apart])
    return cluster, Ground(place.is_in, origin), middle


def _walk(cluster: Cluster, ground: Ground, most: int, work: Stage) -> None:
    from plotlib.growth.walkers_kernel import is_full, walk

    while cluster.counts[0] < most and not is_full(cluster, _PATIENCE):
        walk(cluster, ground, most, _AT_ONCE, _PATIENCE)
        work.done(int(cluster.counts[0]) / most)


def _sizes(parent: FloatArray) -> FloatArray:
    """How many particles hang on each one, itself included."""
    sizes = np.ones(len(parent))
    for k in range(len(parent) - 1, -1, -1):
        if parent[k] >= 0:
            sizes[parent[k]] += sizes[k]
    return sizes
