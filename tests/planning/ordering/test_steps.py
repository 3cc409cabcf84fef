"""The search step by step, against its slow version: each end that is settled, each kick."""

from __future__ import annotations

import numpy as np
import pytest

from plotlib.planning.metric import Metric, distance_metric
from plotlib.planning.ordering import tour_kernel as kernel
from plotlib.planning.ordering.lists import Lists, near_lists
from plotlib.planning.ordering.search import free_end
from plotlib.planning.ordering.search_kernel import anneal, settle
from plotlib.planning.ordering.seats import Strokes, seat_lists
from plotlib.planning.ordering.tour import Annealing, Search
from tests.oracles_search import Random, SlowSearch, links_of

DISTANCE = distance_metric(0.01)
TIME = Metric(1.0, 6e-3, 1.5e-2, 2e-3, 4e-3)
Case = tuple[Metric, np.ndarray, Lists]


def lines(count: int, seed: int, *, metric: Metric = DISTANCE, dots: int = 0) -> Case:
    """Lines and some dots at random; the last end has no place."""
    rng = np.random.default_rng(seed)
    xy = rng.uniform(0, 1_000, (count, 2, 2))
    xy[:, 1] = xy[:, 0] + rng.uniform(-150, 150, (count, 2))
    xy[:dots, 1] = xy[:dots, 0]
    ends = xy.reshape(-1, 2)
    ends[-1] = np.nan
    return metric, ends, near_lists(metric, ends, free=free_end(ends))


def rings(count: int, seed: int, *, metric: Metric = DISTANCE, few: int = 2) -> Case:
    """Rings of two to six vertices, of which they are entered at any; every third is a line."""
    rng = np.random.default_rng(seed)
    sizes = np.where(np.arange(count) % 3 == 0, 0, rng.integers(few, 7, count))
    first = np.concatenate([[0], np.cumsum(sizes)])
    middle = rng.uniform(0, 1_000, (count, 2))
    vertices = np.repeat(middle, sizes, axis=0) + rng.uniform(-120, 120, (first[-1], 2))
    xy = np.stack([middle, middle + rng.uniform(-100, 100, (count, 2))], axis=1)
    closed = np.flatnonzero(sizes)
    xy[closed] = vertices[first[closed]][:, None]
    strokes = Strokes(xy.reshape(-1, 2), vertices, first)
    return metric, strokes.xy, seat_lists(metric, strokes)


CASES = {
    "lines": lines(14, 1),
    "few lines": lines(5, 2, metric=TIME),
    "dots": lines(30, 3, dots=29),
    "many lines": lines(80, 4, metric=TIME),
    "rings": rings(12, 5),
    "many rings": rings(40, 6, metric=TIME),
    "few rings": rings(6, 7, few=4),
}


