"""Ways around closed areas, against the plain visibility graph of all corners."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest
import shapely
from scipy.sparse.csgraph import dijkstra

from plotlib.errors import OutsideEnvelope
from plotlib.machine import Axis, KeepOut, Machine, ServoLift
from plotlib.planning.moving.legs import WAY_POINT, Legs, travel
from plotlib.planning.placing.detour import around
from tests.outside import LIBRARY, Within, published

BED = (200, 150)


def bench(areas: list[Any], *, decimals: int = 3) -> Machine:
    return Machine(
        width=BED[0],
        height=BED[1],
        x=Axis(10_000),
        y=Axis(4_000),
        lift=ServoLift("M5", "M3 S90"),
        feed=3_000,
        decimals=decimals,
        keep_outs=[KeepOut(area, passable=False) for area in areas],
    )


def legs_between(machine: Machine, begin: Any, end: Any) -> Legs:
    begin, end = (np.atleast_2d(machine.to_units(place)) for place in (begin, end))
    return Legs(begin, end, np.arange(len(begin)))


def shortest(area: Any, begin: Any, end: Any) -> float:
    """The length in mm of the shortest way over all corners that see each other, by the book."""
    corners = shapely.get_coordinates(area)
    on_bed = ((corners >= 0) & (corners <= BED)).all(axis=1)
    nodes = np.vstack([begin, end, np.unique(corners[on_bed], axis=0)])
    pairs = np.array(list(itertools.combinations(range(len(nodes)), 2)))
    lines = shapely.linestrings(nodes[pairs])
    free = ~shapely.relate_pattern(lines, area, "T********")
    graph = np.zeros((len(nodes), len(nodes)))
    graph[tuple(pairs[free].T)] = np.maximum(shapely.length(lines[free]), 1e-12)
    return float(dijkstra(graph, directed=False, indices=0)[1])


def scene(rng: np.random.Generator) -> list[Any]:
    """Discs, bars, combs with bays, some of them upon each other or over the bed's edge."""
    areas = []
    for _ in range(rng.integers(1, 6)):
        x, y = rng.uniform((10, 10), (190, 140))
        size = rng.uniform(3, 25)
        kind = rng.integers(3)
        if kind == 0:
            areas.append(shapely.Point(x, y).buffer(size, quad_segs=int(rng.integers(1, 6))))
        elif kind == 1:
            bar = shapely.box(x - size, y - size / 3, x + size, y + size / 3)
            areas.append(shapely.affinity.rotate(bar, float(rng.uniform(0, 180))))
        else:
            teeth = [shapely.box(x + k * 6, y, x + k * 6 + 2, y + size) for k in range(4)]
            areas.append(shapely.union_all([shapely.box(x, y, x + 20, y + 2), *teeth]))
    return areas


@published(
    module="planning",
    source="Dijkstra's ways over all corners that see each other",
    kind=LIBRARY,
    against="scipy",
    abs=1e-9,
    claim="ways around keep-outs are the shortest, but for whole units at the corners",
)
@pytest.mark.parametrize("seed", range(60))
def test_ways_are_the_shortest_and_enter_nothing(seed: int, within: Within) -> None:
    rng = np.random.default_rng(seed)
    decimals = int(rng.choice([1, 2, 3]))
    areas = [area for area in scene(rng) if not area.intersects(shapely.Point(0, 0))]  # home
    area = shapely.union_all(areas)
    machine = bench(areas, decimals=decimals)
    places = np.round(rng.uniform((0, 0), BED, (40, 2)), decimals)
    places = places[~shapely.intersects_xy(area, places)][:12]
    for begin, end in itertools.pairwise(places):
        legs = legs_between(machine, begin, end)
        try:
            way = around(legs, machine)
        except OutsideEnvelope:
            assert np.isinf(shortest(area, begin, end))
            continue
        moves = machine.to_mm(np.stack([way.begin, way.end], axis=1))
        lines = shapely.linestrings(moves[(moves[:, 0] != moves[:, 1]).any(axis=1)])
        assert not shapely.relate_pattern(lines, area, "T********").any()
        assert (moves >= 0).all()
        assert (moves <= BED).all()
        assert (way.begin[1:] == way.end[:-1]).all()
        assert (way.begin[0] == legs.begin[0]).all()
        assert (way.end[-1] == legs.end[0]).all()
        assert way.stroke.tolist() == [WAY_POINT] * (len(way.stroke) - 1) + [0]
        best = shortest(area, begin, end)
        slack = 3 * machine.unit * len(way.stroke)
        assert within.abs is not None
        assert best - within.abs <= travel(way) * machine.unit <= best + slack


