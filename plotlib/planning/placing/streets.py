"""Shortest ways around closed areas, by a visibility graph that grows only where it is needed.

A visibility graph (Lozano-Pérez and Wesley, Communications of the ACM 22, 1979) joins the corners
that see each other; the shortest way is a path in it. Here a search begins with the areas that the
straight way enters. Where its path enters others, they are taken in and the search is repeated. A
path around some of the areas is never longer than one around all, so the first that enters none is
the shortest. Corners are joined only by lines that pass both of them by (tangents), which leaves a
few for each two areas; they are remembered, with the areas that each line enters.

The corners are grid points beside the corners of the areas. An area that is not entangled with
another, nor holds an end of the way in a bay, is passed along its convex hull; a hull of more than
``_MANY`` corners along ``_SIDES`` lines around it, which a circle of radius r exceeds by r / 800.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
import shapely
from shapely.geometry.polygon import orient

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.machine import Machine

_MANY = 96
_SIDES = 64
# Units: a line that turns from a corner by less counts as passing it by, since corners are rounded.
_SLACK = 3.0
_NOTHING = 1e-9  # units: the length of a line between corners of two areas in one place


class Lines(NamedTuple):
    """Straight moves between numbered places, and the areas that they enter."""

    ends: IntArray  # (E, 2) numbers of corners; -1 and -2 for the two ends of a way
    length: FloatArray  # (E,) in units
    entering: IntArray  # (H,) numbers of lines, one for each area that a line enters
    entered: IntArray  # (H,) and the numbers of the areas


@dataclass(frozen=True)
class Corners:
    """The corners of one shape, in units.

    Attributes
    ----------
    place : ndarray (K, 2) of int64
        Grid points outside all areas.
    before, after : ndarray (K, 2) of float64
        The corners of the shape on either side.
    first : int
        The number of the first corner.
    """

    place: IntArray
    before: FloatArray
    after: FloatArray
    first: int


class Streets:
    """The areas that a carriage may not pass over, and the ways around them.

    With ``tight``, every corner of the grid beside every corner of an area counts and no line is
    left out: slower, for ways that are too narrow otherwise.
    """

    def __init__(self, area: Any, machine: Machine, *, tight: bool = False) -> None:
        self.machine = machine
        self.tight = tight
        self.parts = np.array([orient(part) for part in shapely.get_parts(area)], dtype=object)
        shapely.prepare(self.parts)
        self.tree = shapely.STRtree(self.parts)
        self.outers = self.parts if tight else np.array([_outer(part) for part in self.parts])
        shapely.prepare(self.outers)
        self.places: list[IntArray] = []
        self.count = 0
        self._corners: dict[tuple[int, bool], Corners] = {}
        self._between: dict[tuple[tuple[int, bool], tuple[int, bool]], Lines] = {}

    # ---- what lies in the way

    def entries(self, begin: IntArray, end: IntArray) -> tuple[IntArray, IntArray]:
        """For straight moves (L, 2) the numbers (H,) of those that enter an area, and the areas;
        edges may be touched.
        """
        moving = np.flatnonzero((begin != end).any(axis=1))
        ends = np.stack([begin[moving], end[moving]], axis=1)
        lines = np.asarray(shapely.linestrings(self.machine.to_mm(ends)))
        line, part = self.tree.query(lines)
        meets = shapely.intersects(self.parts[part], lines[line])
        line = line[meets]
        part = part[meets]
        inside = shapely.relate_pattern(lines[line], self.parts[part], "T********")
        return moving[line[inside]], part[inside]

    @cached_property
    def _is_entangled(self) -> BoolArray:
        """Whether the outer shape of each part meets another part."""
        outer, part = self.tree.query(self.outers, predicate="intersects")
        result = np.zeros(len(self.parts), np.bool_)
        result[outer[outer != part]] = True
        return result

    # ---- a way

    def way(self, begin: IntArray, end: IntArray) -> IntArray | None:
        """The corners (K, 2) of the shortest way from ``begin`` to ``end``; None where there is no
        way.
        """
        both = np.stack([begin, end])
        _, entered = self.entries(both[:1], both[1:])
        known = [int(part) for part in np.unique(entered)]
        sights: dict[tuple[int, bool], Lines] = {}
        while True:
            shapes = self._shapes(known, both)
            for shape in shapes:
                if shape not in sights:
                    sights[shape] = self._sights(both, shape)
            lines = [sights[shape] for shape in shapes]
            lines += [self._lines(a, b) for k, a in enumerate(shapes) for b in shapes[k:]]
            found = _shortest(lines, known, self.count)
            if found is None:
                return None
            trail, more = found
            if not more:
                return _without_repeats(np.concatenate([both[:1], *self.places])[1 + trail])
            known = sorted({*known, *more})

    def _shapes(self, parts: list[int], both: IntArray) -> list[tuple[int, bool]]:
        """Each part and whether it is passed along its outer shape."""
        ends = shapely.points(self.machine.to_mm(both))
        is_outer = ~self._is_entangled[parts]
        is_outer &= ~shapely.intersects(self.outers[parts][:, None], ends).any(axis=1)
        return [(part, bool(outer)) for part, outer in zip(parts, is_outer, strict=True)]

    def _sights(self, both: IntArray, shape: tuple[int, bool]) -> Lines:
        """Lines from both ends of a way to the corners of a shape that they pass by."""
        corners = self.corners(shape)
        ends = np.array([-1, -2])
        passing = _passes_by(corners, both) | self.tight
        node, other = np.nonzero(passing)
        numbers = np.stack([ends[other], corners.first + node], axis=1)
        return self._measured(numbers, both[other], corners.place[node])

    def _lines(self, one: tuple[int, bool], two: tuple[int, bool]) -> Lines:
        """Lines between the corners of two shapes that pass both by, or along one shape."""
        key = (one, two)
        if key not in self._between:
            a = self.corners(one)
            b = self.corners(two)
            passing = _passes_by(a, b.place) & _passes_by(b, a.place).T
            i, j = np.nonzero(passing | self.tight)
            if one == two:
                is_new = i < j
                i = i[is_new]
                j = j[is_new]
            numbers = np.stack([a.first + i, b.first + j], axis=1)
            self._between[key] = self._measured(numbers, a.place[i], b.place[j])
        return self._between[key]

    def _measured(self, numbers: IntArray, begin: IntArray, end: IntArray) -> Lines:
        way = (end - begin).astype(np.float64)
        return Lines(numbers, np.hypot(way[:, 0], way[:, 1]), *self.entries(begin, end))

    # ---- corners

    def corners(self, shape: tuple[int, bool]) -> Corners:
        """The corners of a part, or of its outer shape."""
        if shape not in self._corners:
            part, is_outer = shape
            polygon = self.outers[part] if is_outer else self.parts[part]
            made = self._free(*_beside(polygon, 10.0**self.machine.decimals, every=self.tight))
            self._corners[shape] = made
            self.places.append(made.place)
            self.count += len(made.place)
        return self._corners[shape]

    def _free(self, place: IntArray, before: FloatArray, after: FloatArray) -> Corners:
        """The corners on the bed and outside all areas."""
        machine = self.machine
        high = machine.to_units([machine.width, machine.height])
        is_free = ((place >= 0) & (place <= high)).all(axis=1)
        points = shapely.points(machine.to_mm(place))
        corner, part = self.tree.query(points)
        inside = shapely.contains_properly(self.parts[part], points[corner])
        is_free[corner[inside]] = False
        return Corners(place[is_free], before[is_free], after[is_free], self.count)


def _shortest(
    lines: list[Lines], known: list[int], count: int
) -> tuple[IntArray, list[int]] | None:
    """The corners of the shortest path from end -1 to end -2 over lines that enter no known area,
    and the unknown areas that it enters.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import dijkstra

    joined = _together(lines)
    ends = joined.ends % (count + 2)  # -1 and -2 become the last two
    is_open = np.ones(len(ends), np.bool_)
    is_open[joined.entering[np.isin(joined.entered, known)]] = False
    used, nodes = np.unique(np.append(ends[is_open], [[count + 1, count]], 0), return_inverse=True)
    start = len(used) - 1
    goal = len(used) - 2
    row, column = nodes.reshape(-1, 2)[:-1].T
    length = np.maximum(joined.length[is_open], _NOTHING)
    graph = coo_array((length, (row, column)), shape=(len(used), len(used))).tocsr()
    found: Any = dijkstra(graph, directed=False, indices=start, return_predecessors=True)  # type: ignore[call-overload]
    trail = [goal]
    while trail[-1] != start:
        before = int(found[1][trail[-1]])
        if before < 0:
            return None
        trail.append(before)
    walked = used[trail[::-1]]
    steps = np.sort(np.stack([walked[:-1], walked[1:]], axis=1), axis=1) @ (count + 2, 1)
    keys = np.sort(ends[joined.entering], axis=1) @ (count + 2, 1)
    return walked[1:-1], np.unique(joined.entered[np.isin(keys, steps)]).tolist()


