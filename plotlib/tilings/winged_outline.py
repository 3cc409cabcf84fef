"""The outline of what is dark in winged tiles of several sizes, arc by arc.

Every tile brings pieces of outline: lines and quarter circles between points of a grid, as its own
motif has them. Discs round the corners and the middles of the edges of smaller tiles reach into a
larger neighbour and lie on top of it. All these circles have their middles on edges of tiles, and
any two of them are nested, apart, or touch on an edge; so each quarter circle is an outline as a
whole or not at all, which one look at the colour outside of it decides.

Invariant: every piece has what is dark on its left, and at every point of the grid inside of the
box at most one piece begins and one ends. ``tests/tilings/test_winged.py`` holds the result against
unions and differences of polygons.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import shapely

from plotlib.arrays import flatten, ragged
from plotlib.checks import BoolArray, FloatArray, IntArray

CELL = 6  # units of the grid in a side of the smallest tile
ARCS = 2  # motifs 0 and 1, round the corners of one diagonal or of the other
FLAT = 2
STEEP = 3
CROSS = 4
MOTIFS = 6  # and four ends
_LEAST_CHORDS = 2  # of a quarter circle, so that chords of neighbours keep apart
_OUT = 1 + 1e-6  # of a radius: just outside of a disc
_QUARTERS = np.array([(1, 0), (0, 1), (-1, 0), (0, -1)])


class Leaves(NamedTuple):
    """Tiles that are not divided, ``size`` units of the smallest one wide, by rising key."""

    level: IntArray  # (T,)
    place: IntArray  # (T, 2), column and row among the tiles of its level
    motif: IntArray  # (T,)
    levels: int
    shape: tuple[int, int]  # columns and rows of level 0

    def side(self, level: int | IntArray) -> Any:
        """In units of the grid."""
        return CELL * 2 ** (self.levels - 1 - np.asarray(level))

    def keys(self, level: int | IntArray, place: IntArray) -> IntArray:
        """A number for each place of each level, also for those just outside of the box."""
        across, up = (2**self.levels * length + 2 for length in self.shape)
        return np.asarray((np.asarray(level) * up + place[:, 1] + 1) * across + place[:, 0] + 1)

    def find(self, level: int, place: IntArray) -> IntArray:
        """The tile at each place of a level, -1 where there is none."""
        known = self.keys(self.level, self.place)
        wanted = self.keys(level, place)
        spot = np.minimum(np.searchsorted(known, wanted), len(known) - 1)
        return np.where(known[spot] == wanted, spot, -1)


class _Pieces(NamedTuple):
    """Pieces of outline on the grid."""

    start: IntArray  # (P, 2)
    end: IntArray  # (P, 2)
    centre: IntArray  # (P, 2)
    turn: IntArray  # (P,): 1 a quarter circle to the left, -1 to the right, 0 a line


def leaves_of(
    level: IntArray, place: IntArray, motif: IntArray, levels: int, shape: tuple[int, int]
) -> Leaves:
    """The tiles in order."""
    loose = Leaves(level, place, motif, levels, shape)
    order = np.argsort(loose.keys(level, place))
    return Leaves(level[order], place[order], motif[order], levels, shape)


def dark_rings(leaves: Leaves, unit: float, tolerance: float) -> tuple[FloatArray, IntArray]:
    """Rings with what is dark on their left, in units of the grid, ``unit`` mm wide."""
    pieces = _first_of_each(_joined([_own(leaves), *_reaching_in(leaves)]))
    pieces, following = _closed_by_the_frame(pieces, leaves)
    order, rings = _cycles(following)
    return _flattened(_taken(pieces, order), rings, unit, tolerance)


def polygons_of(points: FloatArray, offsets: IntArray) -> Any:
    """Polygons (K,) of shells, which run counter-clockwise, with the holes in them."""
    rings: Any = shapely.linearrings(points, indices=ragged.stroke_of(offsets))
    is_shell = shapely.is_ccw(rings)
    outer = rings[is_shell]
    shells: Any = shapely.polygons(outer)
    holes = rings[~is_shell]
    if not len(holes):
        return shells
    tree = shapely.STRtree(shapely.get_point(holes, 0))
    shell, hole = tree.query(shells, predicate="contains")
    # of nested shells the smallest one has the hole
    order = np.lexsort((np.asarray(shapely.area(shells))[shell], hole))
    hole, first = np.unique(hole[order], return_index=True)
    owner = shell[order][first]
    order = np.argsort(owner, kind="stable")
    pierced, begin = np.unique(owner[order], return_index=True)
    inner = np.split(holes[hole[order]], begin[1:])
    for number, mine in zip(pierced.tolist(), inner, strict=True):
        shells[number] = shapely.Polygon(outer[number], list(mine))
    return shells


def _own(leaves: Leaves) -> _Pieces:
    """What the motif of each tile brings."""
    made = []
    for number, rows in enumerate(_outlines()):
        mine = np.flatnonzero(leaves.motif == number)
        side = leaves.side(leaves.level[mine])[:, None, None]
        corner = side * leaves.place[mine][:, None]
        placed = np.tile(corner, 3) + side // CELL * rows[None, :, :6]
        start, end, centre = np.split(placed.reshape(-1, 6), 3, axis=1)
        pieces = _Pieces(start, end, centre, np.tile(rows[:, 6], len(mine)))
        is_light = np.repeat(leaves.level[mine] % 2 > 0, len(rows))
        made.append(_reversed(pieces, is_light))
    return _joined(made)


def _outlines() -> list[IntArray]:
    """For each motif the pieces of its outline (n, 7) in a tile of six units, its bands on their
    left: start, end, centre, turn.
    """
    ring = np.array([(4, 0, 0, 4, 0, 0, 1), (0, 2, 2, 0, 0, 0, -1)])
    end = np.array([(4, 0, 3, 1, 3, 0, 1), (3, 1, 2, 0, 3, 0, 1)])
    line = np.array([(0, 2, 6, 2, 0, 0, 0)])
    elbow = np.array([(0, 2, 2, 2, 0, 0, 0), (2, 2, 2, 0, 0, 0, 0)])

    def turned(rows: IntArray, *quarters: int) -> IntArray:
        return np.concatenate([_turned(rows, quarter) for quarter in quarters])

    return [
        turned(ring, 0, 2),
        turned(ring, 1, 3),
        np.concatenate([turned(line, 0, 2), turned(end, 0, 2)]),
        np.concatenate([turned(line, 1, 3), turned(end, 1, 3)]),
        turned(elbow, 0, 1, 2, 3),
        turned(end, 0, 1, 2, 3),
    ]


def _turned(rows: IntArray, quarters: int) -> IntArray:
    """Pieces in a tile, turned about its middle."""
    made = rows.copy()
    for _ in range(quarters):
        spots = made[:, :6].reshape(-1, 3, 2)
        turned = np.stack([CELL - spots[..., 1], spots[..., 0]], axis=-1)
        made[:, :6] = turned.reshape(-1, 6)
    return made


def _reaching_in(leaves: Leaves) -> list[_Pieces]:
    """The quarters of discs round corners and middles of edges that lie in a larger tile and are
    seen there.
    """
    made = []
    for level in range(1, leaves.levels):
        place = leaves.place[leaves.level == level]
        sixth = int(leaves.side(level)) // CELL
        corners = _each_once([place + step for step in ((0, 0), (1, 0), (0, 1), (1, 1))])
        upright = _each_once([place, place + np.array((1, 0))])
        lying = _each_once([place, place + np.array((0, 1))])
        middles = np.concatenate([6 * upright + np.array((0, 3)), 6 * lying + np.array((3, 0))])
        made.append(_quarters(leaves, level, 6 * sixth * corners, 2 * sixth, level % 2 > 0))
        made.append(_quarters(leaves, level, sixth * middles, sixth, level % 2 == 0))
    return made


def _quarters(leaves: Leaves, level: int, centres: IntArray, radius: int, is_dark: bool) -> _Pieces:
    """The quarters that are seen of discs of one size and colour."""
    begin = np.tile(_QUARTERS, (len(centres), 1))
    finish = np.tile(np.roll(_QUARTERS, -1, axis=0), (len(centres), 1))
    middle = np.repeat(centres, 4, axis=0)
    spots = middle + _OUT * radius * np.sqrt(0.5) * (begin + finish)
    seen = _is_in_larger(leaves, level, spots)
    seen[seen] = _is_dark(leaves, spots[seen]) != is_dark
    start = (middle + radius * begin)[seen]
    end = (middle + radius * finish)[seen]
    pieces = _Pieces(start, end, middle[seen], np.ones(len(start), np.int64))
    return _reversed(pieces, np.full(len(start), not is_dark))


def _is_in_larger(leaves: Leaves, level: int, spots: FloatArray) -> BoolArray:
    found = np.zeros(len(spots), np.bool_)
    for larger in range(level):
        place = np.floor(spots / leaves.side(larger)).astype(np.int64)
        found |= leaves.find(larger, place) >= 0
    return found


def _is_dark(leaves: Leaves, spots: FloatArray) -> BoolArray:
    """The colour of points inside of the box: that of the smallest tiles that reach there."""
    dark = np.zeros(len(spots), np.bool_)
    open_ones = np.arange(len(spots))
    for level in range(leaves.levels - 1, -1, -1):
        on_band, on_ground = _reached(leaves, level, spots[open_ones] / leaves.side(level))
        dark[open_ones] = np.where(on_band, level % 2 == 0, level % 2 > 0)
        open_ones = open_ones[~(on_band | on_ground)]
    dark[open_ones] = False
    return dark


def _reached(leaves: Leaves, level: int, spots: FloatArray) -> tuple[BoolArray, BoolArray]:
    """Which points, in sides of a level's tiles, lie on its bands, and which on its ground."""
    cell = np.floor(spots).astype(np.int64)
    corner = np.round(spots).astype(np.int64)
    own = leaves.find(level, cell)
    on_ground = own >= 0
    on_band = on_ground & _on_motif(leaves.motif[own], spots - cell)
    near = np.hypot(*(spots - corner).T) < 1 / 3
    for step in ((0, 0), (-1, 0), (0, -1), (-1, -1)):
        on_ground[near] |= leaves.find(level, corner[near] + step) >= 0
    for axis in (0, 1):
        edge = cell.copy()
        edge[:, axis] = corner[:, axis]
        middle = edge + 0.5 * np.eye(2)[1 - axis]
        near = np.hypot(*(spots - middle).T) < 1 / 6
        before = edge[near] - np.eye(2, dtype=np.int64)[axis]
        on_band[near] |= leaves.find(level, edge[near]) >= 0
        on_band[near] |= leaves.find(level, before) >= 0
    return on_band, on_ground


