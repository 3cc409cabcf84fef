"""The order of the pen against subset dynamic programming, the nearest neighbour, the given order,
and itself.
"""

from __future__ import annotations

import subprocess
import sys
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from oracles_planning import TimeCost, distance_cost, exact_cost, ragged

from plotlib.errors import InvalidValue, UnknownName
from plotlib.planning.metric import Metric, distance_metric
from plotlib.planning.ordering.order import Order, Runs, naive_order, order, order_cost
from plotlib.planning.ordering.tour import Search
from tests.outside import COMPUTED, MEMORY, Within, published

DISTANCE = distance_metric(1.0)
RATES = (170.0, 66.0)
ACCELERATIONS = (500.0, 250.0)
TIME = Metric(1.0, 1 / RATES[0], 1 / RATES[1], 1 / ACCELERATIONS[0], 1 / ACCELERATIONS[1])


def runs_of(strokes: Any) -> Runs:
    return Runs(*ragged(strokes))


def some(rng: np.random.Generator, count: int, *, reach: int = 400) -> list[list[tuple[int, int]]]:
    """Dots, open strokes and closed ones, mixed; coordinates repeat now and then."""
    strokes = []
    for _ in range(count):
        points = [
            tuple(point) for point in rng.integers(0, reach, (int(rng.integers(1, 5)), 2)).tolist()
        ]
        if len(points) >= 3 and rng.random() < 0.5:
            points.append(points[0])
        strokes.append(points)
    return strokes


def walked(runs: Runs, found: Order, home: Any, finish: Any) -> float:
    """The pen-up way of an order, by plain steps."""
    places = [] if home is None else [(home, home)]
    for run, back, start in zip(
        found.sequence.tolist(), found.reverse.tolist(), found.start.tolist(), strict=True
    ):
        stroke = [
            tuple(point)
            for point in runs.points[runs.offsets[run] : runs.offsets[run + 1]].tolist()
        ]
        first, last = (
            (stroke[start], stroke[start]) if runs.closed[run] else (stroke[0], stroke[-1])
        )
        places.append((last, first) if back else (first, last))
    places += [] if finish is None else [(finish, finish)]
    return sum(distance_cost(before[1], after[0]) for before, after in pairwise(places))


@published(
    module="planning",
    source="M. Held, R. M. Karp, SIAM 1962: every subset by dynamic programming",
    kind=COMPUTED,
    rel=1e-9,
    abs=1e-9,
    claim="ten runs and fewer come in the best order",
)
@pytest.mark.parametrize("seed", range(60))
def test_ten_runs_and_fewer_come_in_the_best_order(seed: int, within: Within) -> None:
    rng = np.random.default_rng(seed)
    strokes = some(rng, int(rng.integers(1, 8)), reach=int(rng.choice([8, 400])))
    home = None if rng.random() < 0.3 else tuple(rng.integers(0, 400, 2).tolist())
    finish = None if rng.random() < 0.3 else tuple(rng.integers(0, 400, 2).tolist())
    for metric, cost in ((DISTANCE, distance_cost), (TIME, TimeCost(RATES, ACCELERATIONS))):
        found = order(runs_of(strokes), metric, home=home, finish=finish)
        assert found.cost == within.of(exact_cost(strokes, cost, home, finish))


@pytest.mark.parametrize("count", [11, 60, 400])
@pytest.mark.parametrize("metric", [DISTANCE, TIME], ids=["distance", "time"])
def test_is_a_true_order_and_never_worse_than_the_plain_ones(count: int, metric: Any) -> None:
    rng = np.random.default_rng(count)
    runs = runs_of(some(rng, count, reach=2_000))
    home = (0, 0)
    finish = (1_500, 20)
    found = order(runs, metric, home=home, finish=finish)
    assert sorted(found.sequence.tolist()) == list(range(count))
    again = order_cost(
        runs, found.sequence, found.reverse, found.start, metric, home=home, finish=finish
    )
    assert found.cost == pytest.approx(again, rel=1e-12)
    if metric is DISTANCE:
        assert found.cost == pytest.approx(walked(runs, found, home, finish), rel=1e-12)
    plain = np.arange(count), np.zeros(count, np.bool_), np.zeros(count, np.int64)
    assert found.cost <= order_cost(runs, *plain, metric, home=home, finish=finish)
    assert found.cost <= naive_order(runs, metric, home=home, finish=finish).cost


def test_a_good_given_order_is_kept_good() -> None:
    strokes = [
        [(x, 0), (x, 50)] if k % 2 == 0 else [(x, 50), (x, 0)]
        for k, x in enumerate(range(0, 5_000, 10))
    ]
    runs = runs_of(strokes)
    assert order(runs, DISTANCE, home=(0, 0), finish=None).cost <= 10 * 499


def test_groups_are_drawn_one_after_another_and_a_kept_order_is_kept() -> None:
    rng = np.random.default_rng(3)
    runs = runs_of(some(rng, 50, reach=2_000))
    groups = rng.integers(0, 4, 50)
    found = order(runs, DISTANCE, home=(0, 0), finish=None, groups=groups)
    assert (np.diff(groups[found.sequence]) >= 0).all()
    kept = order(runs, DISTANCE, home=(0, 0), finish=None, keep=True)
    assert kept.sequence.tolist() == list(range(50))
    plain = np.arange(50), np.zeros(50, np.bool_), np.zeros(50, np.int64)
    assert kept.cost <= order_cost(runs, *plain, DISTANCE, home=(0, 0), finish=None)


