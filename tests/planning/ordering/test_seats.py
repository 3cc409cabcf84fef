"""Closed runs in the search: where they may be entered, and that the choice of the vertex is part
of it.
"""

from __future__ import annotations

import numpy as np
import pytest
from oracles_order import annealed

from plotlib.planning.metric import Metric, distance_metric
from plotlib.planning.ordering.lists import DISTANT, KEPT
from plotlib.planning.ordering.order import Runs, order
from plotlib.planning.ordering.search import free_end
from plotlib.planning.ordering.seats import Strokes, seat_lists
from plotlib.planning.ordering.tiles import TILE, Ground, tile_search
from plotlib.planning.ordering.tour import Annealing, Search
from plotlib.planning.ordering.tour_kernel import BEST, NOW

DISTANCE = distance_metric(1.0)
TIME = Metric(1.0, 6e-3, 1.5e-2, 2e-3, 4e-3)
Ragged = tuple[np.ndarray, np.ndarray]


def ragged(rings: list[np.ndarray]) -> Ragged:
    return np.concatenate(rings), np.cumsum([0, *map(len, rings)])


def squares(side: int) -> Ragged:
    square = 8_000 * np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]])
    return ragged([square + 10_000 * np.array([i, j]) for i in range(side) for j in range(side)])


def stars(count: int, seed: int) -> Ragged:
    """Stars that overlap."""
    rng = np.random.default_rng(seed)
    turn = np.arange(10) * np.pi / 5
    reach = np.where(np.arange(10) % 2, 0.4, 1.0)[:, None]
    rings = []
    for _ in range(count):
        angle = turn + rng.uniform(0, 7)
        star = rng.uniform(4_000, 12_000) * reach * np.stack([np.cos(angle), np.sin(angle)], axis=1)
        star = np.rint(star + rng.uniform(0, 10_000 * np.sqrt(count), 2)).astype(np.int64)
        rings.append(np.concatenate([star, star[:1]]))
    return ragged(rings)


def some(count: int, seed: int, *, free: bool) -> Strokes:
    """Closed strokes, lines and dots in turn; the last end is free where asked."""
    rng = np.random.default_rng(seed)
    sizes = np.where(np.arange(count) % 3 == 0, rng.integers(2, 9, count), 0)
    sizes[-1] = 0
    first = np.concatenate([[0], np.cumsum(sizes)])
    middle = rng.integers(0, 3_000, (count, 2))
    owner = np.repeat(np.arange(count), sizes)
    vertices = (middle[owner] + rng.integers(-200, 200, (len(owner), 2))).astype(np.float64)
    away = np.where((np.arange(count) % 3 == 1)[:, None], rng.integers(-200, 200, (count, 2)), 0)
    xy = np.stack([middle, middle + away], axis=1).astype(np.float64)
    closed = np.flatnonzero(sizes)
    xy[closed] = vertices[first[closed]][:, None]
    xy = xy.reshape(-1, 2)
    if free:
        xy[-1] = np.nan
    return Strokes(xy, vertices, first)


def way(xy: np.ndarray, seq: np.ndarray) -> float:
    """Length of all links of the closed tour."""
    return float(np.hypot(*(xy[seq ^ 1] - xy[np.roll(seq, -1)]).T).sum())


@pytest.mark.parametrize(
    "drawing", [squares(9), stars(90, 1), stars(150, 2)], ids=["squares", "stars", "more stars"]
)
def test_closed_runs_come_within_a_hundredth_of_an_annealing(drawing: Ragged) -> None:
    """Choosing vertices only between the rounds of the search left them 5 to 15 % above."""
    found = order(Runs(*drawing), DISTANCE, home=(0, 0), finish=(0, 0))
    assert found.cost < 1.01 * annealed(*drawing, (0, 0), steps=60_000)