def _on_motif(motif: IntArray, spots: FloatArray) -> BoolArray:
    """Which points of unit tiles lie on the bands of their motifs, without ends."""
    x, y = spots.T
    mirrored = np.where(motif == 0, x, 1 - x)
    far = np.minimum(np.hypot(mirrored, y), np.hypot(1 - mirrored, 1 - y))
    on_arc = (motif < ARCS) & (far > 1 / 3) & (far < 2 / 3)
    is_flat = np.isin(motif, (FLAT, CROSS)) & (np.abs(y - 0.5) < 1 / 6)
    is_steep = np.isin(motif, (STEEP, CROSS)) & (np.abs(x - 0.5) < 1 / 6)
    return np.asarray(on_arc | is_flat | is_steep)


def _closed_by_the_frame(pieces: _Pieces, leaves: Leaves) -> tuple[_Pieces, IntArray]:
    """Pieces with lines along the edge of the box where it is dark, and which follows which."""
    width, height = (int(leaves.side(0)) * length for length in leaves.shape)
    start = _numbers(pieces.start, height)
    end = _numbers(pieces.end, height)
    ends = pieces.end[~np.isin(end, start)]
    starts = pieces.start[~np.isin(start, end)]
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)])
    spots = np.concatenate([ends, starts, corners])
    sorts = np.repeat([1, 0, -1], [len(ends), len(starts), 4])
    order = np.argsort(_along_frame(spots, width, height), kind="stable")
    spots = spots[order]
    begins = sorts[order] > 0  # whether the frame is dark from there on
    told = np.flatnonzero(sorts[order] >= 0)
    if len(told):
        last = np.searchsorted(told, np.arange(len(spots)), side="right") - 1
        begins = begins[told[last]]
    else:
        begins[:] = _is_dark(leaves, np.array([(0.01, 0.01)]))[0]
    here = spots[begins]
    there = np.roll(spots, -1, axis=0)[begins]
    frame = _Pieces(here, there, here, np.zeros(len(here), np.int64))
    pieces = _joined([pieces, frame])
    start = _numbers(pieces.start, height)
    end = _numbers(pieces.end, height)
    by_start = np.argsort(start)
    return pieces, by_start[np.searchsorted(start[by_start], end)]


