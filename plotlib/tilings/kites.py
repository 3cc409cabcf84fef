"""Penrose's kites and darts, by deflation: each half tile is cut into smaller ones."""

from __future__ import annotations

import math

import numpy as np
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import RegionLike
from plotlib.progress import stage
from plotlib.tilings.tiling import (
    LEAST_SIDE,
    MOST_SIDE,
    Tiling,
    affordable,
    near_pairs,
    no_tiles,
    within,
)

_GOLDEN = (1 + math.sqrt(5)) / 2
_MOST = 1_000_000  # tiles
_LEAST = 0.36  # the area of a dart of side 1
KITE = 0
DART = 1


def kites_and_darts(
    region: RegionLike,
    *,
    side: float,
    centre: tuple[float, float] = (0.0, 0.0),
    angle: float = 90.0,
) -> Tiling:
    """Penrose's kites and darts, in the five-fold arrangement that is called the sun.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to cover; tiles that meet it are whole.
    side : float
        The long edge of the tiles, mm, 0.001 or more; the short one is 1.618 times shorter.
    centre : (float, float), default (0, 0)
        The centre of its symmetry, mm.
    angle : float, default 90
        The direction of the axis of a kite at the centre, degrees.

    Returns
    -------
    Tiling
        Kites are of kind 0, darts of kind 1.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or more than a million tiles would be made.

    References
    ----------
    R. Penrose, 1974; M. Gardner, *Scientific American* 236, January 1977; the cutting of half tiles
    is R. M. Robinson's (all from memory).

    Examples
    --------
    >>> from shapely import Point
    >>> sun = kites_and_darts(Point(0, 0).buffer(40), side=8)
    >>> bool((sun.kinds == 0).sum() > (sun.kinds == 1).sum())
    True
    """
    area = as_area(region)
    length = checks.between("side", side, LEAST_SIDE, MOST_SIDE, unit="mm")
    middle = np.array(checks.point("centre", centre))
    turn = math.radians(checks.finite("angle", angle, unit="degrees") % 360)
    affordable(length, lambda side: area.area / (_LEAST * side**2), _MOST)
    if area.is_empty:
        return no_tiles(length)
    with stage("laying the tiles"):
        halves, kinds = _deflated_over(area, middle, length, turn)
        return within(_whole(halves, kinds, length), area)


def _deflated_over(
    area: Polygon | MultiPolygon, middle: FloatArray, length: float, turn: float
) -> tuple[FloatArray, IntArray]:
    """The half tiles near an area, cut from a sun that is larger than it."""
    left, bottom, right, top = area.bounds
    rim = [(left, bottom), (right, bottom), (right, top), (left, top)]
    reach = float(np.hypot(*(np.array(rim) - middle).T).max()) + 3 * length
    levels = max(0, math.ceil(math.log(reach / (0.8 * length)) / math.log(_GOLDEN)))
    halves, kinds = _sun(length * _GOLDEN**levels, middle, turn)
    low = np.array([left, bottom])
    high = np.array([right, top])
    for level in range(levels, -1, -1):
        spare = 2 * length * _GOLDEN**level
        near = (halves.max(axis=1) >= low - spare).all(axis=1)
        near &= (halves.min(axis=1) <= high + spare).all(axis=1)
        halves = halves[near]
        kinds = kinds[near]
        if level:
            halves, kinds = deflated(halves, kinds)
    return halves, kinds


def _sun(side: float, middle: FloatArray, turn: float) -> tuple[FloatArray, IntArray]:
    """Ten half kites (10, 3, 2) round a point: the point, the corner on the axis, the corner beside
    it.
    """
    halves = []
    for k in range(5):
        axis = turn + math.radians(72 * k)
        top = middle + side * np.array([math.cos(axis), math.sin(axis)])
        for way in (-1, 1):
            beside = axis + way * math.radians(36)
            wing = middle + side * np.array([math.cos(beside), math.sin(beside)])
            halves.append([middle, top, wing])
    return np.array(halves), np.zeros(10, np.int64)


def deflated(halves: FloatArray, kinds: IntArray) -> tuple[FloatArray, IntArray]:
    """Half tiles (n, 3, 2) cut into those of edges 1.618 times shorter.

    A half kite A B C has the axis A B, |A C| = |A B|; a half dart A B C the axis A B and the long
    edge A C, with its blunt angle at B.
    """
    share = 1 / _GOLDEN
    kite = halves[kinds == KITE]
    a, b, c = kite.transpose(1, 0, 2)
    on_axis = a + share * (b - a)
    on_side = c + share * (a - c)
    parts = [
        np.stack([c, on_axis, b], axis=1),
        np.stack([c, on_axis, on_side], axis=1),
        np.stack([a, on_side, on_axis], axis=1),
    ]
    made = [np.full(len(kite), KITE), np.full(len(kite), KITE), np.full(len(kite), DART)]
    dart = halves[kinds == DART]
    a, b, c = dart.transpose(1, 0, 2)
    on_edge = a + share * (c - a)
    parts += [np.stack([a, b, on_edge], axis=1), np.stack([c, on_edge, b], axis=1)]
    made += [np.full(len(dart), KITE), np.full(len(dart), DART)]
    return np.concatenate(parts), np.concatenate(made)


def _whole(halves: FloatArray, kinds: IntArray, side: float) -> Tiling:
    """Halves that share an axis, put together; those at the rim without a partner are left out."""
    pairs = near_pairs(halves[:, :2].mean(axis=1), 1e-6 * side)
    pairs = pairs[kinds[pairs[:, 0]] == kinds[pairs[:, 1]]]
    one = halves[pairs[:, 0]]
    other = halves[pairs[:, 1]]
    corners = np.stack([one[:, 0], one[:, 2], one[:, 1], other[:, 2]], axis=1)
    edge = corners - np.roll(corners, 1, axis=1)
    after = np.roll(edge, -1, axis=1)
    area = (edge[..., 0] * after[..., 1] - edge[..., 1] * after[..., 0]).sum(axis=1)
    back = area < 0
    corners[back] = corners[back][:, [0, 3, 2, 1]]
    count = len(corners)
    return Tiling(corners.reshape(-1, 2), 4 * np.arange(count + 1), kinds[pairs[:, 0]], side)