def _together(lines: list[Lines]) -> Lines:
    first = np.cumsum([0, *(len(part.length) for part in lines)])
    return Lines(
        np.concatenate([part.ends for part in lines]),
        np.concatenate([part.length for part in lines]),
        np.concatenate([part.entering + k for part, k in zip(lines, first[:-1], strict=True)]),
        np.concatenate([part.entered for part in lines]),
    )


def _without_repeats(places: IntArray) -> IntArray:
    moves = np.ones(len(places), np.bool_)
    moves[1:] = (places[1:] != places[:-1]).any(axis=1)
    return places[moves]


def _outer(part: Any) -> Any:
    """The convex hull, or where it has many corners a polygon of few sides around it."""
    hull = orient(shapely.convex_hull(part))
    corners = shapely.get_coordinates(hull)
    if len(corners) <= _MANY:
        return hull
    turn = np.arange(_SIDES) * 2 * np.pi / _SIDES
    normal = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    reach = (normal @ corners.T).max(axis=1)
    after = np.roll(normal, -1, axis=0)
    further = np.roll(reach, -1)
    cross = normal[:, 0] * after[:, 1] - normal[:, 1] * after[:, 0]
    x = (reach * after[:, 1] - further * normal[:, 1]) / cross
    y = (further * normal[:, 0] - reach * after[:, 0]) / cross
    return shapely.Polygon(np.stack([x, y], axis=1)[_moving(x, y)])


