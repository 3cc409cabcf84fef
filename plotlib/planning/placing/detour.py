"""Detours: pen-up moves led around the areas that the carriage may not pass over."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from plotlib.checks import IntArray
from plotlib.errors import OutsideEnvelope
from plotlib.machine import Machine
from plotlib.planning.moving.legs import WAY_POINT, Legs
from plotlib.planning.placing.streets import Streets

_TIGHT = 2_000  # corners up to which ways too narrow for the quick search are looked for


def around(legs: Legs, machine: Machine) -> Legs:
    """The same legs, those that pass over a no-travel keep-out replaced by the shortest way along
    its corners.

    Raises
    ------
    OutsideEnvelope
        If there is no way that stays on the bed.
    """
    closed = [item.area for item in machine.keep_outs if not item.passable]
    if not closed:
        return legs
    area = shapely.union_all(closed)
    streets = Streets(area, machine)
    crossing = np.unique(streets.entries(legs.begin, legs.end)[0])
    if not len(crossing):
        return legs
    ways = {int(leg): _way(streets, area, legs.begin[leg], legs.end[leg]) for leg in crossing}
    return _replaced(legs, ways)


def _way(streets: Streets, area: Any, begin: IntArray, end: IntArray) -> IntArray:
    """The corners (K, 2) between ``begin`` and ``end``."""
    machine = streets.machine
    way = streets.way(begin, end)
    is_small = shapely.get_num_coordinates(area) <= _TIGHT
    if way is None and is_small and _are_connected(area, machine, begin, end):
        way = Streets(area, machine, tight=True).way(begin, end)
    if way is None:
        x, y = machine.to_mm(end)
        raise OutsideEnvelope(
            f"there is no pen-up way to ({x:g}, {y:g}) on the bed that goes over grid points of "
            f"{machine.decimals} decimals and off the keep-outs with passable=False; make the "
            f"keep-outs smaller, or draw nothing there",
            stroke=-1,
            side="keep-out",
            excess=0.0,
            count=1,
        )
    return way


def _are_connected(area: Any, machine: Machine, begin: IntArray, end: IntArray) -> bool:
    """Whether any way leads from place to place, be it as narrow as a line; ways through a single
    point do not count.
    """
    pieces = shapely.get_parts(shapely.difference(machine.bed, area))
    places = shapely.points(machine.to_mm(np.stack([begin, end])))
    near = shapely.dwithin(pieces[:, None], places, 2 * machine.unit)
    return bool(near.all(axis=1).any())


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
