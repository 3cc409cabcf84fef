"""Truchet's tiles of several sizes that fit each other: winged tiles, dark on light in turn."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays import flatten
from plotlib.arrays.areas import as_area
from plotlib.checks import BoolArray, FloatArray, IntArray, Seed
from plotlib.drawing import RegionLike
from plotlib.progress import stage
from plotlib.tilings.tiling import LEAST_SIDE, MOST_SIDE

_MOST = 20_000  # tiles as they are likely to come; about a millisecond each
_MOST_POINTS = 5_000_000
_MOST_LEVELS = 8
_GRID = 1e-7  # of a side: to which unions are rounded
_CORNERS = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])
_EDGES = np.array([(1, 0), (0, 1), (-1, 0), (0, -1)])
_ARCS = 2  # motifs 0 and 1, round the corners of one diagonal or of the other
_THROUGH = (0, 1, 4)  # motifs whose bands reach all four edges
_MOTIFS = 6  # and two straight bands, a cross, four ends


def multiscale_truchet(
    region: RegionLike,
    *,
    side: float,
    levels: int = 3,
    share: float = 0.5,
    variety: float = 0.3,
    seed: Seed = 0,
    tolerance: float = flatten.TOLERANCE,
) -> Polygon | MultiPolygon:
    """Truchet's tiles of several sizes, each half as large as the one before, as one dark area.

    Every tile carries bands a third of its side wide that leave through the middles of its edges;
    a smaller one carries light bands on dark, a still smaller one dark bands again, and wings over
    its edges let them run into each other without a corner.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; what is dark is cut at its edge.
    side : float
        The side of the largest tiles, mm, 0.001 or more.
    levels : int, default 3
        Sizes of tiles, 1 … 8.
    share : float, default 0.5
        How many of the tiles are divided into four smaller ones, 0 … 1.
    variety : float, default 0.3
        How many of the tiles carry a straight band, a cross or four ends instead of two arcs,
        0 … 1.
    seed : int or numpy Generator, default 0
        Which tiles are divided, and what they carry.
    tolerance : float, default 0.02
        Greatest distance in mm between a curve and its chords.

    Returns
    -------
    Polygon or MultiPolygon
        What is dark: to be filled, or drawn by its outline.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or more than 20,000 tiles or five million points
        are likely.

    References
    ----------
    C. Carlson, *Multi-Scale Truchet Patterns*, Bridges 2018 (from memory).

    Examples
    --------
    >>> from shapely import box
    >>> dark = multiscale_truchet(box(0, 0, 40, 20), side=10, levels=1, variety=0, tolerance=0.001)
    >>> round(dark.area / (8 * 10**2 * math.pi / 6), 3)
    1.0
    """
    area = as_area(region)
    length = checks.between("side", side, LEAST_SIDE, MOST_SIDE, unit="mm")
    sizes = checks.whole("levels", levels, low=1, high=_MOST_LEVELS)
    divided = checks.between("share", share, 0, 1)
    other = checks.between("variety", variety, 0, 1)
    random = checks.generator(seed)
    limit = checks.positive("tolerance", tolerance, unit="mm")
    if area.is_empty:
        return Polygon()
    left, bottom, right, top = area.bounds
    columns = max(1, math.ceil((right - left) / length - 1e-9))
    rows = max(1, math.ceil((top - bottom) / length - 1e-9))
    smallest = columns * rows * max(1.0, 4 * divided) ** (sizes - 1)
    checks.affordable(
        "side", length, smallest, _MOST, "tiles", "take a longer side or fewer levels"
    )
    chords = math.pi / math.sqrt(min(1.0, 2 * limit / length))  # of a disc, about
    points = 4 * smallest * chords
    checks.affordable("tolerance", limit, points, _MOST_POINTS, "points", "take a larger one")
    j, i = np.divmod(np.arange(columns * rows), columns)
    corners = np.column_stack([left + length * i, bottom + length * j])
    with stage("laying the tiles"):
        dark: Any = Polygon()
        for level in range(sizes):
            splits = random.random(len(corners)) < divided
            splits &= level < sizes - 1
            motifs = _chosen(random, len(corners), other)
            dark = _laid_on(dark, corners[~splits], motifs[~splits], length, level, limit)
            length *= 0.5
            steps = length * np.array([(0, 0), (1, 0), (0, 1), (1, 1)])
            corners = (corners[splits][:, None] + steps).reshape(-1, 2)
        return _only_areas(shapely.intersection(dark, area))


def _chosen(random: np.random.Generator, count: int, other: float) -> IntArray:
    """What each tile carries."""
    is_other = random.random(count) < other
    arcs = random.integers(0, _ARCS, count)
    return np.where(is_other, random.integers(_ARCS, _MOTIFS, count), arcs)


def _laid_on(
    dark: Any, corners: FloatArray, motifs: IntArray, side: float, level: int, tolerance: float
) -> Any:
    """What is dark once the tiles of a level lie on the larger ones: on every second level the
    bands are dark, on the others the ground.
    """
    if not len(corners):
        return dark
    grid = _GRID * side
    third = _disc(side / 3, tolerance)
    sixth = _disc(side / 6, tolerance)
    middles = corners + 0.5 * side
    squares = shapely.box(*corners.T, *(corners + side).T)
    is_through = np.isin(motifs, _THROUGH)
    wings = _round(third, middles, 0.5 * side * _CORNERS, np.ones(len(corners), np.bool_))
    ends = _round(sixth, middles, 0.5 * side * _EDGES, is_through)
    bands = _bands(corners, motifs, side, tolerance)
    ground = shapely.union_all(np.concatenate([squares, wings]), grid_size=grid)
    drawn = shapely.union_all(np.concatenate([bands, ends]), grid_size=grid)
    if level % 2:
        dark = shapely.union(dark, ground, grid_size=grid)
        return shapely.difference(dark, drawn, grid_size=grid)
    dark = shapely.difference(dark, ground, grid_size=grid)
    return shapely.union(dark, drawn, grid_size=grid)


def _disc(radius: float, tolerance: float) -> FloatArray:
    return radius * flatten.unit_circle(int(flatten.circle_chords(radius, tolerance)))


def _round(disc: FloatArray, places: FloatArray, steps: FloatArray, hides: BoolArray) -> Any:
    """Discs at four steps from the middle of each tile, without those that are hidden by all tiles
    that they touch: four at a corner, two at an edge.
    """
    spots = (places[:, None] + steps).reshape(-1, 2)
    near, first, which = np.unique(
        np.round(spots, 9), axis=0, return_index=True, return_inverse=True
    )
    touched = 4 if np.abs(steps).min() > 0 else 2
    hidden = np.bincount(which.ravel(), weights=np.repeat(hides, 4), minlength=len(near))
    return shapely.polygons(spots[first[hidden < touched]][:, None] + disc)


def _bands(corners: FloatArray, motifs: IntArray, side: float, tolerance: float) -> Any:
    """The bands of each tile, without their ends."""
    unit = shapely.box(0, 0, side, side)
    inner = _disc(side / 3, tolerance)
    outer = _disc(2 * side / 3, tolerance)
    flat = shapely.box(0, side / 3, side, 2 * side / 3)
    steep = shapely.box(side / 3, 0, 2 * side / 3, side)
    shapes = [
        shapely.union_all([_arc(unit, inner, outer, (x, side * up)) for x, up in pair])
        for pair in (((0, 0), (side, 1)), ((side, 0), (0, 1)))
    ]
    shapes += [flat, steep, flat.union(steep)]
    found = []
    for number, shape in enumerate(shapes):
        mine = corners[motifs == number]
        for part in shapely.get_parts(shape):
            outline = shapely.get_coordinates(part)
            found.append(np.asarray(shapely.polygons(mine[:, None] + outline)))
    return np.concatenate(found)


def _arc(unit: Polygon, inner: FloatArray, outer: FloatArray, corner: tuple[float, float]) -> Any:
    """The quarter ring in a tile round one of its corners."""
    return Polygon(outer + corner, [inner + corner]).intersection(unit)


def _only_areas(thing: Any) -> Polygon | MultiPolygon:
    parts = shapely.get_parts(thing)
    areas: BoolArray = shapely.get_dimensions(parts) == 2
    kept = parts[areas]
    if len(kept) == 1:
        return Polygon(kept[0])
    return MultiPolygon(list(kept))