def _numbers(spots: IntArray, height: int) -> IntArray:
    return np.asarray(spots[:, 0] * (height + 1) + spots[:, 1])


def _along_frame(spots: IntArray, width: int, height: int) -> IntArray:
    """How far points of the frame are from its first corner, counter-clockwise."""
    x, y = spots.T
    rest = 2 * (width + height)
    conditions = [y == 0, x == width, y == height]
    return np.select(conditions, [x, width + y, 2 * width + height - x], rest - y)


def _cycles(following: IntArray) -> tuple[IntArray, IntArray]:
    """The pieces in the order of the rings that they make, and where each ring begins."""
    onward = following.tolist()
    is_done = [False] * len(onward)
    order = []
    offsets = [0]
    for first in range(len(onward)):
        piece = first
        while not is_done[piece]:
            is_done[piece] = True
            order.append(piece)
            piece = onward[piece]
        if offsets[-1] < len(order):
            offsets.append(len(order))
    return np.array(order, np.int64), np.array(offsets, np.int64)


def _flattened(
    pieces: _Pieces, rings: IntArray, unit: float, tolerance: float
) -> tuple[FloatArray, IntArray]:
    """The points of the pieces; those of a ring do not come back to the first."""
    arm = pieces.start - pieces.centre
    radius = np.abs(arm).sum(axis=1)
    counts = np.ones(len(radius), np.int64)
    for size in np.unique(radius[pieces.turn != 0]).tolist():
        chords = int(flatten.circle_chords(size * unit, tolerance)) // 4
        counts[(radius == size) & (pieces.turn != 0)] = max(_LEAST_CHORDS, chords)
    offsets = ragged.offsets_of(counts)
    owner = ragged.stroke_of(offsets)
    share = (np.arange(len(owner)) - offsets[owner]) / counts[owner]
    angle = 0.5 * np.pi * share * pieces.turn[owner]
    cosine = np.cos(angle)[:, None]
    sine = np.sin(angle)[:, None]
    aside = np.column_stack([-arm[:, 1], arm[:, 0]])
    points = pieces.centre[owner] + cosine * arm[owner] + sine * aside[owner]
    is_first = share == 0
    points[is_first] = pieces.start
    return points, offsets[rings]


def _each_once(places: list[IntArray]) -> IntArray:
    """Places without repeats."""
    rows = np.concatenate(places)
    high = int(rows[:, 1].max(initial=0)) + 1
    return rows[np.unique(rows[:, 0] * high + rows[:, 1], return_index=True)[1]]


def _first_of_each(pieces: _Pieces) -> _Pieces:
    """Pieces that begin at one point are one: the end of a band and a disc on top of it."""
    high = int(pieces.start[:, 1].max(initial=0)) + 1
    return _taken(pieces, np.unique(_numbers(pieces.start, high), return_index=True)[1])


def _reversed(pieces: _Pieces, which: BoolArray) -> _Pieces:
    start = np.where(which[:, None], pieces.end, pieces.start)
    end = np.where(which[:, None], pieces.start, pieces.end)
    return _Pieces(start, end, pieces.centre, np.where(which, -pieces.turn, pieces.turn))


def _joined(parts: list[_Pieces]) -> _Pieces:
    return _Pieces(*(np.concatenate(part) for part in zip(*parts, strict=True)))


def _taken(pieces: _Pieces, rows: IntArray) -> _Pieces:
    return _Pieces(*(part[rows] for part in pieces))
