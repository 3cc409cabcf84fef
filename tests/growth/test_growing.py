"""Reaction and diffusion in an area, and mazes."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from plotlib import fields, growth
from plotlib.errors import InvalidValue
from plotlib.growth.gray_scott_kernel import advance
from plotlib.growth.reaction_diffusion import DU, DV, dish_of

RING = Point(0, 0).buffer(12).difference(Point(0, 0).buffer(4))


def test_steps_are_those_of_plain_numpy() -> None:
    random = np.random.default_rng(2)
    inside = np.pad(random.random((14, 17)) < 0.8, 1)
    u = random.random(inside.shape)
    v = random.random(inside.shape) * 0.3
    feed = np.full(inside.shape, 0.03)
    kill = np.full(inside.shape, 0.058)
    dish = dish_of(u, v, feed, kill, inside=inside)
    advance(dish, 4)
    for _ in range(4):
        flow_u = np.zeros_like(u)
        flow_v = np.zeros_like(v)
        for shift, axis in ((1, 0), (-1, 0), (1, 1), (-1, 1)):
            near = np.roll(inside, shift, axis) & inside
            flow_u += np.where(near, np.roll(u, shift, axis) - u, 0)
            flow_v += np.where(near, np.roll(v, shift, axis) - v, 0)
        eaten = u * v * v
        new_u = u + DU * flow_u - eaten + feed * (1 - u)
        new_v = v + DV * flow_v + eaten - (feed + kill) * v
        u, v = np.where(inside, new_u, u), np.where(inside, new_v, v)
    assert np.allclose(dish.u[inside], u[inside], atol=1e-12)
    assert np.allclose(dish.v[inside], v[inside], atol=1e-12)


def test_nothing_grows_outside() -> None:
    field = growth.reaction_diffusion(RING, steps=1_500, seed=3)
    x, y = np.meshgrid(np.linspace(-12, 12, 49), np.linspace(-12, 12, 49))
    values = np.asarray(field(x, y))
    assert values.max() > 0.2
    outside = ~shapely.intersects_xy(RING.buffer(1.5), x, y)
    assert np.abs(values[outside]).max() < 0.02
    lines = fields.isolines(field, RING, levels=[0.15])
    assert lines.length > 50


def test_seeds_and_bytes_and_the_early_end() -> None:
    same = [growth.reaction_diffusion(RING, steps=300, seed=7)(3, 6) for _ in range(2)]
    assert same[0] == same[1]
    assert same[0] != growth.reaction_diffusion(RING, steps=300, seed=8)(3, 6)
    told: list[float] = []
    growth.reaction_diffusion(
        box(0, 0, 200, 200), steps=40_000, kill=0.1, change=1e-3, progress=told.append
    )
    assert told[-1] == 1.0
    assert len(told) < 200


def test_rates_by_fields() -> None:
    field = growth.reaction_diffusion(RING, feed=fields.constant(0.04), steps=60)
    assert np.isfinite(field(0, 8))
    with pytest.raises(InvalidValue, match="keep it within 0"):
        growth.reaction_diffusion(RING, kill=fields.constant(0.3), steps=10)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"cell": 1e-4}, "larger cell"),
        ({"cell": 0}, "cell"),
        ({"feed": 2}, "feed"),
        ({"steps": 1}, "steps"),
        ({"steps": 10**9}, "take fewer"),
        ({"change": -1}, "change"),
    ],
)
def test_refusals(options: dict[str, float], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        growth.reaction_diffusion(RING, **options)
    with pytest.raises(InvalidValue, match="region is empty"):
        growth.reaction_diffusion(shapely.Polygon())


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32), st.floats(0.8, 9), st.floats(3, 20))
def test_mazes_have_one_way(seed: int, spacing: float, radius: float) -> None:
    """A tree of n cells in p parts has n - p edges; walls and tree share no point, and together
    they are all edges of the grid.
    """
    area = Point(1, 2).buffer(radius)
    tree = growth.spanning_tree(area, spacing=spacing, seed=seed)
    walls = growth.maze(area, spacing=spacing, seed=seed)
    if not len(walls):
        return
    lines = shapely.union_all(walls.to_shapely(), grid_size=1e-6)
    faces = shapely.get_parts(shapely.polygonize([lines]))
    cells = shapely.union_all(faces).area / spacing**2
    assert cells == pytest.approx(round(cells), abs=1e-3)
    if len(tree):
        ways = shapely.union_all(tree.to_shapely(), grid_size=1e-6)
        parts = len(shapely.get_parts(shapely.unary_union(ways.buffer(spacing * 1e-3))))
        alone = round(cells) - round(tree.length / spacing) - parts
        assert alone >= 0  # cells that no other touches
        assert ways.disjoint(lines)
        assert tree == growth.spanning_tree(area, spacing=spacing, seed=seed)


@pytest.mark.parametrize("spacing", [1.3, 4.0, 30.0])
def test_mazes_stay_in_their_area(spacing: float) -> None:
    """Cells at the edge, half of them outside, used to take part."""
    for area in (RING, box(0, 0, 17, 11)):
        for drawing in (
            growth.maze(area, spacing=spacing, seed=2),
            growth.spanning_tree(area, spacing=spacing, seed=2),
        ):
            lines = shapely.union_all(drawing.to_shapely())
            assert len(drawing) == 0 if spacing == 30 else shapely.covers(area.buffer(1e-4), lines)
    assert len(growth.maze(RING, spacing=1.3)) > 20


def test_too_fine_or_nothing() -> None:
    assert len(growth.maze(shapely.Polygon(), spacing=2)) == 0
    assert len(growth.spanning_tree(shapely.Polygon(), spacing=2)) == 0
    with pytest.raises(InvalidValue, match="larger one"):
        growth.maze(box(0, 0, 300, 300), spacing=0.01)
