"""Aggregates: contacts, the grids that jumps rely on, the way back from outside, and the area."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely import Point, box

from plotlib import Drawing, growth
from plotlib.errors import InvalidValue
from plotlib.growth import walkers_kernel as kernel
from plotlib.growth.aggregate import _set_up
from plotlib.growth.room import middles, room

DISH = Point(0, 0).buffer(18).difference(Point(7, 3).buffer(4)).difference(box(-20, 8, -4, 8.4))


def grown(count: int, seed: int = 1) -> kernel.Cluster:
    place = room(Point(0, 0).buffer(90), 1.0, "spacing", 1.0, cells=1.0)
    random = np.random.default_rng(seed)
    cluster, ground, _ = _set_up(np.zeros((1, 2)), place, 1.0, count, random)
    kernel.walk(cluster, ground, count, 10**9, 1)
    return cluster


def test_each_particle_touches_its_parent_and_overlaps_none() -> None:
    cluster = grown(1_500)
    at, parent = cluster.at[:1_500], cluster.parent[:1_500]
    assert (parent[1:] < np.arange(1, 1_500)).all()
    assert np.hypot(*(at[1:] - at[parent[1:]]).T) == pytest.approx(1.0, abs=1e-9)
    apart = np.hypot(*(at[:, None] - at).T)
    assert apart[~np.eye(1_500, dtype=bool)].min() > 1 - 2 * kernel.TOUCH
    assert cluster.radius[0] == pytest.approx(np.hypot(*at.T).max())


def test_no_jump_reaches_a_particle() -> None:
    """What the grids and lists tell against the distances to all particles."""
    cluster = grown(800)
    random = np.random.default_rng(3)
    jumps = []
    for x, y in random.uniform(-60, 60, (600, 2)):
        far = np.hypot(cluster.at[:800, 0] - x, cluster.at[:800, 1] - y)
        jump = kernel.free_jump(cluster, x, y)
        assert jump <= far.min() - 1 or jump == 0
        jumps.append(jump)
        if jump == 0:
            k = kernel.nearest(cluster, x, y)
            assert k == (far.argmin() if far.min() < 2 else -1)
    assert max(jumps) >= 15
    assert min(jumps) == 0


def test_cells_left_of_and_below_the_first_are_no_cells() -> None:
    """Their numbers are below 0, which Python and the compiler count from the other end: a walker
    there would be taken for one inside, and put where no walk ends.
    """
    place = room(box(0, 0, 6, 6), 1.0, "spacing", 1.0, cells=1.0)
    start = middles(place)[:1]
    cluster, ground, middle = _set_up(start, place, 1.0, 20, np.random.default_rng(1))
    anywhere = kernel.Ground(np.ones_like(ground.is_in), ground.origin)
    for far_x, far_y in ((-3.0, 0.0), (0.0, -3.0), (-3.0, -3.0)):
        lost = int(cluster.counts[1])
        corner = ground.origin[:2] + np.full(2, 0.5)
        cluster.at[0] = corner + np.sign((far_x, far_y)) * 0.1
        kernel.stick(cluster, anywhere, *(cluster.at[0] + (far_x, far_y)), 0)
        assert cluster.counts.tolist() == [1, lost + 1]
    for x, y in cluster.corner - np.array([[0.5, 0.5], [30.0, 2.0], [1.0, 900.0]]):
        far = float(np.hypot(*(cluster.at[0] - (x, y))))
        assert kernel.nearest(cluster, x, y) == -1
        assert 0 <= kernel.free_jump(cluster, x, y) <= far - 1
    corner_first = Drawing([start])
    grown_there = growth.aggregate(box(0, 0, 6, 6), spacing=1, count=60, first=corner_first)
    assert shapely.covers(box(0, 0, 6, 6), grown_there.to_shapely()).all()
    assert np.isfinite(middle).all()


def test_the_way_back_from_outside_is_that_of_a_random_walk() -> None:
    """Against a walk from circle to circle, which jumps until it is within a hair of the target or
    far out: the mean cosine of the angle is radius / distance, since the harmonic function x / r²
    is kept by the walk.
    """
    state = np.array([5], np.uint64)
    for far in (1.5, 4.0):
        back = np.array([kernel.returned(state, far * 10, 0.0, 10.0) for _ in range(20_000)])
        assert np.hypot(*back.T) == pytest.approx(10.0)
        assert back[:, 0].mean() / 10 == pytest.approx(1 / far, abs=0.02)
        assert back[:, 1].mean() / 10 == pytest.approx(0, abs=0.02)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 2**32), st.floats(0.4, 3), st.booleans())
@example(1544783057, 2.9999999999999996, True)  # a walker stood 2e-16 off the outermost circle
def test_branches_stay_in_the_area(seed: int, spacing: float, line: bool) -> None:
    first = Drawing([[(-9, -10), (0, -12), (9, -10)]]) if line else None
    tree = growth.aggregate(DISH, spacing=spacing, count=600, first=first, seed=seed)
    assert shapely.covers(DISH, tree.to_shapely()).all()
    steps = [np.hypot(*np.diff(stroke, axis=0).T) for stroke in tree]
    assert np.concatenate(steps) == pytest.approx(spacing)
    if not line:
        assert tree.length <= 600 * spacing * (1 + 1e-9)
        ink = shapely.union_all(shapely.buffer(tree.to_shapely(), 0.01 * spacing))
        assert ink.geom_type == "Polygon"


def test_rooms_keep_half_a_step_from_the_edge() -> None:
    for area in (DISH, shapely.union_all([Point(0, 0).buffer(5), Point(30, 9).buffer(3)])):
        place = room(area, 1.0, "spacing", 1.0)
        points = middles(place)
        assert len(points) > 0.5 * area.buffer(-0.5).area / place.origin[2] ** 2
        half = place.origin[2] / 2
        signs = np.array([(-1, -1), (-1, 1), (1, -1), (1, 1)])
        corners = (points[:, None] + half * signs).reshape(-1, 2)
        assert shapely.covers(area, shapely.points(corners)).all()
        assert shapely.distance(area.boundary, shapely.points(corners)).min() >= 0.5
        assert place.holds(points).all()


def test_same_seed_same_bytes_full_areas_and_nothing() -> None:
    one, same, other = (
        growth.aggregate(DISH, spacing=1, count=200, seed=k).points for k in (4, 4, 5)
    )
    assert one.tobytes() == same.tobytes()
    assert one.tobytes() != other.tobytes()
    full = growth.aggregate(box(0, 0, 12, 12), spacing=1, count=100_000)
    assert full.length < 144
    for empty in (shapely.Polygon(), box(0, 0, 9, 0.2)):
        assert len(growth.aggregate(empty, spacing=1)) == 0
    assert len(growth.aggregate(DISH, spacing=1, first=Drawing())) == 0


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"spacing": 0}, "spacing"),
        ({"spacing": 1e-4}, "larger one"),
        ({"count": 0}, "count"),
        ({"count": 10**8}, "count"),
        ({"first": Drawing([[(90, 0), (99, 0)]])}, "nothing of first"),
        ({"first": 3}, "Drawing"),
    ],
)
def test_refusals(options: dict[str, object], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        growth.aggregate(DISH, **{"spacing": 1, **options})
