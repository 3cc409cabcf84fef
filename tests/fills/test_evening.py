"""Passes evened out: as the slow oracles say, and never across each other or the edge."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from oracles_fills import looked_slowly, pushed_slowly
from shapely import Polygon, box

from plotlib.fills.evening import without_loops
from plotlib.fills.evening_kernel import Line, pushed
from plotlib.fills.evening_look import looked
from plotlib.fills.evening_mesh import ironed, remeshed


def walls_of(area: Polygon) -> np.ndarray:
    ring = shapely.get_coordinates(area.exterior)
    return np.column_stack([ring[:-1], ring[1:]])


def wavy(seed: int, passes: int = 3) -> np.ndarray:
    """A closed line that goes to and fro in a box of 10 by 2 for each pass, unevenly."""
    rng = np.random.default_rng(seed)
    x = np.linspace(1.0, 9.0, 17)
    rows = []
    for k in range(passes):
        row = np.column_stack([x, np.full(len(x), 1.0 + k)]) + rng.uniform(-0.2, 0.2, (17, 2))
        rows.append(row[:: 1 if k % 2 == 0 else -1])
    back = np.column_stack([np.full(2 * passes, 0.3), np.linspace(passes + 0.2, 0.4, 2 * passes)])
    head = np.column_stack([np.linspace(8.5, 0.6, 15), np.full(15, passes + 0.5)])
    return np.concatenate([*rows, head, back] if passes % 2 else [*rows, back])


def is_whole(points: np.ndarray, area: Polygon) -> bool:
    ring = shapely.linestrings(np.concatenate([points, points[:1]]))
    return bool(shapely.is_simple(ring) and shapely.covers(area, ring))


@pytest.mark.parametrize("seed", range(3))
def test_one_look_and_one_move_are_what_the_slow_oracles_say(seed: int) -> None:
    points = wavy(seed)
    area = box(0, 0, 10, 4)
    assert is_whole(points, area)
    walls = walls_of(shapely.segmentize(area, 1.0))
    sights = looked(points, walls, 1.0, np.ones(len(points), dtype=bool))
    plain = (sights.axes == 0).all(axis=1)
    slow, room = looked_slowly(points, walls, 1.0)
    assert sights.room == pytest.approx(room, abs=1e-12)
    assert (np.isfinite(slow) == (sights.hits >= 0))[plain].all()
    assert np.isfinite(slow).any()
    assert np.isinf(slow).any()
    velocity = np.random.default_rng(seed).uniform(-0.02, 0.02, points.shape)
    line = Line(points, velocity, np.ones(len(points), dtype=bool))
    moved = pushed(line, points, walls, sights, 1.0)
    wished = pushed_slowly(points, velocity, slow, room, 1.0)
    # The smoothed pushes of the two vertices next to the tip of a finger hear of it.
    calm = np.min([np.roll(plain, k) for k in range(-2, 3)], axis=0)
    assert calm.sum() > len(points) / 2
    assert moved.points[calm] == pytest.approx(wished[calm], abs=1e-12)
    assert moved.awake.any()


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.3, 3.0))
def test_no_move_nor_mesh_crosses_the_line_or_the_edge(seed: int, gap: float) -> None:
    """Also with a spacing that is far from what the line has room for."""
    area = box(0, 0, 10, 6)
    walls = walls_of(shapely.segmentize(area, gap))
    points = wavy(seed, 5)
    state = Line(points, np.zeros_like(points), np.ones(len(points), dtype=bool))
    for _ in range(4):
        state = ironed(state, walls, gap)
        assert is_whole(state.points, area)
        home = state.points
        sights = looked(home, walls, gap, state.awake)
        for _ in range(10):
            state = pushed(state, home, walls, sights, gap)
        assert is_whole(state.points, area)
        state = remeshed(state, sights.room, gap)
        assert is_whole(state.points, area)


def test_nothing_crosses_a_corner_of_the_edge_that_points_inward() -> None:
    """The line passes a spike between two of its vertices: neither of them is near to its side."""
    area = Polygon([(0, 0), (10, 0), (10, 6), (5.05, 6), (5, 3.05), (4.95, 6), (0, 6)])
    low = np.column_stack([np.arange(1.0, 9.5, 0.8), np.full(11, 1.0)])
    high = np.column_stack([np.linspace(9.0, 1.0, 11), np.full(11, 3.0)])
    state = Line(np.concatenate([low, high]), np.zeros((22, 2)), np.ones(22, dtype=bool))
    walls = walls_of(area)
    for _ in range(20):
        sights = looked(state.points, walls, 1.5, state.awake)
        state = pushed(state, state.points, walls, sights, 1.5)
        assert is_whole(state.points, area)


def test_small_loops_are_cut_out_and_large_ones_are_not() -> None:
    angle = np.linspace(0, 2 * np.pi, 60)
    ring = 10 * np.column_stack([np.cos(angle), np.sin(angle)])
    ring[-1] = ring[0]
    looped = np.insert(ring, 20, ring[[22, 18]] * [[1.01], [1.02]], axis=0)
    assert not shapely.linestrings(looped).is_simple
    mended = without_loops(looped)
    assert mended is not None
    assert shapely.linestrings(mended).is_simple
    eight = np.column_stack([np.sin(angle), np.sin(2 * angle)])
    eight[-1] = eight[0]
    assert without_loops(eight) is None
