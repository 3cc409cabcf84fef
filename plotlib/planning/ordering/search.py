"""From runs to a tour of strokes and back: the depot, dots in one place, closed runs, and how much
work an effort is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.blocks import in_blocks, opened
from plotlib.planning.ordering.lists import near_lists
from plotlib.planning.ordering.runs import States
from plotlib.planning.ordering.seats import Strokes, seat_lists
from plotlib.planning.ordering.tiles import TILE, Ground, in_tiles, long_links_search
from plotlib.planning.ordering.tour import Annealing, GoOn, Search, Tell, Tour, greedy_tour

SPLIT = 75_000  # strokes from which on they are searched in blocks: one and a half of a block
# Kicks for each stroke at effort 1 (linear between): 2.7 s for 1,000 dots, 4.5 s for 3,000 to 6,000
# and 11 s for 18,000 on one core of 2.5 GHz (tests/benchmarks/pen_order.py --instances). Fewer for
# more strokes, so that the time grows gently; a kick of dots takes longer. Those for dots rest on
# few runs, with a spread of 0.1 points of the gap between seeds.
STROKES = (1_500, 3_000, 6_000, 10_000, 20_000, 40_000, 100_000, 1_000_000)
KICKS = (100.0, 100.0, 75.0, 45.0, 22.0, 11.0, 8.0, 1.5)
KICKS_OF_DOTS = (93.0, 43.0, 27.5, 25.0, 12.8, 8.0, 8.0, 1.5)
# Closed strokes: a kick takes several times as long. Set by the closed rows of the same benchmark,
# which an annealing judges (400 squares, 300 stars).
CLOSED = (400, 1_000, 3_000, 10_000, 20_000, 40_000, 100_000, 1_000_000)
KICKS_OF_CLOSED = (93.0, 45.0, 25.0, 12.0, 7.0, 5.0, 4.0, 1.0)
ROUNDS = 2  # of search, where closed runs have more vertices than it looks at; more: not measured
SEATS = 150_000  # vertices of closed runs that the search looks at, together, which bounds memory
LEAST_SEATS = 4  # of one run at least: a square has all its corners
MOST_SEATS = 32  # and at most; the last choice among all vertices is exact


@dataclass(frozen=True)
class Work:
    """How much to do: the effort, the seed, whether to go on (asked now and then), of how many
    strokes this may be a part, and who is told of the share done.
    """

    effort: float
    seed: int
    go_on: GoOn = None
    strokes: int = 0
    tell: Tell = None

    def kicks(self, strokes: int, *, dots: bool, closed: float = 0.0) -> float:
        """Kicks for each of so many strokes, a share ``closed`` of them closed; rounded, as is the
        warmth, since the same bytes are wanted on any machine.
        """
        count = max(strokes, self.strokes)
        of_one = float(np.interp(count, STROKES, KICKS_OF_DOTS if dots else KICKS))
        of_closed = float(np.interp(count, CLOSED, KICKS_OF_CLOSED))
        return self.effort * round(of_one + closed * min(0.0, of_closed - of_one), 3)


def warmth(kicks: float, *, dots: bool) -> float:
    """Mean links that the search bears to lose at first: much work bears a hot start, little work
    must start cool, and dots cooler.
    """
    doublings = np.log2(kicks / 15)
    warm = np.clip(0.35 + doublings, 0.1, 0.9) if dots else np.clip(0.7 + 0.6 * doublings, 0.2, 1.3)
    return round(float(warm), 3)


def solve_tour(
    metric: Metric, strokes: Strokes, work: Work, start: Tour | None = None
) -> tuple[Tour, FloatArray]:
    """A good closed tour through strokes, from the tour ``start`` or from nothing, and the places
    (n, 2) at which they are entered first; the last stroke is the depot.
    """
    xy = strokes.xy
    if len(xy) > 2 * SPLIT and start is None:

        def solve(part: Strokes, seed: int) -> tuple[Tour, FloatArray]:
            return solve_tour(metric, part, Work(work.effort, seed, work.go_on, len(xy) // 2))

        return in_blocks(
            metric,
            strokes,
            solve,
            kicks=work.kicks(len(xy) // 2, dots=False),
            seed=work.seed,
            go_on=work.go_on,
        )
    seq = start
    if seq is None:
        seq = greedy_tour(metric, xy, near_lists(metric, xy, free=free_end(xy)))
    if work.go_on is not None and not work.go_on():
        return seq, xy[0::2]
    ends = np.stack([seq, seq ^ 1], axis=1).ravel()
    along = strokes.along(
        seq
    )  # numbered along the tour: near strokes lie near each other in memory
    free = free_end(along.xy)
    if strokes.choices:
        lists = seat_lists(metric, along, free=free)
    else:
        lists = near_lists(metric, along.xy, free=free)
    ground = Ground(metric, along.xy, lists)
    search = _descended(ground, 2 * np.arange(len(seq), dtype=np.int32), work)
    search = _descended(ground, long_links_search(ground, search.best, work.seed, work.go_on), work)
    kicks = work.kicks(len(seq), dots=lists.twins, closed=strokes.share)
    hot = warmth(kicks, dots=lists.twins)
    annealing = Annealing(kicks, hot, 0.0, work.seed, work.go_on, work.tell)
    tour: Tour = ends[_annealed(search, ground, annealing)].astype(np.int32)
    places = np.empty((len(seq), 2))
    places[ends[0::2] >> 1] = ground.xy[0::2]
    return tour, places


def _descended(ground: Ground, seq: Tour, work: Work | Annealing) -> Search:
    assert ground.lists is not None
    search = Search(ground.metric, ground.xy, ground.lists, seq, work.seed)
    search.descend(work.go_on)
    _sit(ground, search)
    return search


def _sit(ground: Ground, search: Search) -> None:
    """Leave the closed strokes where the best tour of a search has them."""
    seats = search.lists.seats
    if seats is not None:
        free = np.flatnonzero(seats.span[:, 1] > 0)
        ground.sit(free, search.best_row[free])


def _annealed(search: Search, ground: Ground, work: Annealing) -> Tour:
    """The tour after its kicks: as one tour, or, where it is long, in tiles."""
    if len(search.seq) <= TILE:
        search.anneal(work)
        _sit(ground, search)
        return search.best
    seq = in_tiles(ground, search.best, work)
    done = _descended(ground, seq, work)
    if done.best_cost() <= search.best_cost():
        return done.best
    _sit(ground, search)
    return search.best


def free_end(xy: FloatArray) -> int:
    """The first end without a place, -1 where all have one."""
    free = np.flatnonzero(np.isnan(xy[:, 0]))
    return int(free[0]) if len(free) else -1


def search_order(
    states: States, entered: IntArray, metric: Metric, ends: FloatArray, work: Work
) -> IntArray:
    """Improve an order of all runs (the entered states, in drawing order) by search; the states
    entered in the order found.
    """
    rounds = ROUNDS if (np.diff(states.first) > _most_seats(states)).any() else 1
    share = Work(work.effort / rounds, work.seed, work.go_on, tell=work.tell)
    for number in range(rounds):
        entered = _one_round(states, entered, metric, ends, share, fresh=number == 0)
        if states.closed.any():
            from plotlib.planning.ordering.closed_kernel import best_states

            entered = best_states(
                metric, states.xy, states.first, states.leave, states.owner[entered], ends
            )
    return entered


def _most_seats(states: States) -> int:
    """At how many vertices the search may enter one closed run."""
    return int(np.clip(SEATS / max(1, states.closed.sum()), LEAST_SEATS, MOST_SEATS))


def _one_round(
    states: States,
    entered: IntArray,
    metric: Metric,
    ends: FloatArray,
    work: Work,
    *,
    fresh: bool,
) -> IntArray:
    chosen = np.empty(len(entered), np.int64)
    chosen[states.owner[entered]] = entered
    forward = np.where(states.closed, chosen, states.first[:-1])
    head, follower = _coincident(states.xy[forward], np.diff(states.first) == 1)
    kept = np.flatnonzero(head == np.arange(len(head)))
    xy = np.empty((2 * len(kept) + 2, 2))
    xy[0:-2:2] = states.xy[forward[kept]]
    xy[1:-2:2] = states.xy[states.leave[forward[kept]]]
    xy[-2] = ends[2:]
    xy[-1] = ends[:2]
    start = None if fresh else _as_tour(states, entered, kept, head, forward)
    seats = _seats(states, forward, kept)
    first = np.concatenate([[0], np.cumsum(np.bincount(seats[1], minlength=len(kept) + 1))])
    strokes = Strokes(xy, states.xy[seats[0]], first)
    tour, places = solve_tour(metric, strokes, work, start)
    if strokes.choices:
        here = (places[seats[1]] == strokes.vertices).all(axis=1)
        forward[kept[seats[1][here]]] = seats[0][here]
    return _as_entered(states, tour, kept, follower, forward)


def _seats(states: States, forward: IntArray, kept: IntArray) -> tuple[IntArray, IntArray]:
    """The states at which the search may enter closed runs, and the places of these runs among
    those kept: all, or of many some, evenly, and the one chosen.
    """
    most = _most_seats(states)
    counts = np.diff(states.first)
    within = np.arange(len(states.xy)) - states.first[states.owner]
    count = counts[states.owner]
    few = np.minimum(count, most)
    even = within * few // count != (within - 1) * few // count
    free = even | (forward[states.owner] == np.arange(len(states.xy)))
    free &= states.closed[states.owner] & (count > 1)
    number = np.full(len(counts), -1, np.int64)
    number[kept] = np.arange(len(kept))
    listed = np.flatnonzero(free & (number[states.owner] >= 0))
    return listed, number[states.owner[listed]]


def _as_tour(
    states: States, entered: IntArray, kept: IntArray, head: IntArray, forward: IntArray
) -> Tour:
    """The tour of kept runs, the depot first, that an order stands for."""
    owner = states.owner[entered]
    mine = head[owner] == owner
    number = np.full(len(head), -1, np.int64)
    number[kept] = np.arange(len(kept))
    backwards = (entered != forward[owner]).astype(np.int64)
    body = (2 * number[owner] + backwards)[mine]
    tour: Tour = np.concatenate([[2 * len(kept)], body]).astype(np.int32)
    return tour


def _as_entered(
    states: States, tour: Tour, kept: IntArray, follower: IntArray, forward: IntArray
) -> IntArray:
    """States entered along a tour, from the depot on, followers after the dot that they share a
    place with.
    """
    path = opened(tour)
    runs = kept[path >> 1]
    backwards = path & 1 == 1
    states_entered = np.where(backwards, states.leave[forward[runs]], forward[runs])
    if len(follower) == 0:
        return np.asarray(states_entered)
    rank = np.empty(len(forward))
    rank[runs] = np.arange(len(runs))
    rank[follower[:, 0]] = rank[follower[:, 1]]
    entered = forward.copy()
    entered[runs] = states_entered
    return entered[np.lexsort((np.arange(len(rank)), rank))]


def _coincident(xy: FloatArray, is_dot: BoolArray) -> tuple[IntArray, IntArray]:
    """For each run the first dot in the same place (itself where there is none), and the pairs
    (run, that dot) of all others.
    """
    head = np.arange(len(xy))
    dots = np.flatnonzero(is_dot)
    if len(dots) > 1:
        _, first, inverse = np.unique(xy[dots], axis=0, return_index=True, return_inverse=True)
        head[dots] = dots[first[inverse.ravel()]]
    others = np.flatnonzero(head != np.arange(len(head)))
    return head, np.stack([others, head[others]], axis=1)
