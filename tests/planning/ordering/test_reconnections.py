"""Which three-link moves give one tour again, and what the turns make of it: every move on every
small tour, against a plain list of links that is cut, tied and walked.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import permutations, product

import numpy as np
import pytest

from plotlib.planning.metric import distance_metric
from plotlib.planning.ordering.lists import near_lists
from plotlib.planning.ordering.search_kernel import _apart, _turn_three, _way
from plotlib.planning.ordering.tour import Search
from plotlib.planning.ordering.tour_kernel import begin, turn, undo
from tests.oracles_search import Links, is_one_tour, links_of, reconnected


def tours(count: int) -> Iterator[list[int]]:
    """All tours of up to four strokes; of more, one order of the strokes in all directions."""
    orders = [*permutations(range(count))]
    if count > 4:
        orders = [orders[len(orders) * 5 // 7]]
    for order in orders:
        for directions in product((0, 1), repeat=count):
            yield [2 * s + d for s, d in zip(order, directions, strict=True)]


def search_of(count: int) -> Search:
    xy = np.random.default_rng(count).uniform(0, 1_000, (2 * count, 2))
    metric = distance_metric(1.0)
    return Search(metric, xy, near_lists(metric, xy), 2 * np.arange(count, dtype=np.int32), 1)


def stand(search: Search, seq: list[int]) -> None:
    """Let a search stand at a tour; what is turned from here on can be undone."""
    search.seq[:] = seq
    search.place[search.seq >> 1] = 2 * np.arange(len(seq)) + (search.seq & 1)
    begin(search.tour)


def assert_stands(search: Search, links: Links) -> None:
    seq = search.seq.tolist()
    assert links_of(seq) == links
    assert search.place.tolist() == [2 * seq.index(entry) + (entry & 1) for entry in sorted(seq)]


@pytest.mark.parametrize("count", [3, 4, 5, 6])
def test_every_three_link_move_is_known_for_what_it_is(count: int) -> None:
    search = search_of(count)
    t = search.tour
    ways: Counter[int] = Counter()
    for seq in tours(count):
        links = links_of(seq)
        stand(search, seq)
        for t1, t3 in product(range(2 * count), repeat=2):
            t2 = links[t1]
            t4 = links[t3]
            if t3 in (t1, t2, t2 ^ 1):
                continue
            for t5 in range(2 * count):
                t6 = links[t5]
                if t5 in (t1, t2, t3, t4):
                    continue
                new = reconnected(links, (t2, t3), (t4, t5), (t6, t1))
                way = _way(t, t1, t2, t3, t4, t5)
                ways[way] += 1
                assert (way > 0) == is_one_tour(new), (seq, t1, t2, t3, t4, t5, t6)
                if way > 0:
                    _turn_three(t, way, t1, t2, t3, t4, t5, t6)
                    assert_stands(search, new)
                    assert undo(t)
                    begin(t)
                    assert search.seq.tolist() == seq
    assert sorted(ways) == [0, 1, 2, 3]
    assert ways[2] == ways[3]  # a run and the next one: both turned, or exchanged


@pytest.mark.parametrize("count", [2, 3, 4, 5])
def test_every_two_link_move_is_known_for_what_it_is(count: int) -> None:
    search = search_of(count)
    t = search.tour
    for seq in tours(count):
        links = links_of(seq)
        for t1, t3 in product(range(2 * count), repeat=2):
            t2 = links[t1]
            t4 = links[t3]
            if t3 in (t1, t2):
                continue
            stand(search, seq)
            new = reconnected(links, (t2, t3), (t4, t1))
            assert _apart(t, t1, t3) == is_one_tour(new), (seq, t1, t2, t3, t4)
            if _apart(t, t1, t3):
                turn(t, t1, t2, t3, t4)
                assert_stands(search, new)
