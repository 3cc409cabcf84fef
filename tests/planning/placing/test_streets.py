"""Corners and lines that ways around closed areas are made of, by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from plotlib.machine import Axis, KeepOut, Machine, ServoLift
from plotlib.planning.placing import streets
from plotlib.planning.placing.streets import Corners, Lines, Streets


def bench(*areas: Any, decimals: int = 0) -> Machine:
    return Machine(
        width=200,
        height=100,
        x=Axis(10_000),
        y=Axis(4_000),
        lift=ServoLift("M5", "M3 S90"),
        feed=3_000,
        decimals=decimals,
        keep_outs=[KeepOut(area, passable=False) for area in areas],
    )


def test_moves_that_enter_an_area() -> None:
    """Edges may be touched, and what does not move enters nothing."""
    area = shapely.union_all([shapely.box(50, 20, 60, 80), shapely.box(100, 20, 110, 80)])
    made = Streets(area, bench())
    begin = np.array([(10, 50), (55, 50), (10, 20), (10, 10), (50, 0), (52, 30)])
    end = np.array([(150, 50), (55, 50), (190, 20), (90, 90), (50, 99), (70, 30)])
    line, part = made.entries(begin, end)
    left = next(k for k, one in enumerate(made.parts) if one.bounds[0] == 50)
    assert sorted(zip(line.tolist(), (part != left).tolist(), strict=True)) == [
        (0, False), (0, True), (3, False), (5, False),
    ]  # fmt: skip


@pytest.mark.parametrize("radius", [10.0, 50.0])
def test_a_hull_of_many_corners_becomes_one_of_few(radius: float) -> None:
    """Larger by r / 800, which is r (1 / cos(180 / 64 degrees) - 1) = 0.0012 r at the corners."""
    disc = shapely.Point(100, 50).buffer(radius, quad_segs=200)
    outer = streets._outer(disc)
    corners = shapely.get_coordinates(outer)[:-1]
    assert len(corners) == 64
    assert outer.buffer(1e-9).covers(disc)
    apart = np.hypot(*(corners - (100, 50)).T) - radius
    assert apart.max() <= 0.0013 * radius
    assert apart.min() >= 0.0011 * radius
    few = shapely.Point(100, 50).buffer(radius, quad_segs=5)
    assert streets._outer(few).equals(few)
    bay = shapely.box(0, 0, 9, 9).difference(shapely.box(4, 4, 5, 9))
    assert streets._outer(bay).equals(shapely.box(0, 0, 9, 9))


def test_sides_that_meet_in_one_corner_are_one() -> None:
    """A box with rounded corners: most of its 64 sides touch only one of them."""
    flat = shapely.box(20, 20, 90, 40).buffer(1e-7, quad_segs=30)
    outer = streets._outer(flat)
    assert outer.is_valid
    assert outer.covers(shapely.box(20, 20, 90, 40))
    assert outer.area == pytest.approx(1_400, rel=1e-3)


def test_the_cell_around_a_corner() -> None:
    around = streets._around(np.array([(2.25, 3.5), (4.0, 5.0), (6.5, 7.0)]))
    assert around[0].tolist() == [[2, 3], [3, 3], [2, 4], [3, 4]]
    assert around[1].tolist() == [[4, 5]] * 4
    assert around[2].tolist() == [[6, 7], [7, 7], [6, 7], [7, 7]]


def beside(polygon: Any, scale: float = 1.0, *, every: bool = False) -> list[tuple[int, int]]:
    place, before, after = streets._beside(
        shapely.geometry.polygon.orient(polygon), scale, every=every
    )
    assert len(place) == len(before) == len(after)
    return [tuple(corner) for corner in place.tolist()]


def test_grid_points_stand_outside_the_corners() -> None:
    """Corners on the grid stand for themselves, others for the nearest point outside both edges."""
    assert sorted(beside(shapely.box(2, 3, 7, 8))) == [(2, 3), (2, 8), (7, 3), (7, 8)]
    assert sorted(beside(shapely.box(2, 3, 7, 8), 10.0)) == [(20, 30), (20, 80), (70, 30), (70, 80)]
    assert sorted(beside(shapely.box(2.25, 3.75, 7.5, 8.1))) == [(2, 3), (2, 9), (8, 3), (8, 9)]
    hair = shapely.box(2 + 1e-8, 3, 7, 8 - 1e-8)
    assert sorted(beside(hair)) == [(2, 3), (2, 8), (7, 3), (7, 8)]


def test_corners_of_bays_are_passed_by_no_shortest_way() -> None:
    bay = shapely.box(0, 0, 9, 9).difference(shapely.box(3, 4, 6, 9))
    places = beside(bay)
    assert (3, 4) not in places
    assert (6, 4) not in places
    assert {(3, 9), (6, 9), (0, 0), (9, 0), (0, 9), (9, 9)} == set(places)
    assert {(3, 4), (6, 4)} < set(beside(bay, every=True))
    assert len(beside(bay, every=True)) == len(set(beside(bay, every=True))) == 8
    ring = shapely.box(0, 0, 9, 9).difference(shapely.box(3, 3, 6, 6))
    assert set(beside(ring)) == {(0, 0), (9, 0), (0, 9), (9, 9)}


def test_a_sharp_corner_without_a_point_outside_both_edges_keeps_its_whole_cell() -> None:
    """Its edges leave to the left, one up and one down by little: every point to the right of it
    is outside, the nearest of them stands for it.
    """
    needle = shapely.Polygon([(0, 0), (8.5, 0.45), (0, 0.9)])
    assert (9, 0) in beside(needle)
    corner = np.array([(0.5, 0.5)])
    around = streets._around(corner)
    # Edges from the lower left to the corner and on straight up: outside is right and below.
    best = streets._best(around, corner, np.array([(0.0, 0.0)]), np.array([(0.5, 9.0)]))
    assert around[best].tolist() == [[1, 0]]
    # Edges that turn by nearly half a turn about a corner leave nothing: all four are kept.
    best = streets._best(around, corner, np.array([(-9.0, 0.5)]), np.array([(-9.0, 0.4)]))
    assert best.sum() == 4


def test_a_line_passes_a_corner_by_where_both_neighbours_lie_on_one_side() -> None:
    """The corner (0, 0) with neighbours to the left and below; three units of turning are left."""
    corners = Corners(np.array([(0, 0)]), np.array([(-100.0, 0.0)]), np.array([(0.0, -100.0)]), 0)
    places = np.array([(50, 50), (-50, 50), (50, -50), (0, 90), (90, 0), (-50, -50), (-900, 20)])
    passing = streets._passes_by(corners, places)
    assert passing[0].tolist() == [False, True, True, True, True, False, True]
    # Seen from beyond, a line that cuts by 2 units at 100 of an edge counts as passing, by 5 not.
    slanting = np.array([(1_000, 20), (1_000, 50)])
    assert streets._passes_by(corners, slanting)[0].tolist() == [True, False]


def test_the_shortest_path_and_what_it_enters() -> None:
    """End -1 is tied to corners 0 and 1, these to end -2; the short line 0 to -2 enters area 7."""
    lines = Lines(
        np.array([(-1, 0), (-1, 1), (0, -2), (1, -2), (-1, -2)]),
        np.array([1.0, 2.0, 1.0, 2.0, 0.5]),
        np.array([2, 4]),
        np.array([7, 3]),
    )
    found = streets._shortest([lines], [3], 2)
    assert found is not None
    assert found[0].tolist() == [0]
    assert found[1] == [7]
    found = streets._shortest([lines], [3, 7], 2)
    assert found is not None
    assert (found[0].tolist(), found[1]) == ([1], [])
    closed = lines._replace(entering=np.arange(5), entered=np.full(5, 3))
    assert streets._shortest([closed], [3], 2) is None
    twice = streets._together([lines, lines])
    assert twice.entering.tolist() == [2, 4, 7, 9]
    assert len(twice.length) == 10


def test_places_that_repeat_are_passed_once() -> None:
    places = np.array([(1, 1), (1, 1), (2, 1), (2, 1), (1, 1)])
    assert streets._without_repeats(places).tolist() == [[1, 1], [2, 1], [1, 1]]


def test_a_way_around_a_box() -> None:
    """From (10, 50) to (190, 50), past the lower corners of a box that stands nearer to them."""
    made = Streets(shapely.box(90, 30, 110, 90), bench())
    way = made.way(np.array([10, 50]), np.array([190, 50]))
    assert way is not None
    assert way.tolist() == [[90, 30], [110, 30]]
    assert made._is_entangled.tolist() == [False]
    crossed = Streets(
        shapely.MultiPolygon([shapely.box(0, 0, 9, 9).difference(shapely.box(3, 3, 6, 9)),
                              shapely.box(4, 4, 5, 8)]),
        bench(),
    )  # fmt: skip
    assert crossed._is_entangled.tolist() == [True, False]


def test_corners_off_the_bed_or_in_another_area_are_none() -> None:
    made = Streets(
        shapely.MultiPolygon([shapely.box(-5, 40, 20, 60), shapely.box(150, 50, 160, 100)]), bench()
    )
    names = {tuple(one.bounds): k for k, one in enumerate(made.parts)}
    left = made.corners((names[-5.0, 40.0, 20.0, 60.0], True)).place
    assert {tuple(place) for place in left.tolist()} == {(20, 40), (20, 60)}
    right = made.corners((names[150.0, 50.0, 160.0, 100.0], True))
    assert len(right.place) == 4
    assert right.first == 2
    assert made.count == 6
