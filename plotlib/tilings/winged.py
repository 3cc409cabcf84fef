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
from plotlib.checks import BoolArray, IntArray, Seed
from plotlib.drawing import RegionLike
from plotlib.progress import stage
from plotlib.tilings.tiling import LEAST_SIDE, MOST_SIDE, affordable
from plotlib.tilings.truchet import squares
from plotlib.tilings.winged_outline import (
    ARCS,
    MOTIFS,
    Leaves,
    dark_rings,
    leaves_of,
    polygons_of,
)

_MOST = 200_000  # tiles as they are likely to come
_MOST_POINTS = 5_000_000
_MOST_LEVELS = 8
_ARCS_OF_A_TILE = 6.0  # quarter circles, about


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
        If an argument is invalid, or more than 200,000 tiles or five million points
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
    bounds = area.bounds

    def likely(side: float) -> float:
        return math.prod(squares(bounds, side)) * max(1.0, 4 * divided) ** (sizes - 1)

    affordable(length, likely, _MOST, remedy="take a longer side, {} mm or more, or fewer levels")
    affordable(
        limit,
        lambda tolerance: _ARCS_OF_A_TILE * likely(length) * _chords(length, tolerance),
        _MOST_POINTS,
        name="tolerance",
        what="points",
        remedy="take a larger one, {} mm or more",
    )
    with stage("laying the tiles"):
        leaves = _laid(squares(bounds, length), sizes, divided, other, random)
        unit = length / leaves.side(0)
        rings, offsets = dark_rings(leaves, unit, limit)
        dark = polygons_of(unit * rings + np.array(bounds[:2]), offsets)
        return _cut(dark, area)


def _chords(side: float, tolerance: float) -> float:
    """Of a quarter circle in tiles of a side, about, and two at least."""
    return max(2.0, 0.25 * math.pi / math.sqrt(2 * min(1.0, 3 * tolerance / side)))


def _laid(
    shape: tuple[int, int],
    sizes: int,
    divided: float,
    other: float,
    random: np.random.Generator,
) -> Leaves:
    """The tiles, divided by chance, and what each of them carries."""
    columns, rows = shape
    j, i = np.divmod(np.arange(columns * rows), columns)
    places = np.column_stack([i, j])
    found = []
    for level in range(sizes):
        splits = random.random(len(places)) < divided
        splits &= level < sizes - 1
        motifs = _chosen(random, len(places), other)
        kept = places[~splits]
        found.append((np.full(len(kept), level), kept, motifs[~splits]))
        steps = np.array([(0, 0), (1, 0), (0, 1), (1, 1)])
        places = (2 * places[splits][:, None] + steps).reshape(-1, 2)
    level_of, place, motif = (np.concatenate(part) for part in zip(*found, strict=True))
    return leaves_of(level_of, place, motif, sizes, shape)


def _chosen(random: np.random.Generator, count: int, other: float) -> IntArray:
    """What each tile carries."""
    is_other = random.random(count) < other
    arcs = random.integers(0, ARCS, count)
    return np.where(is_other, random.integers(ARCS, MOTIFS, count), arcs)


def _cut(dark: Any, area: Polygon | MultiPolygon) -> Polygon | MultiPolygon:
    """What lies in the area of some polygons that do not overlap."""
    shapely.prepare(area)
    inside = shapely.contains_properly(area, dark)
    parts = shapely.get_parts(shapely.intersection(dark[~inside], area))
    areas: BoolArray = shapely.get_dimensions(parts) == 2
    kept = np.concatenate([dark[inside], parts[areas]])
    if len(kept) == 1:
        return Polygon(kept[0])
    return MultiPolygon(list(kept))