def _moving(x: FloatArray, y: FloatArray) -> BoolArray:
    """Which corners differ from the one before: several sides may meet in one."""
    apart: FloatArray = np.hypot(x - np.roll(x, 1), y - np.roll(y, 1))
    return np.asarray(apart > _NOTHING)


def _beside(polygon: Any, scale: float, *, every: bool) -> tuple[IntArray, FloatArray, FloatArray]:
    """Grid points beside the corners of an oriented polygon, and the corners before and after, in
    units.

    Where a corner has grid points outside both of its edges, the nearest stands for it.
    """
    places = []
    befores = []
    afters = []
    for ring in shapely.get_rings(polygon):
        corner = shapely.get_coordinates(ring)[:-1] * scale
        whole = np.rint(corner)
        corner = np.where(np.abs(corner - whole) < 1e-6, whole, corner)
        before = np.roll(corner, 1, axis=0)
        after = np.roll(corner, -1, axis=0)
        turns = _cross(corner - before, after - corner)
        bends = np.ones(len(corner), np.bool_) if every else turns > 0
        around = _around(corner[bends])
        before = before[bends]
        after = after[bends]
        corner = corner[bends]
        chosen = (
            np.ones(around.shape[:2], np.bool_) if every else _best(around, corner, before, after)
        )
        which, _ = np.nonzero(chosen)
        places.append(around[chosen].astype(np.int64))
        befores.append(before[which])
        afters.append(after[which])
    place = np.concatenate(places)
    _, first = np.unique(place, axis=0, return_index=True)
    kept = np.sort(first) if every else np.arange(len(place))
    return place[kept], np.concatenate(befores)[kept], np.concatenate(afters)[kept]


def _around(corner: FloatArray) -> FloatArray:
    """The corners (K, 4, 2) of the cell of the grid that each corner (K, 2) lies in."""
    low = np.floor(corner)
    high = np.ceil(corner)
    x = np.stack([low[:, 0], high[:, 0], low[:, 0], high[:, 0]], axis=1)
    y = np.stack([low[:, 1], low[:, 1], high[:, 1], high[:, 1]], axis=1)
    return np.stack([x, y], axis=2)


def _best(
    around: FloatArray, corner: FloatArray, before: FloatArray, after: FloatArray
) -> BoolArray:
    """Which (K, 4) of the grid points stand for each corner."""
    off = around - corner[:, None]
    one = _cross((corner - before)[:, None], off)
    two = _cross((after - corner)[:, None], off)
    outside = (one <= 0) & (two <= 0)
    apart = np.where(outside, np.hypot(off[..., 0], off[..., 1]), np.inf)
    best = np.zeros(around.shape[:2], np.bool_)
    best[np.arange(len(corner)), np.argmin(apart, axis=1)] = True
    best[~outside.any(axis=1)] = True
    return best


def _passes_by(corners: Corners, places: IntArray) -> BoolArray:
    """Whether the line from each corner (K,) to each place (P,) leaves both neighbours of the
    corner on one side.
    """
    way = (places[None] - corners.place[:, None]).astype(np.float64)
    length = np.maximum(np.hypot(way[..., 0], way[..., 1]), 1.0)
    one = _cross(way, (corners.before - corners.place)[:, None]) / length
    two = _cross(way, (corners.after - corners.place)[:, None]) / length
    across = (np.minimum(one, two) < -_SLACK) & (np.maximum(one, two) > _SLACK)
    return np.asarray(~across)


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])
