"""Walks that keep a distance."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box

from plotlib import growth
from plotlib.errors import InvalidValue
from plotlib.growth.colonisation_kernel import Ground
from plotlib.growth.random_kernel import state_of
from plotlib.growth.wanderers_kernel import Gait, Paths, walk
from tests.outside import MEMORY, Within, published

RING = Point(0, 0).buffer(12).difference(Point(2, 0).buffer(5))


@settings(max_examples=25, deadline=None)
@given(st.floats(0.4, 5), st.floats(0.5, 60), st.integers(0, 2**32))
def test_distances_and_the_area(spacing: float, persistence: float, seed: int) -> None:
    options = {"spacing": spacing, "persistence_length": persistence, "seed": seed}
    drawing = growth.wanderers(RING, **options)
    assert drawing == growth.wanderers(RING, **options)
    if not len(drawing):
        return
    lines = drawing.to_shapely()
    assert shapely.covers(RING.buffer(1e-6), shapely.union_all(lines))
    tree = shapely.STRtree(lines)
    pairs = tree.query(lines, predicate="dwithin", distance=spacing * (1 - 1e-9))
    assert (pairs[0] == pairs[1]).all()
    step = spacing / 4
    for stroke in drawing:
        assert np.allclose(np.hypot(*np.diff(stroke, axis=0).T), step)
        pieces = shapely.linestrings(np.stack([stroke[:-1], stroke[1:]], axis=1))
        far = shapely.distance(pieces[:, None], pieces[None, :])
        order = np.arange(len(pieces))
        apart = np.abs(order[:, None] - order[None, :]) > 1.7 * 4 + 2
        assert (far[apart] >= spacing * (1 - 1e-9)).all()


@settings(max_examples=15, deadline=None)
@given(st.integers(1, 6), st.floats(2, 20), st.integers(0, 2**32))
def test_count_length_and_shortest(count: int, length: float, seed: int) -> None:
    drawing = growth.wanderers(
        box(0, 0, 50, 40), spacing=1, count=count, length=length, shortest=1.5, seed=seed
    )
    assert len(drawing) <= count
    assert (drawing.lengths <= length + 1e-9).all()
    assert (drawing.lengths >= 1.5 - 1e-9).all()


@published(
    module="growth",
    source="P. M. Kareiva, N. Shigesada, Oecologia 56, 1983, equation 2 for even turns",
    kind=MEMORY,
    rel=0.06,
    claim="mean square way of a correlated random walk, l² (n (1 + c) / (1 − c) − …)",
)
def test_mean_square_way(within: Within) -> None:
    """Free walks of n steps of 1 mm with mean cosine c of a turn: n (1 + c) / (1 - c) less
    2 c (1 - c ** n) / (1 - c) ** 2.
    """
    spread = 0.5
    ground = Ground(np.ones((1, 1), np.bool_), np.array([-1e4, -1e4, 2e4, 2e4]))
    gait = Gait(1.0, spread, 4.0, 0.0, 0)
    state = state_of(np.random.default_rng(3))
    steps = 60
    paths = Paths(np.zeros((steps + 1, 2)), np.full((1, 1), -1), np.full(1, -1))
    squares = []
    for _ in range(4_000):
        assert walk(paths, ground, gait, state, np.zeros(2), 0, steps + 1) == steps + 1
        squares.append((paths.at[-1] ** 2).sum())
    c = math.exp(-(spread**2) / 2)
    expected = steps * (1 + c) / (1 - c) - 2 * c * (1 - c**steps) / (1 - c) ** 2
    assert np.mean(squares) == within.of(expected)


def test_refusals() -> None:
    for options, words in (
        ({"spacing": 1e-3}, "take a wider one"),
        ({"persistence_length": 0}, "persistence"),
        ({"length": -1}, "length"),
        ({"shortest": -1}, "shortest"),
        ({"count": 0}, "count"),
    ):
        with pytest.raises(InvalidValue, match=words):
            growth.wanderers(RING, **options)
    assert len(growth.wanderers(Polygon())) == 0
    assert len(growth.wanderers(RING, spacing=100)) == 0
    told: list[float] = []
    growth.wanderers(RING, progress=told.append)
    assert told[-1] == 1.0
