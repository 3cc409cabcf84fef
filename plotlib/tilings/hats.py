"""The hat, one tile that covers the plane and never repeats, and its relatives."""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, IntArray, Seed
from plotlib.drawing import RegionLike
from plotlib.progress import stage
from plotlib.tilings.tiling import LEAST_SIDE, MOST_SIDE, Tiling, affordable, no_tiles, within

ComplexArray = NDArray[np.complex128]

_MOST = 1_000_000  # tiles
_H = 0.5j * math.sqrt(3)
_CORNERS = 14
# The corners of the hat, of edges 1 and root 3, counter-clockwise; one of them is straight.
_HAT = np.array(
    [
        *(0, -1.5 - _H, -1 - 2 * _H, -2 * _H, 1 - 2 * _H, 1.5 - _H, 3 - 2 * _H, 4.5 - _H),
        *(4, 3, 3 + 2 * _H, 1.5 + 3 * _H, 1 + 2 * _H, 2 * _H),
    ]
)
H, T, P, F = range(4)
# Outlines of the four metatiles, in lengths of the short edge.
_OUTLINES = (
    np.array([0, 8, 9 + 2 * _H, 5 + 10 * _H, 3 + 10 * _H, -1 + 2 * _H]),
    np.array([0, 6, 3 + 6 * _H]),
    np.array([0, 8, 6 + 4 * _H, -2 + 4 * _H]),
    np.array([0, 6, 7 + 2 * _H, 6 + 4 * _H, -2 + 4 * _H]),
)
# A patch of metatiles: each is laid against an edge of the one that stands first, which begins at
# the corner that stands second, by its own edge that stands last; or between two corners.
_PATCH = (
    *((0, 0, P, 2), (1, 0, H, 2), (2, 0, P, 2), (3, 0, H, 2), (4, 4, P, 2), (0, 4, F, 3)),
    *((2, 4, F, 3), (4, 1, 3, 2, F, 0), (8, 3, H, 0), (9, 2, P, 0), (10, 2, H, 0)),
    *((11, 4, P, 2), (12, 0, H, 2), (13, 0, F, 3), (14, 2, F, 1), (15, 3, H, 4), (8, 2, F, 1)),
    *((17, 3, H, 0), (18, 2, P, 0), (19, 2, H, 2), (20, 4, F, 3), (20, 0, P, 2), (22, 0, H, 2)),
    *((23, 4, F, 3), (23, 0, F, 3), (16, 0, P, 2), (9, 4, 0, 2, T, 2), (4, 0, F, 3)),
)
# The parts of the next metatiles in that patch.
_PARTS = (
    (0, 9, 16, 27, 26, 6, 1, 8, 10, 15),
    (11,),
    (7, 2, 3, 4, 28),
    (21, 20, 22, 23, 24, 25),
)


_COVERED = 0.5  # of its farthest corner: round its middle a metatile H is all hats (0.62 measured)
_TOP = 40  # levels; each is 2.6 times as large
_MOST_RATIO = 10.0
_MARGIN = 12.0  # short edges: relatives stray no farther from where the hats stand


class _Pieces(NamedTuple):
    """Pieces of the plane: each the piece of its sort, turned and moved."""

    sort: IntArray  # (K,)
    turn: ComplexArray  # (K,), of length 1
    move: ComplexArray  # (K,)


class _Level(NamedTuple):
    """Metatiles of one size."""

    outlines: tuple[ComplexArray, ...]
    parts: tuple[_Pieces, ...]  # what each of them is made of, one level below


