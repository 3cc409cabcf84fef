"""Rhombs by N. G. de Bruijn's multigrids: families of parallel lines, one rhomb a crossing."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, IntArray, Seed
from plotlib.drawing import RegionLike
from plotlib.progress import stage
from plotlib.tilings.tiling import LEAST_SIDE, MOST_SIDE, Tiling, affordable, no_tiles, within

_MOST = 1_000_000  # tiles
_MOST_FOLD = 40


def rhombs(
    region: RegionLike,
    fold: int = 5,
    *,
    side: float,
    seed: Seed = 0,
    origin: tuple[float, float] = (0.0, 0.0),
) -> Tiling:
    """Rhombs in ``fold`` directions that never repeat: Penrose's (5), Ammann's and Beenker's (4).

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to cover; tiles that meet it are whole.
    fold : int, default 5
        The number of directions of edges, 3 … 40.
    side : float
        The length of the edges, mm, 0.001 or more.
    seed : int or numpy Generator, default 0
        Where the families of lines stand; each seed shows another part of the plane. For an odd
        ``fold`` the offsets add up to a whole number, which for 5 gives Penrose's tiling.
    origin : (float, float), default (0, 0)
        The point about which it is laid out, mm.

    Returns
    -------
    Tiling
        A tile's kind counts how blunt it is: 0 has the sharpest angle, 180 / ``fold`` degrees.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or more than a million tiles would be made.

    References
    ----------
    N. G. de Bruijn, *Algebraic theory of Penrose's non-periodic tilings of the plane*, Indagationes
    Mathematicae 43, 1981; F. P. M. Beenker, 1982 (both from memory).

    Examples
    --------
    >>> from shapely import box
    >>> floor = rhombs(box(0, 0, 100, 70), side=6)
    >>> thick, thin = (int((floor.kinds == kind).sum()) for kind in (1, 0))
    >>> 1.5 < thick / thin < 1.75  # near the golden ratio
    True
    """
    area = as_area(region)
    count = checks.whole("fold", fold, low=3, high=_MOST_FOLD)
    length = checks.between("side", side, LEAST_SIDE, MOST_SIDE, unit="mm")
    random = checks.generator(seed)
    middle = np.array(checks.point("origin", origin))
    least = math.sin(math.pi / count)
    affordable(length, lambda side: area.area / (least * side**2), _MOST)
    if area.is_empty:
        return no_tiles(length)
    # an even number of directions spreads over half a turn, as opposite ones are the same
    turn = 2 * math.pi if count % 2 else math.pi
    directions = turn * np.arange(count) / count + math.pi / 2
    edges = np.column_stack([np.cos(directions), np.sin(directions)])
    offsets = random.uniform(0, 1, count)
    if count % 2:
        offsets[-1] = -offsets[:-1].sum() % 1
    with stage("laying the tiles"):
        points, kinds = _dual(edges, offsets, _seen(area, middle, length, count))
        corners = 4 * np.arange(len(kinds) + 1)
        return within(Tiling(length * points + middle, corners, kinds, length), area)


def _seen(
    area: Polygon | MultiPolygon, middle: FloatArray, side: float, count: int
) -> tuple[FloatArray, FloatArray]:
    """The box of the grid's plane whose rhombs can meet the area: the plane is drawn ``count`` / 2
    times as large, and no rhomb is farther from its place than half a side for each family.
    """
    left, bottom, right, top = area.bounds
    reach = count / 2 + 2.0
    low = (np.array([left, bottom]) - middle) / side - reach
    high = (np.array([right, top]) - middle) / side + reach
    return low * 2 / count, high * 2 / count


def _dual(
    edges: FloatArray, offsets: FloatArray, box: tuple[FloatArray, FloatArray]
) -> tuple[FloatArray, IntArray]:
    """The corners (4 T, 2) and the kinds (T,) of the rhombs of all crossings in a box."""
    count = len(edges)
    found = []
    kinds = []
    for j, k in combinations(range(count), 2):
        lines_j = _lines(edges[j], offsets[j], box)
        lines_k = _lines(edges[k], offsets[k], box)
        a, b = (part.ravel() for part in np.meshgrid(lines_j, lines_k))
        across = edges[j, 0] * edges[k, 1] - edges[j, 1] * edges[k, 0]
        if abs(across) < 1e-9:
            continue
        right = np.column_stack([a - offsets[j], b - offsets[k]])
        inverse = np.array([[edges[k, 1], -edges[j, 1]], [-edges[k, 0], edges[j, 0]]]) / across
        spots = right @ inverse.T
        near = ((spots >= box[0]) & (spots <= box[1])).all(axis=1)
        index = np.ceil(spots[near] @ edges.T + offsets)
        index[:, j] = a[near]
        index[:, k] = b[near]
        corner = index @ edges
        turn = (0, 1, 2, 3) if across > 0 else (0, 3, 2, 1)
        steps = np.array([(0.0, 0.0), edges[j], edges[j] + edges[k], edges[k]])[list(turn)]
        found.append((corner[:, None, :] + steps).reshape(-1, 2))
        kinds.append(np.full(len(corner), _bluntness(edges[j], edges[k], count)))
    return np.concatenate(found), np.concatenate(kinds)


def _bluntness(one: FloatArray, other: FloatArray, count: int) -> int:
    """How many times 180 / count degrees the sharp angle of a rhomb has, less one."""
    angle = math.acos(min(1.0, abs(float(one @ other))))
    return round(angle / (math.pi / count)) - 1


def _lines(edge: FloatArray, offset: float, box: tuple[FloatArray, FloatArray]) -> FloatArray:
    """The numbers of the lines of a family that meet a box."""
    corners = np.array([[x, y] for x in (box[0][0], box[1][0]) for y in (box[0][1], box[1][1])])
    reach = corners @ edge + offset
    return np.arange(math.ceil(reach.min()), math.floor(reach.max()) + 1.0)
