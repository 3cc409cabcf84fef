"""The search on one tour: what it keeps beside the order of the strokes must always be what that
order says.
"""

import numpy as np
import pytest

from plotlib.planning.metric import Metric, distance_metric
from plotlib.planning.ordering.lists import near_lists
from plotlib.planning.ordering.search import free_end
from plotlib.planning.ordering.tour import Annealing, Search, greedy_tour
from plotlib.planning.ordering.tour_kernel import NOW

METRICS = {
    "distance": distance_metric(0.001),
    "time": Metric(1.0, 6e-6, 1.5e-5, 2e-6, 4e-6),
}


def searched(
    metric: Metric, count: int, seed: int, *, dots: bool, free: bool, hot: float = 1.0
) -> Search:
    rng = np.random.default_rng(seed)
    start = rng.integers(0, 3_000, (count, 2))
    xy = (
        np.stack([start, start if dots else start + rng.integers(-300, 300, (count, 2))], axis=1)
        .reshape(-1, 2)
        .astype(np.float64)
    )
    if free:
        xy[-1] = np.nan
    lists = near_lists(metric, xy, free=free_end(xy))
    search = Search(metric, xy, lists, greedy_tour(metric, xy, lists), seed)
    search.descend()
    search.anneal(Annealing(30.0, hot, hot / 2, seed))
    return search


@pytest.mark.parametrize("metric", METRICS)
@pytest.mark.parametrize("dots", [False, True])
@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("count", [8, 60, 700])
def test_links_and_places_are_those_of_the_order(
    metric: str, dots: bool, free: bool, count: int
) -> None:
    search = searched(METRICS[metric], count, 3, dots=dots, free=free)
    left = search.seq ^ 1
    entered = np.roll(search.seq, -1)
    mates = np.empty(2 * count, np.int64)
    mates[left] = entered
    mates[entered] = left
    np.testing.assert_array_equal(search.mates, mates)
    np.testing.assert_array_equal(
        search.place[search.seq >> 1], 2 * np.arange(count) + (search.seq & 1)
    )
    kept = search.costs.copy()
    standing = search.cost()  # ties every link anew
    np.testing.assert_allclose(search.costs, kept, rtol=1e-12, atol=1e-12)
    assert standing == pytest.approx(search.real[NOW], rel=1e-9)
    assert search.best_cost() <= standing * (1 + 1e-9)


def test_the_best_tour_seen_costs_what_is_said() -> None:
    search = searched(METRICS["distance"], 500, 5, dots=False, free=False, hot=3.0)
    links = search.xy[search.best ^ 1] - search.xy[np.roll(search.best, -1)]
    assert sorted(search.best >> 1) == list(range(500))
    assert 0.001 * np.hypot(*links.T).sum() == pytest.approx(search.best_cost(), rel=1e-9)
    assert search.best_cost() < search.cost()


def test_without_warmth_no_kick_makes_it_worse() -> None:
    search = searched(METRICS["time"], 500, 7, dots=True, free=False, hot=0.0)
    assert search.cost() == pytest.approx(search.best_cost(), rel=1e-9)
