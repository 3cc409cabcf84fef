"""Detours: pen-up moves led around the areas that the carriage may not pass over."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.errors import OutsideEnvelope
from plotlib.machine import Machine
from plotlib.planning.legs import WAY_POINT, Legs

_MANY_CORNERS = 300  # beyond, the way leads around the convex hull of each part


def around(legs: Legs, machine: Machine) -> Legs:
    """The same legs, those that pass over a no-travel keep-out replaced by the shortest way along
    its corners.

    Raises
    ------
    OutsideEnvelope
        If there is no way that stays on the bed.
    """
    closed = [item.area for item in machine.keep_outs if not item.travel]
    if not closed:
        return legs
    area = shapely.union_all(closed)
    crossing = np.flatnonzero(_passes(legs.begin, legs.end, area, machine))
    if not len(crossing):
        return legs
    streets = _Streets(area, machine)
    ways = {int(leg): streets.way(legs.begin[leg], legs.end[leg]) for leg in crossing}
    return _replaced(legs, ways)


def _passes(begin: IntArray, end: IntArray, area: Any, machine: Machine) -> BoolArray:
    """Which straight moves enter the inside of ``area``; its edge may be touched."""
    lines = shapely.linestrings(machine.to_mm(np.stack([begin, end], axis=1)))
    moves = (begin != end).any(axis=1)
    shapely.prepare(area)
    near = shapely.intersects(area, lines) & moves
    result = np.zeros(len(lines), np.bool_)
    result[near] = shapely.relate_pattern(lines[near], area, "T********")
    return result


class _Streets:
    """Corners around the areas, and which of them see each other."""

    def __init__(self, area: Any, machine: Machine) -> None:
        self.area = area
        self.machine = machine
        if shapely.get_num_coordinates(area) > _MANY_CORNERS:
            area = shapely.union_all(shapely.convex_hull(shapely.get_parts(area)))
        ring = shapely.buffer(area, 2 * machine.unit, join_style="mitre")
        corners = np.unique(machine.to_units(shapely.get_coordinates(ring)), axis=0)
        high = machine.to_units([machine.width, machine.height])
        corners = np.clip(corners, 0, high)
        free = ~shapely.contains_properly(self.area, shapely.points(machine.to_mm(corners)))
        self.corners = np.unique(corners[free], axis=0)
        self.seen = self._lengths(self.corners, self.corners)

    def _lengths(self, starts: IntArray, ends: IntArray) -> FloatArray:
        """Distance (S, E) between points that see each other, 0 elsewhere."""
        a, b = (
            grid.ravel()
            for grid in np.meshgrid(np.arange(len(starts)), np.arange(len(ends)), indexing="ij")
        )
        lengths = np.hypot(*(starts[a] - ends[b]).T.astype(np.float64))
        lengths[_passes(starts[a], ends[b], self.area, self.machine)] = 0.0
        return np.asarray(lengths.reshape(len(starts), len(ends)))

    def way(self, begin: IntArray, end: IntArray) -> IntArray:
        """The corners (K, 2) of the shortest way from ``begin`` to ``end``."""
        from scipy.sparse import csr_array
        from scipy.sparse.csgraph import dijkstra

        count = len(self.corners)
        graph = np.zeros((count + 2, count + 2))
        graph[:count, :count] = self.seen
        graph[count, :count], graph[:count, count + 1] = self._lengths(
            np.stack([begin, end]), self.corners
        )
        shortest: Any = dijkstra(csr_array(graph), indices=count, return_predecessors=True)  # type: ignore[call-overload]
        before = shortest[1]
        trail = []
        at = int(before[count + 1])
        while at >= 0 and at != count:
            trail.append(at)
            at = int(before[at])
        if at != count:
            x, y = self.machine.to_mm(end)
            raise OutsideEnvelope(
                f"there is no pen-up way to ({x:g}, {y:g}) that stays on the bed and off the "
                f"keep-outs with travel=False; "
                "make the keep-outs smaller, or move the drawing",
                stroke=-1,
                side="keep-out",
                excess=0.0,
                count=1,
            )
        return self.corners[trail[::-1]]


def _replaced(legs: Legs, ways: dict[int, IntArray]) -> Legs:
    begins = []
    ends = []
    strokes = []
    for leg in range(len(legs.stroke)):
        stops = [legs.begin[leg], *ways.get(leg, ()), legs.end[leg]]
        for start, stop in pairwise(stops):
            begins.append(start)
            ends.append(stop)
            strokes.append(WAY_POINT)
        strokes[-1] = int(legs.stroke[leg])
    return Legs(np.stack(begins), np.stack(ends), np.array(strokes, np.int64))