@published(
    module="planning",
    source="D. S. Johnson, L. A. McGeoch, 1997: nearest neighbour and the best over Held-Karp",
    kind=MEMORY,
    printed=(1.25, 1.02),
    rel=0.029,
    claim="random dots are as far below the nearest neighbour as good methods are",
)
def test_random_dots_are_far_below_the_nearest_neighbour(
    within: Within, printed: tuple[float, float]
) -> None:
    """Nearest neighbour lies about 25 % over the Held-Karp bound, the best methods below 2 %
    (Johnson and McGeoch 1997, from memory).
    """
    dots = np.random.default_rng(8).integers(0, 100_000, (1_000, 1, 2))
    runs = runs_of(dots.tolist())
    found, naive = (
        make(runs, DISTANCE, home=None, finish=None).cost for make in (order, naive_order)
    )
    assert within.rel is not None
    assert found / naive < printed[1] / printed[0] * (1 + within.rel)


@pytest.mark.parametrize(
    "strokes",
    [
        [],
        [[(5, 5)]],
        [[(5, 5)]] * 200,
        [[(x, 0)] for x in range(300)],
        [[(0, 0), (9, 0), (0, 0)]] * 40,
        [[(10**8, 10**8)], [(0, 0), (10**8, 0)], [(0, 10**8)]] * 5,
    ],
)
def test_degenerate_runs(strokes: Any) -> None:
    for metric in (DISTANCE, TIME):
        found = order(runs_of(strokes), metric, home=(0, 0), finish=(3, 4))
        assert sorted(found.sequence.tolist()) == list(range(len(strokes)))
        assert np.isfinite(found.cost)


def test_a_large_closed_run_may_start_anywhere() -> None:
    turns = np.linspace(0, 2 * np.pi, 20_001)
    ring = np.rint(1e6 * np.stack([np.cos(turns), np.sin(turns)], axis=1)).astype(np.int64)
    ring[-1] = ring[0]
    runs = Runs(np.vstack([ring, [[0, 2_000_000]]]), np.array([0, len(ring), len(ring) + 1]))
    found = order(runs, DISTANCE, home=(0, -2_000_000), finish=(0, 2_000_000))
    assert found.cost == pytest.approx(1e6 + np.hypot(0, 3e6), rel=0.2)
    assert found.cost <= 4e6 + 1


def test_wrong_arguments_are_refused() -> None:
    runs = runs_of([[(0, 0)], [(1, 1)]])
    with pytest.raises(UnknownName, match="'quick', 'normal', 'best'"):
        order(runs, DISTANCE, home=None, finish=None, effort="huge")
    with pytest.raises(InvalidValue, match="effort"):
        order(runs, DISTANCE, home=None, finish=None, effort=-1)
    with pytest.raises(InvalidValue, match="groups"):
        order(runs, DISTANCE, home=None, finish=None, groups=[1])


CODE = """
import hashlib, numpy as np
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.order import Runs, order
rng = np.random.default_rng(1)
points = rng.integers(0, 200_000, (13_000, 2, 2)).reshape(-1, 2)
runs = Runs(points, np.arange(0, 26_001, 2))
metric = Metric(1.0, 2e-3, 1e-3, 1e-6, 2e-6)
found = order(runs, metric, home=(0, 0), finish=(0, 0), effort=0.05)
print(hashlib.sha256(found.sequence.tobytes() + found.reverse.tobytes()).hexdigest())
"""


def test_two_runs_give_the_same_bytes_on_one_core_or_two() -> None:
    """Of 13,000 strokes, where the search works in tiles."""
    told = {
        subprocess.run(command, capture_output=True, text=True, check=True).stdout
        for command in _commands()
    }
    assert len(told) == 1
    assert len(told.pop()) == 65


def _commands() -> list[list[str]]:
    plain = [sys.executable, "-c", CODE]
    pinned = [
        sys.executable,
        "-c",
        "import os\nif hasattr(os, 'sched_setaffinity'): os.sched_setaffinity(0, "
        "{min(os.sched_getaffinity(0))})\n" + CODE,
    ]
    return [plain, plain, pinned]


@pytest.mark.parametrize("closed", [False, True])
def test_a_time_limit_that_is_over_at_once_ends_before_lists_and_kicks(
    closed: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    searches: list[int] = []
    monkeypatch.setattr(Search, "descend", lambda search, *_: searches.append(len(search.seq)))
    monkeypatch.setattr(Search, "anneal", lambda search, work: searches.append(len(search.seq)))
    place = np.random.default_rng(3).integers(0, 100_000, (50, 1, 2))
    steps = [[0, 0], [900, 0], [900, 900], [0, 900], [0, 0]] if closed else [[0, 0], [700, -400]]
    runs = runs_of(list(place + np.array(steps)))
    hasty = order(runs, TIME, home=(0, 0), finish=(0, 0), time_limit=1e-300)
    assert searches == []
    assert sorted(hasty.sequence.tolist()) == list(range(50))
    assert hasty.cost <= naive_order(runs, TIME, home=(0, 0), finish=(0, 0)).cost
    order(runs, TIME, home=(0, 0), finish=(0, 0))
    assert len(searches) >= 2  # with time left it does search