def test_a_hull_of_many_corners_is_passed_within_a_hair() -> None:
    radius = 30.0
    disc = shapely.Point(100, 75).buffer(radius, quad_segs=500)
    machine = bench([disc])
    way = around(legs_between(machine, (20, 75), (180, 75)), machine)
    tangent = np.sqrt(80**2 - radius**2)
    arc = radius * (np.pi - 2 * np.arccos(radius / 80))
    longest = 2 * tangent + arc * np.tan(np.pi / 64) / (np.pi / 64)  # 64 sides around the arc
    assert 2 * tangent + arc - 1e-3 <= travel(way) * machine.unit <= longest + 0.01


@pytest.mark.parametrize("decimals", [0, 1, 3])
@pytest.mark.parametrize("gap", [0, 1, 2])
def test_a_way_as_narrow_as_the_grid_is_found(decimals: int, gap: int) -> None:
    """Two walls that leave whole units, or touch the same line from both sides."""
    wide = gap * 10.0**-decimals
    walls = [shapely.box(50, -5, 60, 80), shapely.box(50 + 0, 80 + wide, 60, 155)]
    if gap == 0:
        walls[1] = shapely.box(60, 80, 70, 155)  # they touch in one corner
    machine = bench(walls, decimals=decimals)
    way = around(legs_between(machine, (10, 20), (150, 120)), machine)
    assert (way.stroke == WAY_POINT).any()


def test_a_slanting_slit_on_a_coarse_grid_is_found() -> None:
    """Slits of 2.5 mm through a wall, on a grid of whole millimetres."""
    wall = shapely.box(50, -5, 60, 155)
    for turn in (0.0, 7.0, 20.0):
        slit = shapely.affinity.rotate(shapely.box(30, 80.3, 80, 82.8), turn, origin=(55, 81))
        machine = bench([wall.difference(slit)], decimals=0)
        way = around(legs_between(machine, (10, 20), (150, 120)), machine)
        moves = shapely.linestrings(machine.to_mm(np.stack([way.begin, way.end], axis=1)))
        assert not shapely.relate_pattern(moves, wall.difference(slit), "T********").any()


def test_places_in_a_bay_of_many_corners_are_reached() -> None:
    bay = shapely.Point(100, 75).buffer(40, quad_segs=100)
    bay = bay.difference(shapely.box(95, 60, 105, 200))
    machine = bench([bay])
    way = around(legs_between(machine, (100, 65), (100, 10)), machine)
    best = shortest(bay.simplify(0), (100, 65), (100, 10))
    assert travel(way) * machine.unit == pytest.approx(best, abs=0.02)


def test_walled_places_are_refused_at_once() -> None:
    ring = shapely.Point(100, 75).buffer(30).difference(shapely.Point(100, 75).buffer(20))
    machine = bench([ring])
    with pytest.raises(OutsideEnvelope, match=r"no pen-up way to \(100, 75\)"):
        around(legs_between(machine, (10, 10), (100, 75)), machine)
    inside = around(legs_between(machine, (90, 70), (105, 80)), machine)
    assert len(inside.stroke) == 1


def test_many_round_keep_outs_are_passed() -> None:
    """49 of them took no end of time when every corner was seen from every other."""
    middles = itertools.product(np.linspace(15, 185, 7), np.linspace(12, 138, 7))
    areas = [shapely.Point(middle).buffer(7) for middle in middles]
    machine = bench(areas)
    rng = np.random.default_rng(3)
    places = rng.uniform((0, 0), BED, (200, 2))
    places = places[~shapely.intersects_xy(shapely.union_all(areas).buffer(0.1), places)]
    way = around(legs_between(machine, places[:-1], places[1:]), machine)
    lines = shapely.linestrings(machine.to_mm(np.stack([way.begin, way.end], axis=1)))
    assert not shapely.relate_pattern(lines, shapely.union_all(areas), "T********").any()
    assert (way.stroke == WAY_POINT).sum() > 200


def test_corners_that_fall_together_on_the_grid_are_passed_once() -> None:
    """Two corners a tenth of a unit apart, at one grid point each."""
    corners = [(60, 60), (100, 95.95), (100, 96.05), (60, 132), (20, 96.05), (20, 95.95)]
    machine = bench([shapely.Polygon(corners)], decimals=0)
    way = around(legs_between(machine, (60, 40), (60, 145)), machine)
    assert (way.stroke == WAY_POINT).any()
    assert (way.begin != way.end).any(axis=1).all()
