"""Space colonisation: what `veins` and `branches` share."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.checks import FloatArray, IntArray
from plotlib.errors import InvalidValue
from plotlib.fields import poisson_disk
from plotlib.growth.afford import Limit, affordable, squares
from plotlib.growth.room import CELLS, Room, cells_of, middles, room
from plotlib.progress import Stage

if TYPE_CHECKING:
    from plotlib.growth.colonisation_kernel import Ground, Plant, Rules, Sources

STEP = 0.3  # spacings: the length of an edge
KILL = 0.8  # spacings: a source that is nearer is reached
_REACH = 5.0  # spacings: how far a source pulls
_MOST = 400_000  # squares of the spacing in the area
_NEAR = 2_000  # nodes within the reach of a source that are looked at (closed)


class Grown(NamedTuple):
    """A forest of nodes, parents before children, and loops that close it."""

    at: FloatArray  # (n, 2)
    parent: IntArray  # (n,), -1 for roots
    loops: IntArray  # (l, 2) nodes that a further edge links


def beds(
    area: Polygon | MultiPolygon, spacing: float, roots: ArrayLike | None, *, closed: bool
) -> list[Bed]:
    """A bed for each part of an area, with the roots in it, or with its own lowest place as one."""
    limits = [Limit(squares(area.area), _MOST, "squares of it")]
    if not area.is_empty:
        limits.append(cells_of(area.bounds, _way(1.0, closed) / CELLS))
    affordable("spacing", spacing, *limits)
    parts = shapely.get_parts(area)
    if roots is None:
        return [Bed(part, spacing, None, closed) for part in parts]
    points = checks.points("roots", roots, least=0)
    if not len(points) or not len(parts):
        return []
    places: Any = shapely.points(points)
    owner = shapely.distance(parts[:, None], places[None, :]).argmin(axis=0)
    found = [Bed(part, spacing, points[owner == k], closed) for k, part in enumerate(parts)]
    for bed in found:
        if not len(bed.roots) and bed.room.is_in.any():
            x, y = middles(bed.room)[0]
            raise InvalidValue(
                f"no root is in the part of the area round ({x:.4g}, {y:.4g}); add one there, or "
                f"leave that part out of region",
                name="roots",
                place=(float(x), float(y)),
            )
    return found


def _way(spacing: float, closed: bool) -> float:
    """The longest edge."""
    return KILL * spacing if closed else STEP * spacing


class Bed:
    """A part of an area with its roots, in which generation after generation of sources is
    colonised.
    """

    def __init__(
        self, area: Polygon | MultiPolygon, spacing: float, roots: ArrayLike | None, closed: bool
    ) -> None:
        self.area = area
        self.spacing = spacing
        self.closed = closed
        self.step = STEP * spacing
        self.room = room(area, _way(spacing, closed), "spacing", spacing)
        self.roots = self._roots(roots)
        self.grown = Grown(
            self.roots, np.full(len(self.roots), -1, np.int64), np.empty((0, 2), np.int64)
        )

    def _roots(self, given: ArrayLike | None) -> FloatArray:
        places = middles(self.room)
        if given is None:
            return places[:1]  # the lowest, and of these the first from the left
        points = checks.points("roots", given, least=0)
        inside = self.room.holds(points)
        if not inside.all() and len(places):
            x, y = points[np.argmin(inside)]
            raise InvalidValue(
                f"the root ({x:g}, {y:g}) is outside the area or too near its edge; keep roots "
                f"{self.room.origin[2] * 2:.2g} mm inside",
                name="roots",
            )
        chosen: FloatArray = points[inside]
        return chosen

    def colonise(
        self, sources: FloatArray, spacing: float, work: Stage, part: tuple[float, float]
    ) -> None:
        """Let what has grown so far grow towards new sources at a spacing, and tell the progress
        between both shares of ``part``.
        """
        if not len(sources) or not len(self.roots):
            return
        plant, source, rules, ground = self._set_up(sources, spacing)
        self._trunk(plant, source, rules, ground)
        self._rounds(plant, source, rules, ground, work, part)
        count, links = (int(number) for number in plant.counts)
        linked = plant.links[:links, 0]
        ends = plant.links[:links, 1]
        at = [plant.at[:count]]
        parent = [plant.parent[:count]]
        used, number = np.unique(ends, return_index=True)
        at.append(sources[used])
        parent.append(linked[number])
        others = np.ones(links, np.bool_)
        others[number] = False
        places = count + np.searchsorted(used, ends)
        loops = np.column_stack([linked[others], places[others]])
        self.grown = Grown(
            np.concatenate(at), np.concatenate(parent), np.concatenate([self.grown.loops, loops])
        )

    def _set_up(self, at: FloatArray, spacing: float) -> tuple[Plant, Sources, Rules, Ground]:
        """Arrays for the kernel, with room for the nodes to come."""
        from plotlib.growth.colonisation_kernel import Ground, Plant, Rules, Sources, add_node

        left, bottom, right, top = self.area.bounds
        reach = min(_REACH * spacing, max(right - left, top - bottom))
        columns = int((right - left) / reach) + 2
        rows = int((top - bottom) / reach) + 2
        rules = Rules(
            self.step, reach, KILL * spacing, left, bottom, rows, columns, is_closed=self.closed
        )
        column = ((at[:, 0] - left) / reach).astype(np.int64)
        cell = ((at[:, 1] - bottom) / reach).astype(np.int64) * columns + column
        order = np.argsort(cell, kind="stable")
        starts = np.searchsorted(cell[order], np.arange(rows * columns + 1))
        count = len(at)
        sources = Sources(
            at,
            np.zeros(count, np.bool_),
            np.full(count, -1),
            np.full(count, np.inf),
            starts,
            order,
        )
        old = len(self.grown.at)
        more = 3 * float(self.area.area) / (self.spacing * self.step) + 10 * count + 1_000
        capacity = old + int(more)
        plant = Plant(
            np.zeros((capacity, 2)),
            np.full(capacity, -1),
            np.full(capacity, -1),
            np.zeros((capacity, 2)),
            np.zeros(capacity, np.bool_),
            np.full(rows * columns, -1),
            np.full(capacity, -1),
            np.zeros((8 * count, 2), np.int64),
            np.zeros(2, np.int64),
        )
        for (x, y), parent in zip(self.grown.at.tolist(), self.grown.parent.tolist(), strict=True):
            add_node(plant, sources, rules, x, y, parent)
        return plant, sources, rules, Ground(*self.room)

    def _trunk(self, plant: Plant, sources: Sources, rules: Rules, ground: Ground) -> None:
        """Where no source pulls, grow straight towards the nearest one until one does."""
        from plotlib.growth.colonisation_kernel import add_node, has_room

        far = np.hypot(*(sources.at[:, None] - self.roots).T).T  # (sources, roots)
        nearest, root = np.unravel_index(int(np.argmin(far)), far.shape)
        way = sources.at[nearest] - self.roots[root]
        length = float(far[nearest, root])
        for k in range(1, int((length - 0.9 * rules.reach) / rules.step) + 1):
            if len(self.grown.at) > len(self.roots):
                return  # a later generation
            x, y = self.roots[root] + way * (k * rules.step / length)
            if not has_room(ground, x, y):
                return
            add_node(plant, sources, rules, x, y, int(plant.counts[0]) - 1 if k > 1 else int(root))

    def _rounds(
        self,
        plant: Plant,
        sources: Sources,
        rules: Rules,
        ground: Ground,
        work: Stage,
        part: tuple[float, float],
    ) -> None:
        from plotlib.growth.colonisation_kernel import grow_closed_round, grow_round

        near = np.zeros(_NEAR, np.int64)
        far = np.zeros(_NEAR)
        left, bottom, right, top = self.area.bounds
        rounds = 500 + int(4 * (right - left + top - bottom) / self.step)  # to and fro, and again
        for _ in range(rounds):
            if self.closed:
                changes = grow_closed_round(plant, sources, rules, ground, near, far)
            else:
                changes = grow_round(plant, sources, rules, ground)
            work.done(part[0] + (part[1] - part[0]) * float(sources.is_gone.mean()))
            if not changes:
                return


def scattered(
    area: Polygon | MultiPolygon, place: Room, spacing: float, random: np.random.Generator
) -> FloatArray:
    """Sources in the room, no two of them nearer than the spacing."""
    points: FloatArray = np.asarray(poisson_disk(area, spacing=spacing, seed=random))
    inside: FloatArray = points[place.holds(points)]
    return inside


def away(points: FloatArray, others: FloatArray, distance: float) -> FloatArray:
    """Those of the points that are farther than the distance from all others."""
    from scipy.spatial import cKDTree

    if not len(points) or not len(others):
        return points
    nearest, _ = cKDTree(others).query(points)
    return np.asarray(points[nearest > distance])


def loop_strokes(grown: Grown) -> ragged.Ragged:
    """The further edges as strokes."""
    pairs = grown.at[grown.loops].reshape(-1, 2)
    return pairs, 2 * np.arange(len(grown.loops) + 1)
