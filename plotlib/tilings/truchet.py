"""Truchet's tiles: squares with two quarter arcs, laid at random."""

from __future__ import annotations

import math

import numpy as np

from plotlib import checks
from plotlib.arrays import flatten, ragged
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.pen import Pen, as_pen
from plotlib.tilings.tiling import LEAST_SIDE, MOST_SIDE, affordable

_MOST = 1_000_000  # tiles


def truchet(
    region: RegionLike,
    *,
    side: float,
    share: float = 0.5,
    arcs: int = 1,
    seed: Seed = 0,
    tolerance: float = flatten.TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """Square tiles with quarter arcs round two opposite corners, each turned by chance.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; arcs are cut at its edge.
    side : float
        The side of a tile, mm, 0.001 or more.
    share : float, default 0.5
        How many of the tiles lie one way, 0 … 1.
    arcs : int, default 1
        Arcs side by side round each corner, 1 … 50: they meet those of the next tile, and pass
        over those of the other corner.
    seed : int or numpy Generator, default 0
        Which tiles lie which way.
    tolerance : float, default 0.02
        Greatest distance in mm between an arc and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        Strokes that end on the sides of tiles; ``plan`` joins them into long ones.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or more than a million tiles would be made.

    References
    ----------
    S. Truchet, 1704; C. S. Smith, P. Boucher, *The Tiling Patterns of Sebastien Truchet and the
    Topology of Structural Hierarchy*, Leonardo 20, 1987 (both from memory).

    Examples
    --------
    >>> from shapely import box
    >>> len(truchet(box(0, 0, 40, 20), side=10))
    16
    """
    area = as_area(region)
    length = checks.between("side", side, LEAST_SIDE, MOST_SIDE, unit="mm")
    one_way = checks.between("share", share, 0, 1)
    lines = checks.whole("arcs", arcs, low=1, high=50)
    random = checks.generator(seed)
    limit = checks.positive("tolerance", tolerance, unit="mm")
    held = as_pen(pen)
    if area.is_empty:
        return Drawing(pen=held)
    affordable(length, lambda side: math.prod(squares(area.bounds, side)), _MOST)
    columns, rows = squares(area.bounds, length)
    straight = random.random(columns * rows) < one_way
    j, i = np.divmod(np.arange(columns * rows), columns)
    corner = np.array(area.bounds[:2]) + length * np.column_stack([i, j])
    across = np.array([length, 0.0])
    up = np.array([0.0, length])
    # the two corners that carry arcs, and the direction in which the first arc begins
    first = np.where(straight[:, None], corner, corner + across)
    second = np.where(straight[:, None], corner + across + up, corner + up)
    begin = np.where(straight, 0.0, 0.5 * math.pi)
    parts = []
    for k in range(lines):
        radius = length * (k + 0.5) / lines
        parts.append(first[:, None] + _arc(begin, (0.0, 0.5 * math.pi), radius, limit))
        for sweep in _seen(radius, length * (lines - 0.5) / lines, length):
            parts.append(second[:, None] - _arc(begin, sweep, radius, limit))
    points = np.concatenate([part.reshape(-1, 2) for part in parts])
    counts = np.concatenate([np.full(len(part), part.shape[1]) for part in parts])
    drawn = Drawing.from_arrays(points, ragged.offsets_of(counts), pen=held)
    return drawn.clipped(area)


def squares(bounds: tuple[float, float, float, float], side: float) -> tuple[int, int]:
    """How many columns and rows of squares cover a box."""
    left, bottom, right, top = bounds
    columns = math.ceil((right - left) / side - 1e-9)
    rows = math.ceil((top - bottom) / side - 1e-9)
    return max(1, columns), max(1, rows)


def _arc(
    begin: FloatArray, sweep: tuple[float, float], radius: float, tolerance: float
) -> FloatArray:
    """Part of a quarter arc (tiles, n, 2) round the origin, for each direction it begins in."""
    low, high = sweep
    steps = int(flatten.chords(radius, high - low, tolerance))
    angles = begin[:, None] + low + (high - low) * np.arange(steps + 1) / steps
    return radius * np.stack([np.cos(angles), np.sin(angles)], axis=-1)


def _seen(radius: float, largest: float, side: float) -> list[tuple[float, float]]:
    """What is seen of an arc round the second corner beside the arcs round the first, as parts of a
    quarter turn: circles of two radii at the distance of a diagonal, by the law of cosines.
    """
    apart = math.sqrt(2) * side
    if radius + largest <= apart:
        return [(0.0, 0.5 * math.pi)]
    hidden = math.acos((apart**2 + radius**2 - largest**2) / (2 * apart * radius))
    return [(0.0, 0.25 * math.pi - hidden), (0.25 * math.pi + hidden, 0.5 * math.pi)]
