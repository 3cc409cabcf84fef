"""Start vertices along a given order of large closed runs, against all pairs of vertices."""

from __future__ import annotations

import numpy as np
import pytest

from plotlib.planning.metric import Metric, distance_metric
from plotlib.planning.ordering.order import Runs, order
from tests.oracles_planning import TimeCost, distance_cost

TIME = Metric(1.0, 60 / 10_000, 60 / 4_000, 1 / 500, 1 / 250)


def rings(rng: np.random.Generator, sizes: list[int]) -> list[np.ndarray]:
    """Ragged rings, all about one place, so that it matters where each begins."""
    found = []
    for size in sizes:
        turn = np.linspace(0, 2 * np.pi, size, endpoint=False)
        reach = rng.uniform(200, 900, size)
        around = np.stack([reach * np.cos(turn), reach * np.sin(turn)], axis=1)
        around += rng.uniform(-600, 600, 2) + 2_000
        found.append(np.rint(np.vstack([around, around[:1]])).astype(np.int64))
    return found


def least(places: list[np.ndarray], cost) -> float:
    """Bellman's way with all pairs: from (0, 0) through one vertex of each ring, and back."""
    home = np.zeros((1, 2), np.int64)
    value = np.zeros(1)
    before = home
    for ring in [*(ring[:-1] for ring in places), home]:
        pairs = np.array([[cost(u, v) for v in ring] for u in before])
        value = (value[:, None] + pairs).min(axis=0)
        before = ring
    return float(value[0])


@pytest.mark.parametrize("timed", [False, True])
@pytest.mark.parametrize("sizes", [[60, 70], [49, 130, 57], [3, 100, 50, 4]])
def test_the_best_vertices_of_large_rings_are_found(sizes: list[int], timed: bool) -> None:
    cost = TimeCost((10_000 / 60, 4_000 / 60), (500, 250)) if timed else distance_cost
    rng = np.random.default_rng(len(sizes) + timed)
    for _ in range(3):
        places = rings(rng, sizes)
        offsets = np.cumsum([0, *map(len, places)])
        runs = Runs(np.concatenate(places), offsets)
        metric = TIME if timed else distance_metric(1.0)
        found = order(runs, metric, home=(0, 0), finish=(0, 0), keep=True)
        assert found.cost == pytest.approx(least(places, cost), rel=1e-12)
