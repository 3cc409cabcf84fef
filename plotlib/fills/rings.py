"""Rings that lie in one another: the nested insets of an area, and which ring can be reached from
which.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays.ragged import offsets_of
from plotlib.arrays.reshape import simplify
from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue
from plotlib.progress import stage

MOST_LEVELS = 20_000
_QUARTER = 16  # chords in a quarter of a round corner
_ARM = 6.0  # times the square of half the width of an arm: sharp corners have less
# Half widths of an arm from what insetting leaves to the tip of a corner: it has that square 2.6
# times at this distance, and 6 times only at 7.5 (a corner of the angle 2 a has it cot a + a - pi/2
# times, and its tip is 1 / sin a away).
_NEAR = 4.0
_SHORT = 1_000  # corners of a polygon that shapely simplifies, which calls itself for each split
_FINE = 0.002  # of the spacing: corners that can go
_MANY = 4  # questions about one line from which on preparing it pays


@dataclass(eq=False)
class Ring:
    """A closed line, and the rings one step further in that can be reached from it.

    Attributes
    ----------
    points : float array (n, 2)
        The corners, the last equal to the first.
    far : float array (n,)
        The length up to each corner.
    inside : Polygon or MultiPolygon
        The area that a step to a child may not leave.
    children : list of Ring
        Nearest first found, the one with most rings below it at the front.
    below : int
        How many rings the tree from here on has.
    depth : int
        How many insets lie between it and the edge.
    """

    points: FloatArray
    inside: Polygon | MultiPolygon
    far: FloatArray = field(init=False)
    line: Any = field(init=False)
    children: list[Ring] = field(default_factory=list)
    below: int = 1
    depth: int = 0

    def __post_init__(self) -> None:
        self.far = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(self.points, axis=0).T))))
        self.line = shapely.linestrings(self.points)

    @property
    def length(self) -> float:
        """Length of the ring in mm."""
        return float(self.far[-1])

    def at(self, place: float) -> FloatArray:
        """The point ``place`` mm along the ring."""
        place %= self.length
        k = min(int(np.searchsorted(self.far, place, side="right")) - 1, len(self.points) - 2)
        step = self.far[k + 1] - self.far[k]
        share = (place - self.far[k]) / step if step > 0 else 0.0
        return np.asarray(self.points[k] + share * (self.points[k + 1] - self.points[k]))

    def near(self, point: FloatArray) -> float:
        """How far along the ring its nearest point to ``point`` lies."""
        return float(shapely.line_locate_point(self.line, shapely.Point(point))) % self.length

    def along(self, places: FloatArray) -> FloatArray:
        """The points (..., 2) at several places in mm along the ring, round and round."""
        around = places % self.length
        x = np.interp(around, self.far, self.points[:, 0])
        y = np.interp(around, self.far, self.points[:, 1])
        return np.stack([x, y], axis=-1)

    def nearest(self, points: FloatArray) -> FloatArray:
        """How far along the ring its nearest point to each of several points lies."""
        places = shapely.line_locate_point(self.line, shapely.points(points))
        return np.asarray(places % self.length)

    def shares(self, begin: float, length: float, count: int) -> FloatArray:
        """Shares, from 0 to 1, of a stretch: ``count`` even steps, and the corners between them."""
        even = np.linspace(0.0, 1.0, count + 1)
        corners = ((self.far[:-1] - begin) * np.sign(length)) % self.length / abs(length)
        return np.union1d(even, corners[corners < 1.0])

    def stretch(self, begin: float, length: float) -> FloatArray:
        """The points (n, 2) from ``begin`` mm on over ``length`` mm, backwards when it is negative;
        at most once around.
        """
        if length < 0:
            return self.stretch(begin + length, -length)[::-1]
        begin %= self.length
        around = np.concatenate([self.far[:-1], self.far[:-1] + self.length])
        inner = np.flatnonzero((around > begin) & (around < begin + length)) % (
            len(self.points) - 1
        )
        return np.concatenate([[self.at(begin)], self.points[inner], [self.at(begin + length)]])


def nested(
    area: Polygon | MultiPolygon,
    spacing: float,
    most: int | None,
    *,
    thin: float = 0.0,
    across: float = 1.9,
) -> list[Ring]:
    """The outermost rings of all insets ``spacing`` mm apart, the others below them.

    ``most`` limits how deep; arms of inner insets no wider than ``thin`` mm are left out. Rings of
    one inset are neighbours up to ``across`` spacings.
    """
    _reachable(area, spacing, most)
    roots: list[Ring] = []
    levels = MOST_LEVELS if most is None else most
    done = 0.0
    with stage("laying rings into an area") as work:
        for part in shapely.get_parts(area):

            def told(left: float, before: float = done, whole: float = part.area) -> None:
                work.done(min((before + whole - left) / area.area, 1.0))

            roots += _linked(part, spacing, levels, thin / 2, across, told)
            done += part.area
    return roots


def _reachable(area: Polygon | MultiPolygon, spacing: float, most: int | None) -> None:
    """Refuse, before any work, rings that are deeper than any pen would draw."""
    if most is not None and most <= MOST_LEVELS:
        return
    if not shapely.buffer(area, -MOST_LEVELS * spacing, quad_segs=1).is_empty:
        raise InvalidValue(
            f"rings {spacing:g} mm apart would be more than {MOST_LEVELS:,} deep; use a wider "
            f"spacing",
            name="spacing",
            spacing=spacing,
        )


def _linked(
    part: Polygon,
    spacing: float,
    most: int,
    thin: float,
    across: float,
    told: Callable[[float], object],
) -> list[Ring]:
    """A forest that holds each ring of all insets of one polygon once; ``told`` hears what area is
    left within the innermost.
    """
    levels: list[list[tuple[Polygon, list[Ring], int]]] = [[(part, _rings(part), -1)]]
    while len(levels) < most:
        deeper: list[tuple[Polygon, list[Ring], int]] = []
        for above, (polygon, _, _) in enumerate(levels[-1]):
            smaller = shapely.buffer(polygon, -spacing, quad_segs=_QUARTER)
            simple = [_simple(piece, _FINE * spacing) for piece in shapely.get_parts(smaller)]
            pieces = [broad for piece in _polygons(simple) for broad in _broad(piece, thin)]
            deeper += [(piece, _rings(piece), above) for piece in pieces]
        if not deeper:
            break
        for _, rings, _ in deeper:
            for ring in rings:
                ring.depth = len(levels)
        levels.append(deeper)
        told(sum(polygon.area for polygon, _, _ in deeper))
    return _forest(levels, spacing, across * spacing)


def _simple(piece: Polygon, tolerance: float) -> Polygon:
    """A polygon with fewer corners, as far as it stays one."""
    if shapely.get_num_coordinates(piece) <= _SHORT:
        return shapely.simplify(piece, tolerance)
    rings = shapely.get_rings(piece)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    kept, offsets = simplify(points, offsets_of(np.bincount(ring)), tolerance)
    lines = [kept[offsets[k] : offsets[k + 1]] for k in range(len(rings))]
    lines = [line for line in lines if len(line) >= 4]
    simpler = Polygon(lines[0], lines[1:]) if lines else piece
    return simpler if simpler.is_valid and simpler.area > 0 else piece


def _rings(polygon: Polygon) -> list[Ring]:
    turned = shapely.geometry.polygon.orient(polygon)
    return [Ring(shapely.get_coordinates(ring), turned) for ring in shapely.get_rings(turned)]


def _polygons(thing: Any) -> list[Polygon]:
    return [
        piece
        for piece in shapely.get_parts(thing)
        if isinstance(piece, Polygon) and piece.area > 0 and piece.is_valid
    ]


def _broad(piece: Polygon, thin: float) -> list[Polygon]:
    """A polygon without long arms that vanish when it is inset by ``thin``; its corners stay."""
    if not thin:
        return [piece]
    eroded = shapely.buffer(piece, -thin, quad_segs=_QUARTER)
    if eroded.is_empty:
        return []
    if _is_broad(piece, eroded, thin):
        return [piece]
    opened = shapely.buffer(eroded, thin, quad_segs=_QUARTER)
    arms = [
        arm
        for arm in shapely.get_parts(shapely.difference(piece, opened))
        if arm.area > _ARM * thin * thin
    ]
    return _polygons(shapely.difference(piece, shapely.union_all(arms))) if arms else [piece]


def _is_broad(piece: Polygon, eroded: Any, thin: float) -> bool:
    """Whether a polygon surely has no long arms: most have none, and this is seen much sooner than
    by a difference of areas whose edges all but coincide.

    Without holes and in one piece nothing thin lies between two broad parts, so that all that is
    thin ends at a corner; and none of them is far from what is left by insetting.
    """
    if not isinstance(eroded, Polygon) or len(piece.interiors) or len(eroded.interiors):
        return False
    corners = shapely.points(shapely.get_coordinates(piece))
    shapely.prepare(eroded)
    return bool(shapely.dwithin(eroded, corners, _NEAR * thin).all())


def _forest(
    levels: list[list[tuple[Polygon, list[Ring], int]]], spacing: float, across: float
) -> list[Ring]:
    """Neighbouring rings as parents and children, begun at the outermost one."""
    links: dict[int, list[Ring]] = {}
    rings = [ring for level in levels for _, mine, _ in level for ring in mine]
    for above, level in pairwise(levels):
        for _, mine, parent in level:
            _link(links, above[parent][1], mine, 1.02 * spacing)
    for level in levels:  # across the middle, where rings of one inset come near to each other
        for _, mine, _ in level:
            if len(mine) > 1:
                for k, ring in enumerate(mine[:-1]):
                    _link(links, [ring], mine[k + 1 :], across)
    return _trees(rings, links)


def _link(links: dict[int, list[Ring]], above: list[Ring], below: list[Ring], reach: float) -> None:
    lower = np.array([ring.line for ring in below], dtype=object)
    for ring in above:
        if len(lower) > _MANY:
            shapely.prepare(ring.line)
        for k in np.flatnonzero(shapely.dwithin(ring.line, lower, reach)):
            links.setdefault(id(ring), []).append(below[k])
            links.setdefault(id(below[k]), []).append(ring)


def _trees(rings: list[Ring], links: dict[int, list[Ring]]) -> list[Ring]:
    """Spanning trees, breadth first; children with most below them in front."""
    seen: set[int] = set()
    roots = []
    order = []
    for root in rings:
        if id(root) in seen:
            continue
        seen.add(id(root))
        roots.append(root)
        row = [root]
        while row:
            order += row
            fresh = []
            for ring in row:
                for other in links.get(id(ring), []):
                    if id(other) not in seen:
                        seen.add(id(other))
                        ring.children.append(other)
                        fresh.append(other)
            row = fresh
    for ring in reversed(order):
        ring.below = 1 + sum(child.below for child in ring.children)
        ring.children.sort(key=lambda child: -child.below)
    return roots
