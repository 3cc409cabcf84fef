"""Fills of dots: in squares, in hexagons, or at random but never too close."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays.flatten import TOLERANCE, circle_chords, unit_circle
from plotlib.checks import (
    FloatArray,
    Seed,
    finite,
    generator,
    not_negative,
    one_of,
    point,
    positive,
)
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.laying import affordable, box_in
from plotlib.fills.room import room
from plotlib.fills.scanlines import Frame
from plotlib.pen import Pen
from plotlib.progress import stage
from plotlib.regions import inset as inset_of

_LAYOUTS = ("square", "hexagonal", "random")
_DARTS = 24  # thrown for each dot that there is room for
_AT_ONCE = 500_000  # darts


def dots(
    region: RegionLike,
    *,
    spacing: float,
    layout: str = "hexagonal",
    radius: float = 0.0,
    angle: float = 0.0,
    origin: tuple[float, float] = (0.0, 0.0),
    seed: Seed = 0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with dots or small circles.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    spacing : float
        Distance of neighbouring dots in mm, > 0; for random ones the least distance.
    layout : {"square", "hexagonal", "random"}
        In squares, in hexagons (each dot has six neighbours), or at random with the least distance
        kept (Poisson-disk sampling; R. L. Cook, 1986).
    radius : float, default 0
        Of the circles in mm; 0 for dots, strokes of one point.
    angle, origin, inset, pen
        As for `hatch`. Circles lie inside as a whole.
    seed : int or numpy Generator, default 0
        Decides where random dots lie.

    Returns
    -------
    Drawing
        Dots row by row, every second row backwards; random ones from the bottom up.

    Raises
    ------
    InvalidValue
        If ``spacing`` is not positive, ``radius`` is negative, another argument is invalid, or the
        dots would be millions.
    UnknownName
        If ``layout`` is another word.

    References
    ----------
    R. L. Cook, *Stochastic Sampling in Computer Graphics*, ACM Transactions on Graphics 5, 1986
    (dots at random; from memory).

    Examples
    --------
    >>> from shapely import box
    >>> area = box(0, 0, 10, 10)
    >>> len(dots(area, spacing=2, layout="square"))
    25
    >>> len(dots(area, spacing=2, layout="square", radius=1.5))
    9
    """
    frame = Frame(
        positive("spacing", spacing, unit="mm"), finite("angle", angle), point("origin", origin)
    )
    kind = one_of("layout", layout, _LAYOUTS)
    size = not_negative("radius", radius, unit="mm")
    random = generator(seed)
    area = inset_of(room(region, pen, inset), size)
    if area.is_empty:
        return Drawing.from_arrays(np.empty((0, 2)), np.zeros(1, np.int64), pen=pen)
    places = (
        _random(area, frame, random)
        if kind == "random"
        else _lattice(area, frame, hexagonal=kind == "hexagonal")
    )
    if not size:
        return Drawing.from_arrays(places, np.arange(len(places) + 1), pen=pen)
    ring = size * unit_circle(int(circle_chords(size, TOLERANCE)))
    affordable(float(len(places)) * len(ring), "the circles")
    return Drawing.from_arrays(
        (places[:, None] + ring).reshape(-1, 2), np.arange(len(places) + 1) * len(ring), pen=pen
    )


def _lattice(area: Polygon | MultiPolygon, frame: Frame, *, hexagonal: bool) -> FloatArray:
    """Points of a lattice that lie in an area, row by row, to and fro."""
    u0, v0, u1, v1 = box_in(area, frame)
    rise = frame.spacing * (math.sqrt(0.75) if hexagonal else 1.0)
    first = np.floor([u0 / frame.spacing - 1, v0 / rise - 0.5])
    last = np.ceil([u1 / frame.spacing, v1 / rise - 0.5])
    affordable(float(np.prod(last - first + 1)), "the dots of this area")
    rows = np.arange(first[1], last[1] + 1)
    columns = np.arange(first[0], last[0] + 1)
    grid = np.empty((len(rows), len(columns), 2))
    grid[:, :, 0] = (columns + 0.5) * frame.spacing
    grid[:, :, 1] = ((rows + 0.5) * rise)[:, None]
    odd = rows % 2 == 1
    if hexagonal:
        grid[odd, :, 0] += frame.spacing / 2
    grid[odd] = grid[odd, ::-1]
    return _inside(area, frame.back(grid.reshape(-1, 2)))


def _random(area: Polygon | MultiPolygon, frame: Frame, random: np.random.Generator) -> FloatArray:
    """Darts thrown over the box; those in the area that keep their distance, from the bottom up."""
    from plotlib.fills.sparse_kernel import board, spread

    left, bottom, right, top = area.bounds
    room_for = (right - left + frame.spacing) * (top - bottom + frame.spacing) / frame.spacing**2
    affordable(room_for, "the dots of this area")
    hit = board((left, bottom, right, top), frame.spacing)
    count = math.ceil(_DARTS * room_for)
    with stage("throwing darts") as work:
        for first in range(0, count, _AT_ONCE):
            work.done(first / count)
            size = (min(_AT_ONCE, count - first), 2)
            darts = random.uniform((left, bottom), (right, top), size)
            if first:
                # Most darts are too near to a dot: only the others are worth a look at the area.
                darts = darts[spread(hit, darts, False)]
            spread(hit, _inside(area, darts), True)
    kept = hit.found[: hit.number[0]]
    return np.asarray(kept[np.lexsort((kept[:, 0], kept[:, 1]))])


def _inside(area: Polygon | MultiPolygon, points: FloatArray) -> FloatArray:
    shapely.prepare(area)
    return np.asarray(points[shapely.intersects_xy(area, points[:, 0], points[:, 1])])
