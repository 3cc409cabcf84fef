"""Wang tiles: squares with coloured edges, laid so that neighbours have one colour where they meet.

Rows are laid from the bottom upwards. Whether a row fits on the one below, and in how many ways, is
counted from left to right by one matrix for each colour below; then one of the ways is drawn from
right to left, each as likely as the others. Where no row fits, the rows below are laid anew, the
more of them the longer this goes on.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays import flatten, ragged
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, IntArray, Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue, UnknownName
from plotlib.pen import Pen, as_pen
from plotlib.progress import Stage, stage
from plotlib.tilings.tiling import LEAST_SIDE, MOST_SIDE, Tiling, affordable, no_tiles, within
from plotlib.tilings.truchet import squares

_MOST = 200_000  # squares
_MOST_TILES = 1_000
_MOST_COLOURS = 64
_TRIES = 10  # rows that are laid before giving up, for each row wanted and a hundred more
_MOST_STACKS = 5_000  # of tiles, that are looked at
_MOST_WAYS = 600_000  # numbers in their matrices
_PATIENCE = 4  # rows that do not fit before one more of those below is laid anew

_KAPPA = 4 / 3 * (math.sqrt(2) - 1)  # handles of a cubic for a quarter of an ellipse
_INWARD = np.array([(0, -1), (-1, 0), (0, 1), (1, 0)])  # from north, east, south, west
# north, east, south, west
_SETS: dict[str, list[tuple[int, int, int, int]]] = {
    "sixteen": [(n, e, s, w) for n in (0, 1) for e in (0, 1) for s in (0, 1) for w in (0, 1)],
    "eight": [(n, e, (n + e + w) % 2, w) for n in (0, 1) for e in (0, 1) for w in (0, 1)],
    "eleven": [
        (4, 2, 1, 2),
        (2, 2, 0, 2),
        (1, 1, 1, 3),
        (2, 1, 2, 3),
        (1, 3, 3, 3),
        (1, 0, 1, 3),
        (0, 0, 1, 0),
        (1, 3, 2, 0),
        (2, 0, 2, 1),
        (2, 1, 4, 1),
        (3, 3, 2, 1),
    ],
}


def wang(
    region: RegionLike,
    tiles: ArrayLike | str = "eight",
    *,
    side: float,
    seed: Seed = 0,
) -> Tiling:
    """Wang tiles: squares whose edges have colours, laid so that they match, by chance.

    Draw them with ``carrying``, a motif for each kind, or with ``wang_strands``.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to cover; tiles that meet it are whole.
    tiles : int array of shape (K, 4) or str, default "eight"
        The colours of each tile's edges, north, east, south and west, 0 … 63; tiles are not
        turned. Or the name of a set: "sixteen" has all tiles of two colours, "eight" those with an
        even number of edges of colour 1, two for every north and west; "eleven" never repeats.
    side : float
        The side of a tile, mm, 0.001 or more.
    seed : int or numpy Generator, default 0
        Which of the ways to lay them is taken.

    Returns
    -------
    Tiling
        A tile's kind is its number in the set.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the tiles cannot cover the area or were not brought to do it in
        many tries, or more than 200,000 tiles would be laid. "eleven" covers some 30 rows of 30.
    UnknownName
        If there is no set of that name.

    References
    ----------
    H. Wang, 1961; M. F. Cohen, J. Shade, S. Hiller, O. Deussen, *Wang Tiles for Image and Texture
    Generation*, SIGGRAPH 2003: eight tiles, two for every north and west; which two is a choice of
    ours. E. Jeandel, M. Rao, *An aperiodic set of 11 Wang tiles*, 2015: "eleven" (all from memory;
    that no small patch of it repeats is tested).

    Examples
    --------
    >>> from shapely import box
    >>> floor = wang(box(0, 0, 60, 40), side=10)
    >>> len(floor), len(wang_strands(floor, "eight"))
    (24, 48)
    """
    area = as_area(region)
    colours = _colours_of(tiles)
    length = checks.between("side", side, LEAST_SIDE, MOST_SIDE, unit="mm")
    random = checks.generator(seed)
    if area.is_empty:
        return no_tiles(length)
    affordable(length, lambda side: math.prod(squares(area.bounds, side)), _MOST)
    columns, rows = squares(area.bounds, length)
    with stage("laying the tiles") as work:
        numbers = laid(colours, columns, rows, random, work).ravel()
        j, i = np.divmod(np.arange(columns * rows), columns)
        low = np.array(area.bounds[:2]) + length * np.column_stack([i, j])
        points = low[:, None] + length * np.array([(0, 0), (1, 0), (1, 1), (0, 1)])
        offsets = 4 * np.arange(len(numbers) + 1)
        return within(Tiling(points.reshape(-1, 2), offsets, numbers, length), area)


def wang_strands(
    floor: Tiling,
    tiles: ArrayLike | str = "eight",
    *,
    tolerance: float = flatten.TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """Two strands in every Wang tile that leave its edges where their colours say, so that they run
    on in its neighbours.

    Parameters
    ----------
    floor : Tiling
        What ``wang`` has laid.
    tiles : int array of shape (K, 4) or str, default "eight"
        The set it was laid with.
    tolerance : float, default 0.02
        Greatest distance in mm between a strand and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        Two quarters of ellipses a tile: in those of even number from west to south and from east to
        north, in the others from west to north and from east to south.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the floor is not laid with that set.
    UnknownName
        If there is no set of that name.

    Examples
    --------
    >>> from shapely import box
    >>> floor = wang(box(0, 0, 20, 20), "sixteen", side=10)
    >>> len(wang_strands(floor, "sixteen"))
    8
    """
    if not isinstance(floor, Tiling):
        raise InvalidValue(f"floor must be a Tiling; got {type(floor).__name__}", name="floor")
    colours = _colours_of(tiles)
    limit = checks.positive("tolerance", tolerance, unit="mm")
    held = as_pen(pen)
    kinds = floor.kinds
    if (np.diff(floor.offsets) != 4).any() or kinds.max(initial=0) >= len(colours):
        raise InvalidValue(
            f"floor has tiles that are none of the {len(colours)}; give the set it was laid with",
            name="floor",
        )
    if not len(kinds):
        return Drawing(pen=held)
    corners = floor.points.reshape(-1, 4, 2)
    share = ((colours + 0.5) / (colours.max() + 1))[kinds]
    ends = _ends(share)
    joined = np.where((kinds % 2 == 0)[:, None], [3, 2, 1, 0], [3, 0, 1, 2])
    begin = np.take_along_axis(ends, joined[:, [0, 2], None], axis=1)
    finish = np.take_along_axis(ends, joined[:, [1, 3], None], axis=1)
    step = finish - begin
    leave = begin + _KAPPA * _along(step, _INWARD[joined[:, [0, 2]]])
    arrive = finish - _KAPPA * _along(step, _INWARD[joined[:, [1, 3]]])
    controls = np.stack([begin, leave, arrive, finish], axis=2)
    low = corners[:, 0]
    along = corners[:, 1] - low
    up = corners[:, 3] - low
    placed = low[:, None, None] + controls @ np.stack([along, up], axis=1)[:, None]
    placed = placed.reshape(-1, 4, 2)
    points, counts = flatten.cubics(placed, limit)
    points = np.insert(points, ragged.offsets_of(counts)[:-1], placed[:, 0], axis=0)
    return Drawing.from_arrays(points, ragged.offsets_of(counts + 1), pen=held)


def _along(steps: FloatArray, ways: IntArray) -> FloatArray:
    """Steps as far as they go along unit ways."""
    return np.asarray((steps * ways).sum(axis=-1, keepdims=True) * ways)


def _ends(share: FloatArray) -> FloatArray:
    """Where strands leave unit tiles (T, 4, 2): north, east, south, west, at shares of the edge."""
    zero = np.zeros(len(share))
    one = np.ones(len(share))
    north, east, south, west = share.T
    x = np.column_stack([north, one, south, zero])
    y = np.column_stack([one, east, zero, west])
    return np.stack([x, y], axis=-1)


def _colours_of(tiles: ArrayLike | str) -> IntArray:
    """The colours (K, 4) of a set that is named or given."""
    if isinstance(tiles, str):
        if tiles not in _SETS:
            raise UnknownName(
                f"there are no Wang tiles of the name {tiles!r:.60}; there are {', '.join(_SETS)}"
            )
        return np.array(_SETS[tiles])
    given = checks.numbers("tiles", tiles, ndim=2, columns=4)
    if given.shape[1] != 4 or not 0 < len(given) <= _MOST_TILES:
        raise InvalidValue(
            f"tiles must be 1 to {_MOST_TILES:,} rows of four colours, north, east, south and "
            f"west; got the shape {given.shape}",
            name="tiles",
        )
    if (given != np.floor(given)).any() or given.min() < 0 or given.max() >= _MOST_COLOURS:
        raise InvalidValue(
            f"the colours of tiles must be whole numbers from 0 to {_MOST_COLOURS - 1}; they lie "
            f"between {given.min():g} and {given.max():g}",
            name="tiles",
        )
    return given.astype(np.int64)


class _Set(NamedTuple):
    """Tiles, or stacks of tiles that match, with sides that are numbered like colours."""

    number: IntArray  # (K,), of the lowest tile
    north: IntArray  # (K,), of the lowest tile
    top: IntArray  # (K,), the north of the highest tile
    east: IntArray
    south: IntArray
    west: IntArray
    ways: FloatArray  # (S + 1, C, C): stacks from a west to an east on each south; on any


def _set_of(
    number: IntArray,
    north: IntArray,
    top: IntArray,
    sides: tuple[IntArray, IntArray, IntArray],
    souths: int,
) -> _Set:
    """With sides east, south and west numbered from 0 on, and so many colours that may lie below,
    whether a south has them or not.
    """
    east, south, west = sides
    colours = int(max(east.max(initial=0), west.max(initial=0))) + 1
    ways = np.zeros((souths + 1, colours, colours))
    np.add.at(ways, (south, west, east), 1.0)
    ways[-1] = ways[:-1].sum(axis=0)
    return _Set(number, north, top, east, south, west, ways)


def _single(colours: IntArray) -> _Set:
    north, east, south, west = colours.T
    souths = int(max(south.max(initial=0), north.max(initial=0))) + 1
    return _set_of(np.arange(len(colours)), north, north, (east, south, west), souths)


def _stacked(stacks: _Set, tiles: _Set) -> _Set | None:
    """Stacks with one more tile on top, but for those without neighbours; nothing where they are
    too many.
    """
    below, above = np.nonzero(stacks.top[:, None] == tiles.south)
    high = tiles.ways.shape[1]
    west = stacks.west[below] * high + tiles.west[above]
    east = stacks.east[below] * high + tiles.east[above]
    while True:
        kept = np.isin(west, east) & np.isin(east, west)
        if kept.all():
            break
        below, above, west, east = (part[kept] for part in (below, above, west, east))
    sides, renamed = np.unique(np.concatenate([west, east]), return_inverse=True)
    if not len(below) or len(below) > _MOST_STACKS:
        return None
    if len(stacks.ways) * len(sides) ** 2 > _MOST_WAYS:
        return None
    west, east = np.split(renamed, 2)
    lowest = (stacks.number[below], stacks.north[below], tiles.top[above])
    return _set_of(*lowest, (east, stacks.south[below], west), len(stacks.ways) - 1)


def laid(
    colours: IntArray, columns: int, rows: int, random: np.random.Generator, work: Stage
) -> IntArray:
    """Numbers of tiles (rows, columns) whose colours (K, 4) match."""
    tiles = _single(colours)
    stacks = tiles
    lying: list[IntArray] = []  # places of the lowest tiles' numbers
    highest = 0
    missed = 0
    tries = _TRIES * (rows + 100)
    for _ in range(tries):
        south = colours[lying[-1], 0] if lying else np.full(columns, -1)
        row = _row(stacks, south, random)
        if row is not None:
            lying.append(stacks.number[row])
        elif not lying and stacks is tiles:
            raise InvalidValue(
                f"no {columns} of the tiles make a row, as too few colours of west and east match; "
                f"add tiles, or take a longer side",
                name="tiles",
            )
        else:
            missed += 1
            del lying[len(lying) - min(len(lying), 1 + missed // _PATIENCE) :]
            stacks = _stacked(stacks, tiles) or stacks
        if len(lying) == rows:
            return np.array(lying)
        if len(lying) > highest:
            highest = len(lying)
            missed = 0
            work.done(highest / rows)
    raise InvalidValue(
        f"the tiles were not brought to cover {columns} columns and {rows} rows in {tries:,} tries "
        f"at a row, only {highest} rows; add tiles, or take a longer side",
        name="tiles",
        value=colours.tolist(),
        rows=highest,
    )


def _row(stacks: _Set, south: IntArray, random: np.random.Generator) -> IntArray | None:
    """Places of stacks (columns,) that match each other and the colours below, or nothing; -1 is
    any colour.
    """
    count = np.ones(stacks.ways.shape[1])
    counts = [count]
    for colour in south.tolist():
        count = count @ stacks.ways[colour]
        total = count.sum()
        if not total:
            return None
        count = count / total
        counts.append(count)
    row = np.empty(len(south), np.int64)
    chance = random.random(len(south) + 1)
    east = _drawn(counts[-1], chance[-1])
    for column in range(len(south) - 1, -1, -1):
        fits = (stacks.east == east) & ((stacks.south == south[column]) | (south[column] < 0))
        row[column] = _drawn(fits * counts[column][stacks.west], chance[column])
        east = int(stacks.west[row[column]])
    return row


def _drawn(weights: FloatArray, chance: float) -> int:
    """A place, as likely as its weight."""
    sums = np.cumsum(weights)
    return int(np.searchsorted(sums, chance * sums[-1], side="right"))
