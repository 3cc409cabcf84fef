"""Attractors of differential equations and of maps."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.spatial import cKDTree
from shapely import Point, Polygon, box

from plotlib import growth
from plotlib.errors import InvalidValue, UnknownName
from plotlib.growth.attractors import MAPS, solved
from plotlib.growth.flows import FLOWS
from plotlib.growth.orbit_kernel import follow, thin
from plotlib.progress import Stage
from tests.outside import LIBRARY, Within, published

RING = Point(0, 0).buffer(30).difference(Point(5, 0).buffer(9))


def in_python(kind: int, p: tuple[float, ...], x: float, y: float) -> tuple[float, float]:
    if kind == 0:
        return (
            math.sin(p[0] * y) + p[2] * math.cos(p[0] * x),
            math.sin(p[1] * x) + p[3] * math.cos(p[1] * y),
        )
    if kind == 1:
        return (
            math.sin(p[0] * y) - math.cos(p[1] * x),
            math.sin(p[2] * x) - math.cos(p[3] * y),
        )
    return 1 - p[0] * x * x + y, p[1] * x


@pytest.mark.parametrize("kind", [0, 1, 2])
def test_orbits_are_those_of_plain_python(kind: int) -> None:
    parameters = list(MAPS.values())[kind]
    points = np.zeros((20, 2))
    follow(kind, np.array(parameters), np.array([0.1, 0.05]), points)
    x, y = 0.1, 0.05
    for k in range(20):
        x, y = in_python(kind, parameters, x, y)
        assert points[k] == pytest.approx((x, y), abs=1e-7)


def test_dots_are_kept_as_by_brute_force() -> None:
    points = np.random.default_rng(1).uniform(0, 20, (900, 2))
    found = thin(points, 0.9, np.full((40, 40), -1))
    kept: list[np.ndarray] = []
    for k, point in enumerate(points):
        free = all(np.hypot(*(point - other)) >= 0.9 for other in kept)
        assert found[k] == free
        if free:
            kept.append(point)


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(list(MAPS)), st.integers(0, 2**32), st.floats(0.2, 6))
def test_dots_keep_their_distance_and_stay_inside(system: str, seed: int, spacing: float) -> None:
    drawing = growth.orbit(RING, system=system, count=3_000, spacing=spacing, seed=seed)
    if not len(drawing):
        return
    assert (np.diff(drawing.offsets) == 1).all()
    assert shapely.intersects_xy(RING.buffer(1e-6), *drawing.points.T).all()
    if len(drawing) > 1:
        assert cKDTree(drawing.points).query(drawing.points, k=2)[0][:, 1].min() > spacing - 1e-9
    again = growth.orbit(RING, system=system, count=3_000, spacing=spacing, seed=seed)
    assert drawing == again


@published(
    module="growth",
    source="LSODA, tolerances 1e-11, after four units of time",
    kind=LIBRARY,
    against="scipy",
    abs=1e-4,
    claim="flows of attractors come to where another solver comes",
)
@pytest.mark.parametrize("system", list(FLOWS))
def test_one_stroke_within_tolerance_of_the_solution(system: str, within: Within) -> None:
    """Against another solver of scipy, started where the drawing begins."""
    area = box(3, 4, 83, 64)
    drawing = growth.attractor(area, system=system, duration=8, seed=2)
    assert len(drawing) == 1
    left, bottom, right, top = drawing.bounds or (0, 0, 0, 0)
    assert left >= 3 - 1e-9
    assert bottom >= 4 - 1e-9
    assert right <= 83 + 1e-9
    assert top <= 64 + 1e-9
    assert max((right - left) / 80, (top - bottom) / 60) == pytest.approx(1, abs=1e-3)
    assert drawing == growth.attractor(area, system=system, duration=8, seed=2)
    flow = FLOWS[system]
    way = solved(flow, flow.parameters, np.array(flow.start), 4.0, Stage("a way"))
    other = solve_ivp(
        lambda _, at: flow.rates((at[0], at[1], at[2]), flow.parameters),
        (0, 4),
        flow.start,
        method="LSODA",
        rtol=1e-11,
        atol=1e-11,
    )
    assert way(4.0) == within.of(other.y[:, -1])


def test_clipped_and_seeds() -> None:
    drawing = growth.attractor(RING, duration=10)
    assert shapely.covers(RING.buffer(1e-6), shapely.union_all(drawing.to_shapely()))
    assert drawing != growth.attractor(RING, duration=10, seed=1)
    assert len(growth.attractor(Polygon())) == 0
    assert len(growth.orbit(Polygon())) == 0


def test_refusals() -> None:
    for options, words in (
        ({"parameters": [1, 2]}, "3 numbers"),
        ({"system": "halvorsen", "parameters": [-3.0]}, "flies off"),
        ({"duration": -1}, "duration"),
        ({"duration": 601}, "from 0.001 to 600"),
        ({"view": (1, 2, 3)}, "view"),
    ):
        with pytest.raises(InvalidValue, match=words):
            growth.attractor(RING, **options)
    for options, words in (
        ({"system": "henon", "parameters": [3, 1]}, "flies off"),
        ({"count": 10**9}, "count"),
        ({"spacing": 1e-4}, "take a wider one"),
    ):
        with pytest.raises(InvalidValue, match=words):
            growth.orbit(RING, **options)
    with pytest.raises(UnknownName, match="lorenz"):
        growth.attractor(RING, system="weather")


def test_work_without_end_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("plotlib.growth.attractors._MOST_STEPS", 500)
    with pytest.raises(InvalidValue, match="shorter duration"):
        growth.attractor(RING, duration=300)