@pytest.mark.parametrize("metric", [DISTANCE, TIME], ids=["distance", "time"])
@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("count", [9, 60, 600])
def test_what_the_search_keeps_is_what_its_order_says(
    metric: Metric, count: int, free: bool
) -> None:
    strokes = some(count, 3, free=free)
    lists = seat_lists(metric, strokes, free=free_end(strokes.xy))
    assert lists.seats is not None
    search = Search(metric, strokes.xy, lists, 2 * np.arange(count, dtype=np.int32), 1)
    search.descend()
    search.anneal(Annealing(30.0, 1.0, 0.5, 1))
    left = search.seq ^ 1
    mates = np.empty(2 * count, np.int64)
    mates[left] = np.roll(search.seq, -1)
    mates[np.roll(search.seq, -1)] = left
    np.testing.assert_array_equal(search.mates, mates)
    np.testing.assert_array_equal(search.xy, lists.seats.places[search.row])
    closed = np.flatnonzero(np.diff(strokes.first))
    for s in closed:
        assert search.row[2 * s] == search.row[2 * s + 1]
        low, many = lists.seats.span[s]
        assert low <= search.row[2 * s] < low + many
    fixed = np.setdiff1d(np.arange(count), closed)
    np.testing.assert_array_equal(search.xy[2 * fixed], strokes.xy[2 * fixed])
    costs = search.costs.copy()
    standing = search.cost()  # ties every link anew
    np.testing.assert_allclose(search.costs, costs, rtol=1e-9, atol=1e-9)
    assert standing == pytest.approx(search.real[NOW], rel=1e-9)
    best = Search(metric, _seated(strokes, search), lists, search.best, 1)
    assert best.cost() <= standing * (1 + 1e-9)


def _seated(strokes: Strokes, search: Search) -> np.ndarray:
    assert search.lists.seats is not None
    xy = strokes.xy.copy()
    closed = np.flatnonzero(np.diff(strokes.first))
    xy[2 * closed] = xy[2 * closed + 1] = search.lists.seats.places[search.best_row[closed]]
    return xy


def test_the_best_tour_seen_costs_what_is_said() -> None:
    strokes = some(300, 4, free=False)
    search = Search(
        DISTANCE, strokes.xy, seat_lists(DISTANCE, strokes), 2 * np.arange(300, dtype=np.int32), 1
    )
    search.descend()
    search.anneal(Annealing(30.0, 3.0, 3.0, 1))
    xy = _seated(strokes, search)
    assert way(xy, search.best) == pytest.approx(search.real[BEST], rel=1e-9)


def test_a_list_holds_the_nearest_place_of_other_runs() -> None:
    strokes = some(200, 5, free=False)
    lists = seat_lists(DISTANCE, strokes)
    assert lists.seats is not None
    places = lists.seats.places[:-1]
    key = np.empty(len(places), np.int64)
    for e, row in enumerate(lists.row):
        low, many = lists.seats.span[e >> 1]
        key[row] = e - e % 2 if many > 0 or lists.row[e ^ 1] == row else e
        key[low : low + many] = e - e % 2
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    for row in range(len(places)):
        others = [other for other in np.unique(key) if other != key[row]]
        least = {other: apart[row, key == other].min() for other in others}
        ports = lists.seats.port[row][lists.near[row] >= 0]
        far = lists.far[row][lists.near[row] >= 0]
        assert (np.diff(far) >= 0).all()
        np.testing.assert_allclose(far, apart[row, ports])
        assert far[0] == pytest.approx(min(least.values()), rel=1e-12)
        near = sum(apart[row, port] == least[key[port]] for port in ports)
        assert near >= min(len(ports), KEPT) - DISTANT


def test_a_tile_seats_closed_strokes_anew_and_its_gain_is_the_gain_of_the_tour() -> None:
    strokes = some(600, 6, free=False)
    ground = Ground(DISTANCE, strokes.xy, seat_lists(DISTANCE, strokes))
    seq = 2 * np.arange(600, dtype=np.int32)
    before = strokes.xy.copy()
    inside = before[0::2, 0] < 2_000
    found = tile_search(ground, seq, inside, Annealing(20.0, 1.0, 0.0, 3))
    assert sorted(found >> 1) == list(range(600))
    closed = np.diff(strokes.first) > 0
    moved = (ground.xy != before).any(axis=1).reshape(-1, 2)
    assert moved.any()
    assert not moved[~closed | ~inside].any()
    assert ground.lists is not None
    assert ground.lists.seats is not None
    np.testing.assert_array_equal(ground.xy, ground.lists.seats.places[ground.lists.row])
    assert way(ground.xy, found) < way(before, seq)


def test_many_closed_runs_are_searched_in_tiles_and_all_are_drawn_once() -> None:
    drawing = stars(2 * TILE, 7)
    found = order(Runs(*drawing), DISTANCE, home=(0, 0), finish=None, effort=0.1)
    assert sorted(found.sequence.tolist()) == list(range(2 * TILE))
    again = order(Runs(*drawing), DISTANCE, home=(0, 0), finish=None, effort=0.1)
    np.testing.assert_array_equal(found.sequence, again.sequence)
    np.testing.assert_array_equal(found.start, again.start)
