"""From runs to a tour and back, how much work is done, and rounds of rings."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest

from plotlib.planning.metric import Metric, distance_metric
from plotlib.planning.ordering import search, tiles, tour
from plotlib.planning.ordering.lists import near_lists
from plotlib.planning.ordering.runs import Runs, States
from plotlib.planning.ordering.seats import Strokes
from plotlib.planning.ordering.tour import Annealing, Search, greedy_tour
from plotlib.planning.ordering.tour_kernel import BEST, NOW, QUEUED
from tests.oracles_planning import ragged
from tests.oracles_search import is_one_tour, links_of, way

METRIC = distance_metric(1.0)
TIME = Metric(1.0, 6e-3, 1.5e-2, 2e-3, 4e-3)


# ---- how much work


@pytest.mark.parametrize(
    ("strokes", "dots", "closed", "kicks"),
    [
        (3_000, False, 0.0, 100.0),
        (4_500, False, 0.0, 87.5),
        (2_000, True, 0.0, 76.333),
        (3_000, False, 0.5, 62.5),
        (1_000, True, 1.0, 45.0),
        (9_000_000, False, 0.0, 1.5),
        (9_000_000, False, 1.0, 1.0),
        (5, True, 0.0, 93.0),
    ],
)
def test_kicks_for_each_stroke(strokes: int, dots: bool, closed: float, kicks: float) -> None:
    assert search.Work(1.0, 0).kicks(strokes, dots=dots, closed=closed) == kicks
    work = search.Work(2.0, 0, strokes=strokes)  # a part of so many
    assert work.kicks(7, dots=dots, closed=closed) == 2 * kicks


def test_much_work_bears_a_hot_start() -> None:
    assert [search.warmth(k, dots=True) for k in (1, 15, 20, 30)] == [0.1, 0.35, 0.765, 0.9]
    assert [search.warmth(k, dots=False) for k in (1, 15, 20, 60)] == [0.2, 0.7, 0.949, 1.3]


def test_an_annealing_asks_and_tells_after_some_kicks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tour, "STEP", 10)
    for asked, until in ((99, 35), (3, 30), (1, 10)):
        told: list[float] = []
        some = searched(7)
        some.anneal(
            Annealing(
                5.0, 1.0, 0.5, 1, lambda told=told, asked=asked: len(told) < asked, told.append
            )
        )
        assert told == [share for share in (10 / 35, 20 / 35, 30 / 35, 1.0) if share <= until / 35]
        assert some.whole[4] == until
    nothing = searched(7)
    nothing.anneal(Annealing(0.1, 1.0, 0.5, 1, None, told.append))
    assert len(told) == 1


def searched(count: int) -> Search:
    xy = np.random.default_rng(count).uniform(0, 1_000, (2 * count, 2))
    return Search(METRIC, xy, near_lists(METRIC, xy), 2 * np.arange(count, dtype=np.int32), 1)


def test_a_descent_without_time_is_left_where_it_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tour, "ENDS", 3)
    some = searched(30)
    before = some.real[NOW]
    asked: list[int] = []
    some.descend(lambda: bool(asked.append(int(some.whole[QUEUED])) or len(asked) < 4))
    assert len(asked) == 4
    assert (np.diff(asked) >= -3).all()
    assert some.whole[QUEUED] == 0
    assert not some.waiting.any()
    assert some.real[BEST] == some.real[NOW] == pytest.approx(some.cost())
    assert some.real[BEST] < before
    assert some.best.tolist() == some.seq.tolist()
    some.descend()  # from where it stands to the end
    assert some.whole[QUEUED] == 0
    assert len(asked) == 4


def test_each_seed_has_random_numbers_of_its_own() -> None:
    xy = np.random.default_rng(1).uniform(0, 9, (6, 2))
    lists = near_lists(METRIC, xy)
    seq = np.array([0, 2, 4], np.int32)
    states = {int(Search(METRIC, xy, lists, seq, seed).whole[6]) for seed in range(50)}
    assert len(states) == 50
    assert 0 not in states


# ---- the first tour


@pytest.mark.parametrize("seed", range(12))
def test_the_first_tour_takes_the_shortest_links_of_all(seed: int) -> None:
    """Five strokes, whose lists hold all ends; where one has no place, two are left to the last."""
    rng = np.random.default_rng(seed)
    xy = rng.integers(0, 1_000, (10, 2)).astype(np.float64)
    if seed % 2:
        xy[-1] = np.nan
    known = [e for e in range(10) if not np.isnan(xy[e, 0])]
    pairs = [(e, f) for e, f in itertools.combinations(known, 2) if e ^ f != 1]
    links: dict[int, int] = {}
    for e, f in sorted(pairs, key=lambda pair: np.hypot(*(xy[pair[0]] - xy[pair[1]]))):
        free = e not in links and f not in links
        if free and other_end(links, e) != f:
            links |= {e: f, f: e}
    found = greedy_tour(METRIC, xy, near_lists(METRIC, xy))
    assert sorted(found >> 1) == list(range(5))
    made = links_of(found.tolist())
    assert {e: made[e] for e in links} == links
    assert is_one_tour(made)


def other_end(links: dict[int, int], e: int) -> int:
    """The end of the path that begins with an end."""
    e ^= 1
    while e in links:
        e = links[e] ^ 1
    return e


def test_the_first_tour_of_many_joins_what_is_left_over_and_over() -> None:
    """Two rows far apart: lists of near ends never lead from one to the other."""
    rng = np.random.default_rng(1)
    xy = rng.uniform(0, 100, (400, 2))
    xy[200:, 0] += 1e6
    found = greedy_tour(METRIC, xy, near_lists(METRIC, xy, searched=6, each=0, kept=6))
    steps = xy[found ^ 1] - xy[np.roll(found, -1)]
    assert sorted(found >> 1) == list(range(200))
    assert (np.hypot(*steps.T) > 1e5).sum() == 2


# ---- runs and strokes


def strokes_of(count: int, seed: int) -> Runs:
    """Dots of which many share a place, lines, and rings."""
    rng = np.random.default_rng(seed)
    listed: list[Any] = []
    for kind in rng.integers(0, 3, count):
        at = rng.integers(0, 3, 2)
        if kind == 0:
            listed.append([tuple(at.tolist())])
        elif kind == 1:
            listed.append([tuple(at.tolist()), tuple((at + rng.integers(1, 9, 2)).tolist())])
        else:
            ring = [tuple(p) for p in rng.integers(0, 99, (int(rng.integers(2, 9)), 2)).tolist()]
            listed.append([*ring, ring[0]])
    return Runs(*ragged(listed))


def test_dots_in_one_place_follow_the_first_of_them() -> None:
    xy = np.array([(1, 1), (2, 2), (1, 1), (1, 1), (2, 2), (3, 3)], np.float64)
    is_dot = np.array([True, True, False, True, True, True])
    head, follower = search._coincident(xy, is_dot)
    assert head.tolist() == [0, 1, 2, 0, 1, 5]
    assert follower.tolist() == [[3, 0], [4, 1]]
    head, follower = search._coincident(xy[:2], np.array([True, False]))
    assert head.tolist() == [0, 1]
    assert follower.shape == (0, 2)


@pytest.mark.parametrize("seed", range(6))
def test_an_order_is_a_tour_and_a_tour_an_order(seed: int) -> None:
    rng = np.random.default_rng(seed)
    states = States.of(strokes_of(25, seed))
    entered = np.array(
        [rng.integers(states.first[run], states.first[run + 1]) for run in rng.permutation(25)]
    )
    chosen = np.empty(25, np.int64)
    chosen[states.owner[entered]] = entered
    forward = np.where(states.closed, chosen, states.first[:-1])
    head, follower = search._coincident(states.xy[forward], np.diff(states.first) == 1)
    kept = np.flatnonzero(head == np.arange(25))
    made = search._as_tour(states, entered, kept, head, forward)
    assert made[0] == 2 * len(kept)
    assert sorted(made >> 1) == list(range(len(kept) + 1))
    again = search._as_entered(states, made, kept, follower, forward)
    mine = head[states.owner[entered]] == states.owner[entered]
    wanted = []
    for state in entered[mine]:
        run = states.owner[state]
        wanted += [state, *forward[np.flatnonzero((head == run) & (np.arange(25) != run))]]
    assert again.tolist() == wanted
    backwards = np.concatenate([made[:1], made[:0:-1]]) ^ 1  # the depot is left at its second end
    assert search._as_entered(states, backwards, kept, follower, forward).tolist() == wanted


def test_places_at_which_rings_are_looked_at() -> None:
    """Of a ring of ten with room for four: the first of each quarter, and the one chosen."""
    big = [(k, k * k) for k in range(10)]
    runs = Runs(*ragged([[(0, 0)], [*big, big[0]], [(1, 1), (2, 2)], [(5, 5), (6, 5), (5, 5)]]))
    states = States.of(runs)
    assert search._most_seats(states) == 32
    for chosen, most, wanted in (
        (9, 4, [1, 4, 6, 9]),
        (3, 4, [1, 3, 4, 6, 9]),
        (3, 32, [*range(1, 11)]),
    ):
        forward = np.array([0, chosen, 11, 13])
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(search, "_most_seats", lambda _, most=most: most)
            seats, owner = search._seats(states, forward, np.array([1, 2, 3]))
        assert seats.tolist() == [*wanted, 13, 14]
        assert owner.tolist() == [0] * len(wanted) + [2, 2]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(search, "_most_seats", lambda _: 4)
        seats, owner = search._seats(states, np.array([0, 1, 11, 13]), np.array([0, 3]))
    assert (seats.tolist(), owner.tolist()) == ([13, 14], [1, 1])


@pytest.mark.parametrize(("closed", "most"), [(0, 32), (1, 32), (10_000, 15), (75_000, 4)])
def test_rings_share_the_places_that_are_looked_at(closed: int, most: int) -> None:
    none = np.zeros(0, np.int64)
    states = States(np.zeros((0, 2)), none, none, none, np.ones(closed, bool))
    assert search._most_seats(states) == most


def test_an_end_without_a_place() -> None:
    xy = np.array([(0, 1), (np.nan, np.nan), (2, 3), (np.nan, np.nan)])
    assert search.free_end(xy) == 1
    assert search.free_end(xy[[0, 2]]) == -1


@pytest.mark.parametrize("metric", [METRIC, TIME])
def test_a_round_never_loses_and_says_where_rings_are_entered(metric: Metric) -> None:
    rng = np.random.default_rng(4)
    sizes = np.where(np.arange(40) % 2, 0, rng.integers(2, 7, 40))
    sizes[-1] = 0
    first = np.concatenate([[0], np.cumsum(sizes)])
    middle = rng.uniform(0, 1_000, (40, 2))
    vertices = np.repeat(middle, sizes, axis=0) + rng.uniform(-90, 90, (first[-1], 2))
    xy = np.stack([middle, middle + rng.uniform(-90, 90, (40, 2))], axis=1)
    xy[sizes > 0] = vertices[first[:-1][sizes > 0]][:, None]
    strokes = Strokes(xy.reshape(-1, 2), vertices, first)
    found, places = search.solve_tour(metric, strokes, search.Work(0.1, 1))
    assert sorted(found >> 1) == list(range(40))
    entered = xy[np.arange(40), 0].copy()
    for s in range(40):
        if sizes[s]:
            assert places[s].tolist() in vertices[first[s] : first[s + 1]].tolist()
            xy[s] = places[s]
        else:
            assert places[s].tolist() in xy[s].tolist()
    assert (places != entered).any()
    ends = xy.reshape(-1, 2)
    # From the same tour again: with the rings where they are nothing is lost.
    again, _ = search.solve_tour(metric, Strokes.fixed(ends), search.Work(0.1, 1), found)
    assert way(metric, ends, again) <= way(metric, ends, found) * (1 + 1e-12)
    hasty = search.Work(0.1, 1, lambda: False)
    kept, where = search.solve_tour(metric, strokes, hasty, found)
    assert kept.tolist() == found.tolist()
    np.testing.assert_array_equal(where, strokes.xy[0::2])


@pytest.mark.parametrize(("size", "rounds"), [(32, 1), (33, 2)])
def test_rings_of_more_vertices_than_are_looked_at_have_two_rounds(
    size: int, rounds: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second from where the first ends; each with its part of the effort."""
    asked: list[Any] = []

    def noted(metric: Metric, strokes: Strokes, work: search.Work, start: Any = None) -> Any:
        asked.append((strokes, work, start))
        count = len(strokes.xy) // 2
        made = start if start is not None else 2 * np.roll(np.arange(count, dtype=np.int32), 1)
        return made, strokes.xy[0::2]

    monkeypatch.setattr(search, "solve_tour", noted)
    turn = np.arange(size) * 2 * np.pi / size
    ring = np.rint(1_000 * np.stack([np.cos(turn), np.sin(turn)], axis=1)).astype(int).tolist()
    runs = Runs(*ragged([[(5, 5)], [*ring, ring[0]], [(5, 5)], [(2_000, 0), (3_000, 0)]]))
    states = States.of(runs)
    ends = np.array([0.0, 1.0, 2.0, 3.0])
    entered = np.array([0, 1, size + 1, size + 2])
    work = search.Work(1.0, 9, strokes=77)
    found = search.search_order(states, entered, METRIC, ends, work)
    assert [(part.effort, part.seed) for _, part, _ in asked] == [(1 / rounds, 9)] * rounds
    assert asked[0][2] is None
    for strokes, _, start in asked:
        assert strokes.xy[-2:].tolist() == [[2.0, 3.0], [0.0, 1.0]]
        assert strokes.xy[[0, 1, 4, 5]].tolist() == [[5, 5], [5, 5], [2_000, 0], [3_000, 0]]
        assert np.diff(strokes.first)[[0, 2, 3]].tolist() == [0, 0, 0]
        assert 32 <= strokes.first[-1] <= 33
        assert start is None or start.tolist() == [6, 0, 2, 4]
    # the two dots first, the ring from its best vertex between the dots and the line
    assert states.owner[found].tolist() == [0, 2, 1, 3]
    ways = np.hypot(*(states.xy[1 : size + 1] - (5, 5)).T)
    ways += np.hypot(*(states.xy[1 : size + 1] - (2_000, 0)).T)
    assert found[2] == 1 + np.argmin(ways)