def begun(case: Case, seed: int) -> tuple[Search, SlowSearch]:
    """Both searches before the first step, every end queued."""
    metric, xy, lists = case
    seq = np.random.default_rng(seed).permutation(len(xy) // 2) * 2
    search = Search(metric, xy, lists, seq.astype(np.int32), seed)
    slow = SlowSearch(metric, xy, lists, seq.tolist())
    search.queue[:] = np.arange(len(xy))
    search.waiting[:] = 1
    search.whole[kernel.QUEUED] = len(xy)
    slow.push(*range(len(xy)))
    return search, slow


def queued(search: Search) -> list[int]:
    at = search.whole[kernel.HEAD] + np.arange(search.whole[kernel.QUEUED])
    return search.queue[at % len(search.queue)].tolist()


def assert_stands_as(search: Search, slow: SlowSearch) -> None:
    seq = search.seq.tolist()
    assert links_of(seq) == slow.links
    assert dict(enumerate(search.mates.tolist())) == slow.links
    assert search.place.tolist() == [2 * seq.index(entry) + (entry & 1) for entry in sorted(seq)]
    assert search.row.tolist() == slow.rows
    np.testing.assert_array_equal(search.xy, slow.places)
    for e, f in slow.links.items():
        assert search.costs[e] == pytest.approx(slow.sum([(e, f)], {}), abs=1e-12)
    assert queued(search) == list(slow.queue)
    assert np.flatnonzero(search.waiting).tolist() == sorted(slow.queue)


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("seed", range(2))
def test_each_end_is_settled_as_the_slow_search_does(name: str, seed: int) -> None:
    search, slow = begun(CASES[name], seed)
    before = slow.cost()
    assert search.real[kernel.NOW] == search.real[kernel.BEST] == pytest.approx(before)
    kernel.begin(search.tour)
    saved = 0.0
    while slow.queue:
        slow.settle_one()
        saved += settle(search.metric, search.tour, 1)
        assert_stands_as(search, slow)
        assert saved == pytest.approx(before - slow.cost())
    assert saved > 0.2 * before
    moved = search.turned[: 3 * search.whole[kernel.TURNED]].reshape(-1, 3)
    assert (moved[:, 1] == -1).all()
    assert 0 < moved[:, 2].max() <= len(search.seq) // 2  # the shorter side of each
    _undone(search, CASES[name], seed)


def _undone(search: Search, case: Case, seed: int) -> None:
    """All of a descent taken back."""
    fresh, slow = begun(case, seed)
    assert kernel.undo(search.tour)
    slow.queue.clear()
    assert_stands_as(search, slow)
    fresh.descend()
    assert fresh.real[kernel.NOW] == pytest.approx(fresh.cost())
    assert fresh.real[kernel.BEST] == fresh.real[kernel.NOW]
    assert fresh.best.tolist() == fresh.seq.tolist()
    assert fresh.best_row.tolist() == fresh.row[::2].tolist()


@pytest.mark.parametrize("name", CASES)
def test_each_kick_is_made_settled_and_judged_as_the_slow_search_does(name: str) -> None:
    search, slow = begun(CASES[name], 3)
    while slow.queue:
        slow.settle_one()
    search.descend()
    assert_stands_as(search, slow)
    kicks = 35
    hot = 0.8 * slow.cost() / len(search.seq)
    cool = 0.1 * hot
    search.whole[kernel.KICKS] = kicks
    search.real[kernel.HOT] = hot
    search.real[kernel.COOL] = cool
    kept = Counted()
    seq = search.seq.tolist()
    for kick in range(kicks):
        random = Random(int(search.whole[kernel.RANDOM]))
        best = search.real[kernel.BEST]
        seq = search.seq.tolist()
        search.whole[kernel.KICK] = kick
        anneal(search.metric, search.tour, kick + 1)
        warmth = hot + (cool - hot) * kick / kicks
        loss, stays = judged(slow, seq, random, warmth)
        assert_stands_as(search, slow)
        if abs(loss) > 1e-12:  # else rounding decides whether a random number is drawn
            assert random.state == int(search.whole[kernel.RANDOM]) % 2**64
        kept.add(loss, stays)
        assert search.whole[kernel.KICK] == kick + 1
        cost = slow.cost()
        assert search.real[kernel.NOW] == pytest.approx(cost)
        assert search.real[kernel.BEST] == pytest.approx(min(best, cost))
        if search.real[kernel.BEST] < best:
            assert search.best.tolist() == search.seq.tolist()
            assert search.best_row.tolist() == search.row[::2].tolist()
    if len(seq) > 6:  # few strokes have few tours, and are soon back at the best
        assert kept.worse + kept.undone >= 4


class Counted:
    """Kicks that were kept though they lost, and those that were taken back."""

    def __init__(self) -> None:
        self.worse = 0
        self.undone = 0

    def add(self, loss: float, stays: bool) -> None:
        self.worse += stays and loss > 1e-9
        self.undone += not stays


def judged(slow: SlowSearch, seq: list[int], random: Random, warmth: float) -> tuple[float, bool]:
    """One kick of the slow search: what was lost, and whether it stays."""
    before = slow.cost()
    links = slow.links
    rows = list(slow.rows)
    places = [list(place) for place in slow.places]
    if not slow.kick(seq, random):
        return 0.0, True
    while slow.queue:
        slow.settle_one()
    loss = slow.cost() - before
    # rounding: a tour that is the same again has lost nothing
    stays = loss <= 1e-12 * before or loss <= warmth * random.minus_log()
    if not stays:
        slow.links = links
        slow.rows = rows
        slow.places = places
    return loss, stays


def test_more_than_the_journal_holds_is_not_undone() -> None:
    search, _ = begun(CASES["rings"], 1)
    seq = search.seq.tolist()
    search.turned[:] = np.tile([0, -1, 2], kernel.JOURNAL)  # the first two turned, time and again
    search.cut[:] = np.tile([seq[0], search.mates[seq[0]]], kernel.JOURNAL)
    search.cut_costs[:] = search.costs[seq[0]]
    search.seated[:] = np.tile([1, search.row[2]], kernel.JOURNAL)
    for count in (kernel.TURNED, kernel.CUT, kernel.SEATED):
        kernel.begin(search.tour)
        search.whole[count] = kernel.JOURNAL + 1
        assert not kernel.undo(search.tour)
        search.whole[count] = kernel.JOURNAL
        assert kernel.undo(search.tour)
        assert search.seq.tolist() == seq  # after turning an even number of times


def test_an_annealing_makes_as_many_kicks_as_it_is_asked_for() -> None:
    search, _ = begun(CASES["lines"], 1)
    search.descend()
    mean = search.cost() / 14
    told: list[float] = []
    search.anneal(Annealing(2.5, 0.7, 0.2, 1, tell=told.append))
    assert search.whole[kernel.KICK] == search.whole[kernel.KICKS] == 35
    assert search.real[kernel.HOT] == pytest.approx(0.7 * mean)
    assert search.real[kernel.COOL] == pytest.approx(0.2 * mean)
    assert told == [1.0]