def hats(region: RegionLike, *, side: float, ratio: float = math.sqrt(3), seed: Seed = 0) -> Tiling:
    """Hats, or relatives of theirs: one tile, of thirteen corners, that never repeats.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to cover; tiles that meet it are whole.
    side : float
        The length of the short edges of a hat, mm, 0.001 or more.
    ratio : float, default 1.732
        How many times as long the other edges are, 0.1 … 10: the root of 3 for the hat, its inverse
        for the turtle, and every tile between; 1 gives the tile that has ways to repeat, too.
    seed : int or numpy Generator, default 0
        Which part of the plane is shown.

    Returns
    -------
    Tiling
        Its kinds are 1 … 4 for hats in the metatiles H, T, P and F, and 0 for those that are
        reflected, one in each H. Tiles have a fourteenth corner that is straight, so that they lie
        edge to edge.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or more than a million tiles would be made.

    References
    ----------
    D. Smith, J. S. Myers, C. S. Kaplan, C. Goodman-Strauss, *An aperiodic monotile*, Combinatorial
    Theory 4, 2024 (from memory; counts and areas are tested).

    Examples
    --------
    >>> from shapely import box
    >>> floor = hats(box(0, 0, 100, 70), side=3)
    >>> {round(tile.area / 3**2, 6) for tile in floor.areas()}  # eight kites: 8 root 3
    {13.856406}
    """
    area = as_area(region)
    length = checks.between("side", side, LEAST_SIDE, MOST_SIDE, unit="mm")
    stretch = checks.between("ratio", ratio, 1 / _MOST_RATIO, _MOST_RATIO)
    random = checks.generator(seed)
    tile = math.sqrt(3) * (2 + math.sqrt(3) * stretch + stretch**2)
    affordable(length, lambda side: area.area / (tile * side**2), _MOST)
    if area.is_empty:
        return no_tiles(length)
    with stage("laying the tiles"):
        bounds = np.array(area.bounds) / length
        if stretch == math.sqrt(3):
            corners, kinds = _laid_over(bounds, random)
        else:
            corners, kinds = _relatives(bounds, stretch, random)
        corners[kinds == 0] = corners[kinds == 0][:, ::-1]
        points = length * np.stack([corners.real, corners.imag], axis=-1).reshape(-1, 2)
        offsets = _CORNERS * np.arange(len(kinds) + 1)
        return within(Tiling(points, offsets, kinds, length), area)


def _laid(begin: complex, end: complex, start: complex, stop: complex) -> tuple[complex, complex]:
    """The turn and the move that take the edge from ``begin`` to ``end`` onto another one."""
    turn = (stop - start) / (end - begin)
    turn /= abs(turn)
    return turn, start - turn * begin


def _hats() -> tuple[_Pieces, ...]:
    """The hats in each metatile, sort 1 for the one that is reflected."""
    outline = _OUTLINES[H]
    spots = [
        (*_laid(_HAT[6], _HAT[8], outline[5], outline[0]), 0),
        (*_laid(_HAT[10], _HAT[12], outline[1], outline[2]), 0),
        (*_laid(_HAT[6], _HAT[8], outline[3], outline[4]), 0),
        (-0.5 + _H, 5 + 2 * _H, 1),
    ]
    lower = [(1 + 0j, 3 + 2 * _H, 0), (0.5 - _H, 4 * _H, 0)]
    single = [(1 + 0j, 1 + 2 * _H, 0)]
    return tuple(_pieces(rows) for rows in (spots, single, lower, lower))


def _pieces(rows: list[tuple[complex, complex, int]]) -> _Pieces:
    turn, move, sort = zip(*rows, strict=True)
    return _Pieces(np.array(sort), np.array(turn, complex), np.array(move, complex))


@cache
def _level(number: int) -> _Level:
    """The metatiles of a level; those of level 0 are made of hats."""
    if number == 0:
        return _Level(_OUTLINES, _hats())
    below = _level(number - 1).outlines
    patch = _patch(below)
    outlines = _grown(patch, below)
    parts = tuple(_pieces([patch[k] for k in wanted]) for wanted in _PARTS)
    return _Level(outlines, parts)


def _patch(outlines: tuple[ComplexArray, ...]) -> list[tuple[complex, complex, int]]:
    """Turn, move and sort of 29 metatiles round the first one."""
    patch = [(1 + 0j, 0j, H)]
    for row in _PATCH:
        *where, sort, edge = row
        along = len(outlines[patch[where[0]][2]])
        start = _corner(patch, outlines, where[0], (where[1] + 1) % along)
        stop = _corner(patch, outlines, where[0], where[1])
        if len(where) == 4:
            start = _corner(patch, outlines, where[2], where[3])
        own = outlines[sort]
        turn, move = _laid(own[edge], own[(edge + 1) % len(own)], start, stop)
        patch.append((turn, move, sort))
    return patch