def test_very_many_strokes_are_searched_in_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[Any] = []

    def noted(metric: Metric, strokes: Strokes, solve: Any, **how: Any) -> Any:
        asked.append((strokes, how))
        return solve(Strokes.fixed(strokes.xy[:12]), 4)

    monkeypatch.setattr(search, "SPLIT", 20)
    monkeypatch.setattr(search, "in_blocks", noted)
    xy = np.random.default_rng(1).uniform(0, 1_000, (42, 2))
    work = search.Work(0.5, 3)
    found, places = search.solve_tour(METRIC, Strokes.fixed(xy), work)
    assert sorted(found >> 1) == list(range(6))
    for place, ends in zip(places.tolist(), xy[:12].reshape(-1, 2, 2).tolist(), strict=True):
        assert place in ends
    assert [how for _, how in asked] == [{"kicks": 50.0, "seed": 3, "go_on": None}]
    search.solve_tour(METRIC, Strokes.fixed(xy[:40]), work)
    search.solve_tour(METRIC, Strokes.fixed(xy), work, 2 * np.arange(21, dtype=np.int32))
    assert len(asked) == 1


@pytest.mark.parametrize(("count", "tiled"), [(60, False), (61, True)])
def test_long_tours_are_searched_in_tiles_and_keep_the_best(
    count: int, tiled: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(search, "TILE", 60)
    xy = np.random.default_rng(3).uniform(0, 1_000, (2 * count, 2))
    ground = tiles.Ground(METRIC, xy, near_lists(METRIC, xy))
    rounds: list[int] = []

    def spoiled(ground: Any, seq: Any, work: Annealing) -> Any:
        rounds.append(len(seq))
        return np.random.default_rng(1).permutation(seq)

    def kept(ground: Any, seq: Any, work: Annealing) -> Any:
        rounds.append(len(seq))
        return best

    work = Annealing(3.0, 0.5, 0.0, 1)
    begun = search._descended(ground, 2 * np.arange(count, dtype=np.int32), work)
    at_first = begun.best.copy()
    monkeypatch.setattr(search, "in_tiles", spoiled)
    found = search._annealed(begun, ground, work)
    assert rounds == [count] * tiled
    before = way(METRIC, xy, at_first)
    assert way(METRIC, xy, found) <= before * (1 + 1e-12)
    if tiled:
        far = searched_long(ground, count)
        best = far.best.copy()
        monkeypatch.setattr(search, "in_tiles", kept)
        again = search._annealed(begun, ground, work)
        assert way(METRIC, xy, again) <= way(METRIC, xy, best) * (1 + 1e-12) < before


def searched_long(ground: tiles.Ground, count: int) -> Search:
    assert ground.lists is not None
    some = Search(METRIC, ground.xy, ground.lists, 2 * np.arange(count, dtype=np.int32), 5)
    some.descend()
    some.anneal(Annealing(100.0, 0.7, 0.0, 5))
    return some


# ---- strokes with a choice


def test_strokes_along_a_tour() -> None:
    xy = np.arange(12.0).reshape(6, 2)
    vertices = np.array([(50, 0), (51, 0), (52, 0)], np.float64)
    strokes = Strokes(xy, vertices, np.array([0, 2, 2, 3]))
    along = strokes.along(np.array([5, 0, 3]))
    assert along.xy.tolist() == xy[[5, 4, 0, 1, 3, 2]].tolist()
    assert along.first.tolist() == [0, 1, 3, 3]
    assert along.vertices.tolist() == vertices[[2, 0, 1]].tolist()
    assert (strokes.choices, strokes.share) == (True, pytest.approx(2 / 3))
    assert strokes.along(np.array([2])).vertices.shape == (0, 2)
    fixed = Strokes.fixed(xy)
    assert (fixed.choices, fixed.share, fixed.first.tolist()) == (False, 0.0, [0, 0, 0, 0])