def _corner(
    patch: list[tuple[complex, complex, int]],
    outlines: tuple[ComplexArray, ...],
    number: int,
    corner: int,
) -> complex:
    turn, move, sort = patch[number]
    return complex(turn * outlines[sort][corner] + move)


def _grown(
    patch: list[tuple[complex, complex, int]], outlines: tuple[ComplexArray, ...]
) -> tuple[ComplexArray, ...]:
    """The outlines of the next metatiles, by the corners of a patch."""

    def corner(number: int, place: int) -> complex:
        return _corner(patch, outlines, number, place)

    sixth = np.exp(-1j * math.pi / 3)
    base = corner(8, 2)
    side = corner(21, 2)
    turned = base + sixth**2 * (side - base)
    top = corner(7, 2)
    right = corner(25, 2)
    low = _meeting(base, turned, corner(6, 2), top)
    way = (corner(6, 2) - low) * sixth
    third = corner(14, 2)
    h = np.array([low, base, base + way, third, third - way * sixth, corner(6, 2)])
    p = np.array([top, top + base - low, base, low])
    f = np.array([side, corner(24, 2), corner(25, 0), right, right + low - base])
    first = h[1] + h[4] - h[5]
    t = np.array([first, first + (h[2] - first) * sixth, h[2]])
    return h, t, p, f


def _meeting(a: complex, b: complex, c: complex, d: complex) -> complex:
    """Where the lines a b and c d meet."""
    one = b - a
    other = d - c
    share = ((c - a) * other.conjugate()).imag / (one * other.conjugate()).imag
    return a + share * one


def _laid_over(bounds: FloatArray, random: np.random.Generator) -> tuple[ComplexArray, IntArray]:
    """Corners (K, 14) and kinds (K,) of the hats that may meet a box, given by its bounds."""
    low = complex(bounds[0], bounds[1])
    high = complex(bounds[2], bounds[3])
    top, turn, move = _above((low + high) / 2, abs(high - low) / 2 + _CORNERS, random)
    pieces = _Pieces(np.array([H]), np.array([turn]), np.array([move]))
    for number in range(top, -1, -1):
        middles, reaches = _extents(number)
        spots = pieces.turn * middles[pieces.sort] + pieces.move
        spare = reaches[pieces.sort]
        near = (spots.real >= low.real - spare) & (spots.real <= high.real + spare)
        near &= (spots.imag >= low.imag - spare) & (spots.imag <= high.imag + spare)
        seen = _Pieces(pieces.sort[near], pieces.turn[near], pieces.move[near])
        pieces, owner = _divided(seen, number)
    kinds = np.where(pieces.sort == 1, 0, 1 + owner)
    shapes = np.where((pieces.sort == 1)[:, None], _HAT.conj(), _HAT)
    return _on_lattice(shapes * pieces.turn[:, None] + pieces.move[:, None]), kinds


def _above(
    middle: complex, reach: float, random: np.random.Generator
) -> tuple[int, complex, complex]:
    """The level of a metatile that covers a disc, and its turn and move: the hat at the origin lies
    in a metatile H, that in one of the three H of the next one, and so on.
    """
    turn, move = _outer(complex(np.exp(1j * math.pi / 3 * random.integers(6))), 0j, _hats(), random)
    for number in range(_TOP):
        outline = _level(number).outlines[H]
        centre = turn * outline.mean() + move
        far = _COVERED * float(np.abs(outline - outline.mean()).max())
        if abs(centre - middle) + reach <= far:
            break
        turn, move = _outer(turn, move, _level(number + 1).parts, random)
    return number, turn, move


def _outer(
    turn: complex, move: complex, parts: tuple[_Pieces, ...], random: np.random.Generator
) -> tuple[complex, complex]:
    """Turn and move of an H, given those of one of its first three parts, which are alike."""
    mine = int(random.integers(3))
    outer = turn / complex(parts[H].turn[mine])
    return outer, move - outer * complex(parts[H].move[mine])


@cache
def _extents(number: int) -> tuple[ComplexArray, FloatArray]:
    """For each metatile of a level a middle, and how far from it its hats may reach."""
    level = _level(number)
    middles = np.array([outline.mean() for outline in level.outlines])
    inner = np.array([2.5 + 1 * _H, 2.5 - 1 * _H])
    reaches = np.array([5.0, 5.0])
    if number:
        inner, reaches = _extents(number - 1)
    found = [
        float((np.abs(p.turn * inner[p.sort] + p.move - middle) + reaches[p.sort]).max())
        for p, middle in zip(level.parts, middles, strict=True)
    ]
    return middles, np.array(found)


def _divided(pieces: _Pieces, number: int) -> tuple[_Pieces, IntArray]:
    """The parts of some metatiles of a level, and the sort of metatile that each part is of."""
    found = []
    owners = []
    for sort, parts in enumerate(_level(number).parts):
        mine = pieces.sort == sort
        turn = pieces.turn[mine][:, None]
        move = turn * parts.move + pieces.move[mine][:, None]
        sorts = np.tile(parts.sort, int(mine.sum()))
        found.append(_Pieces(sorts, (turn * parts.turn).ravel(), move.ravel()))
        owners.append(np.full(len(sorts), sort))
    joined = _Pieces(*(np.concatenate(part) for part in zip(*found, strict=True)))
    return joined, np.concatenate(owners)


def _on_lattice(corners: ComplexArray) -> ComplexArray:
    """All corners of hats lie on a lattice of triangles of side 1, so that what was rounded on the
    way down through the levels can be put right.
    """
    up = np.round(corners.imag / abs(_H))
    across = np.round(corners.real - 0.5 * up)
    return np.asarray(across + up * (0.5 + _H))


def _relatives(
    bounds: FloatArray, ratio: float, random: np.random.Generator
) -> tuple[ComplexArray, IntArray]:
    """As :func:`_laid_over`, with the long edges of the hats stretched.

    Short and long edges each add up to nothing round every tile, so that the way to a corner by
    short edges alone is the same whatever way is taken. Far away it is a fixed share of the whole
    way, by which the box is found that comes to lie on the one wanted.
    """
    share = _short_share()
    factor = share + ratio / math.sqrt(3) * (1 - share)
    left, bottom, right, top = bounds
    wanted = np.array([complex(x, y) for x in (left, right) for y in (bottom, top)]) / factor
    spare = _MARGIN * (1 + ratio) / abs(factor)
    low = [wanted.real.min() - spare, wanted.imag.min() - spare]
    high = [wanted.real.max() + spare, wanted.imag.max() + spare]
    corners, kinds = _laid_over(np.array(low + high), random)
    short = _by_short_edges(corners)
    short -= (short - share * corners).mean()
    return short + ratio / math.sqrt(3) * (corners - short), kinds


@cache
def _short_share() -> complex:
    """What share of the way between corners that are far apart is done by short edges."""
    box = np.array([-60.0, -60.0, 60.0, 60.0])
    corners, _ = _laid_over(box, np.random.default_rng(0))
    flat = corners.ravel() - corners.mean()
    short = _by_short_edges(corners).ravel()
    return complex(np.vdot(flat, short - short.mean()) / np.vdot(flat, flat))


def _by_short_edges(corners: ComplexArray) -> ComplexArray:
    """The sum of the short edges on the way from the first corner to each other (K, 14)."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import breadth_first_order

    keys = np.round(np.stack([corners.real * 2, corners.imag / abs(_H)])).astype(np.int64)
    _, place = np.unique(keys[0] * (1 << 31) + keys[1], return_inverse=True)
    place = place.reshape(corners.shape)
    ahead = np.roll(place, -1, axis=1)
    size = int(place.max()) + 1
    ones = np.ones(place.size, np.int8)
    graph = coo_array((ones, (place.ravel(), ahead.ravel())), shape=(size, size))
    order, before = breadth_first_order(graph.tocsr(), 0, directed=False)
    spots = np.zeros(size, complex)
    spots[place] = corners
    step = np.zeros(size, complex)
    step[order[1:]] = spots[order[1:]] - spots[before[order[1:]]]
    step[np.abs(np.abs(step) - 1) > 0.1] = 0
    total = np.zeros(size, complex)
    for corner in order[1:].tolist():
        total[corner] = total[before[corner]] + step[corner]
    return np.asarray(total[place])
