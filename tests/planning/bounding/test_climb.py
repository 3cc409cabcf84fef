"""Steps of the bound's ascent against a slow version in numpy, and what certifies them."""

from __future__ import annotations

import itertools
from typing import NamedTuple

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.csgraph import minimum_spanning_tree

from plotlib.planning.bounding import ascent_kernel as kernel
from plotlib.planning.bounding import levels_kernel, search
from plotlib.planning.bounding.bound import _problem, as_started, is_ring
from plotlib.planning.bounding.graph import Links, Multipliers, Problem, SetLinks, graph_of, union
from plotlib.planning.bounding.sets import ODD, Sets, linked, no_sets
from tests.oracles_planning import METRIC, TIMED, move, ragged


def problem_of(seed: int, *, rings: bool) -> Problem:
    """Dots, lines and, where asked, rings of three or four vertices at random, with a home."""
    rng = np.random.default_rng(seed)
    strokes = []
    for kind in ("dot", "line", "ring", "line", "dot", "ring", "line", "dot"):
        x, y = rng.integers(0, 1_000, 2).tolist()
        more = (rng.integers(-200, 200, (3, 2)) + np.array([x, y])).tolist()
        if kind == "ring" and rings:
            strokes.append([(x, y), *map(tuple, more), (x, y)])
        else:
            strokes.append([(x, y), *map(tuple, more[: kind == "line"])])
    metric = TIMED if seed % 2 else METRIC
    return _problem(*ragged(strokes), metric, (0, 0), (900, 50) if seed % 3 else None)


def links_of(problem: Problem, rng: np.random.Generator) -> Links:
    """A row of links through all runs, and half of all others."""
    pairs = [
        pair
        for pair in itertools.combinations(range(len(problem.xy)), 2)
        if problem.group[pair[0]] != problem.group[pair[1]]
    ]
    runs = [int(np.flatnonzero(problem.group == run)[0]) for run in range(problem.runs)]
    chosen = [pair for pair in pairs if rng.random() < 0.5] + [*itertools.pairwise(runs)]
    return graph_of(problem, union(np.zeros((0, 2), np.int64), np.array(chosen)))


def sets_of(problem: Problem, rng: np.random.Generator) -> Sets:
    """An odd set of three ends, and a subtour set where there are rings."""
    open_ends = np.flatnonzero(problem.share == 1)[:3].tolist()
    vertices = rng.permutation(np.flatnonzero(problem.share == 0))[:4].tolist()
    handles = [open_ends, vertices] if vertices else [open_ends]
    rows = np.array([(u, u) for handle in handles for u in handle])
    starts = np.cumsum([0, *map(len, handles)])
    spare = np.array([ODD, problem.group[vertices[0]]] if vertices else [ODD])
    room = np.array([1, 0][: len(handles)])
    return Sets(rows, starts, room, spare, np.arange(len(handles)))


class Slow(NamedTuple):
    """What the slow version says of multipliers."""

    value: float
    surplus: np.ndarray  # of ends, slots and sets, one after the other
    squares: int  # of those that count
    taken: np.ndarray
    chosen: np.ndarray


def one_tree(problem: Problem, links: Links, sets: SetLinks, every: np.ndarray) -> Slow:
    """The minimum 1-tree of the links by scipy, and what it has too many of."""
    points = len(problem.xy)
    slots = len(links.owner)
    pi, rho, zeta = np.split(every, [points, points + slots])
    edges = links.edges
    held = [sets.links[a:b] for a, b in itertools.pairwise(sets.spans)]
    weights = links.costs + pi[edges].sum(axis=1)
    slot_of = links.slots if slots else np.full(edges.shape, -1)
    has_slot = slot_of >= 0
    for side in range(2):
        at = has_slot[:, side]
        weights[at] += rho[slot_of[at, side]]
    for inside, raise_ in zip(held, zeta, strict=True):
        weights[inside] += raise_
    taken = least_tree(problem.group[edges], weights, problem.runs)
    pairs = [
        (problem.first[u] + pi[u] + problem.second[v] + pi[v], u, v)
        for u, v in itertools.permutations(range(points), 2)
        if problem.group[u] != problem.group[v]
    ]
    both, home, finish = min(pairs)
    degree = np.bincount(edges[taken].ravel(), minlength=points)
    degree[[home, finish]] += 1
    worth = 2 * pi
    if slots:
        np.add.at(worth, links.owner, rho)
    np.add.at(worth, sets.counted, zeta[sets.counting])
    target = problem.share.copy()
    gain = float(problem.share @ pi)
    for run in range(problem.runs):
        own = np.flatnonzero((problem.group == run) & (problem.share == 0))
        if len(own):
            best = own[np.argmax(worth[own])]
            target[best] = 2
            gain += worth[best]
    is_chosen = (problem.share == 0) & (target == 2)
    filled = np.bincount(slot_of[has_slot & taken[:, None]], minlength=slots)[:slots]
    filled = filled - (target[links.owner] == 2)
    beyond = np.array([taken[inside].sum() for inside in held], np.int64) - sets.room
    np.add.at(beyond, sets.counting, -1 * is_chosen[sets.counted])
    surplus = np.concatenate([degree - target, filled, beyond])
    counts = np.concatenate(
        [np.ones(points, bool), (filled > 0) | (rho > 0), (beyond > 0) | (zeta > 0)]
    )
    value = weights[taken].sum() - zeta @ sets.room + both - gain
    return Slow(float(value), surplus, int((surplus[counts] ** 2).sum()), taken, is_chosen)


def least_tree(groups: np.ndarray, weights: np.ndarray, runs: int) -> np.ndarray:
    """Which links are in the least spanning tree of the runs; weights are raised, since nothing is
    no link, and all differ.
    """
    best: dict[tuple[int, int], int] = {}
    for e, (a, b) in enumerate(np.sort(groups, axis=1).tolist()):
        if (a, b) not in best or weights[e] < weights[best[a, b]]:
            best[a, b] = e
    rows, columns = np.array([*best]).T
    chosen = np.array([*best.values()])
    lifted = weights[chosen] - weights.min() + 1
    tree = minimum_spanning_tree(coo_array((lifted, (rows, columns)), shape=(runs, runs)).tocsr())
    taken = np.zeros(len(weights), bool)
    taken[[best[min(pair), max(pair)] for pair in zip(*tree.nonzero(), strict=True)]] = True
    return taken


@pytest.mark.parametrize("seed", range(12))
def test_steps_are_those_of_the_slow_version(seed: int) -> None:
    """Heavy ball: seven tenths of this step's surplus, three of the steps before; components of
    runs move as ``spread`` says; slots by their surplus alone, and none below nothing.
    """
    rng = np.random.default_rng(seed)
    problem = problem_of(seed, rings=seed % 4 > 0)
    links = links_of(problem, rng)
    sets = linked(sets_of(problem, rng), links, problem)
    points = len(problem.xy)
    slots = len(links.owner)
    tree = links.edges[
        one_tree(problem, links, sets, np.zeros(points + slots + len(sets.room))).taken
    ]
    above = levels_kernel.levels.plain(
        tree, np.arange(len(tree)) * 1.0, problem.group, problem.runs
    )
    every = np.concatenate([rng.uniform(-1, 1, points), rng.uniform(0, 1, slots + len(sets.room))])
    steps = 300.0 * 0.8 ** np.arange(9) * (0.01 if problem.metric.timed else 1)
    recent = kernel.Recent(np.zeros(len(links.edges)), np.zeros(points), np.zeros((2, len(above))))
    found = kernel.ascend.plain(problem, links, sets, above, recent, every.copy(), steps)
    tide = np.zeros((2, len(above)))
    taken = np.zeros(len(links.edges))
    chosen = np.zeros(points)
    move_ = np.zeros(len(every))
    best = -np.inf
    for k, step in enumerate(steps):
        slow = one_tree(problem, links, sets, every)
        if slow.value > best:
            best = slow.value
            peak = every.copy()
        taken += 0.05 * (slow.taken - taken)
        chosen += 0.05 * (slow.chosen - chosen)
        push = np.zeros(len(above))
        surplus = slow.surplus.astype(np.float64)
        within = levels_kernel.spread.plain(
            slow.surplus[:points], problem.group, above, problem.runs, tide, push
        )
        surplus[:points] += push[problem.group]
        move_ += (0.7 if k else 1.0) * (surplus - move_)
        move_[points : points + slots] = surplus[points : points + slots]
        every = every + step / (slow.squares + within) * move_
        every[points:] = np.maximum(every[points:], 0.0)
    assert found[0] == pytest.approx(best, rel=1e-9)
    assert not found[3]
    np.testing.assert_allclose(found[1], peak, rtol=1e-7, atol=1e-7)
    np.testing.assert_allclose(found[2], every, rtol=1e-7, atol=1e-7)
    np.testing.assert_allclose(recent.taken, taken, atol=1e-9)
    np.testing.assert_allclose(recent.chosen, chosen, atol=1e-9)


def test_a_tree_that_is_a_tour_ends_the_steps() -> None:
    """Dots in a row from home on: the tree, and the links of home and the finish, are the tour."""
    problem = _problem(*ragged([[(2, 0)], [(5, 0)], [(10, 0)]]), METRIC, (0, 0), (20, 0))
    links = graph_of(problem, np.array([(0, 1), (0, 2), (1, 2)]))
    sets = linked(no_sets(), links, problem)
    recent = kernel.Recent(np.zeros(3), np.zeros(3), np.zeros((2, 3)))
    start = np.array([0.0, 1.0, 0.0])
    above = np.full(3, -1)
    value, peak, last, is_tour = kernel.ascend.plain(
        problem, links, sets, above, recent, start, np.full(5, 1.0)
    )
    assert (value, is_tour) == (20.0, True)
    assert peak.tolist() == last.tolist() == [0.0, 1.0, 0.0]
    assert recent.taken.sum() == pytest.approx(2 * 0.05)  # one step


# ---- certificates


@pytest.mark.parametrize("seed", range(8))
def test_a_certificate_is_the_value_of_the_one_tree_on_the_complete_graph(seed: int) -> None:
    rng = np.random.default_rng(seed)
    problem = problem_of(seed, rings=seed % 4 > 0)
    points = len(problem.xy)
    graph = links_of(problem, rng)
    sets = sets_of(problem, rng)
    now = Multipliers(
        rng.uniform(-50, 50, points),
        rng.uniform(0, 30, len(graph.owner)),
        rng.uniform(0, 30, len(sets.room)),
    )
    if problem.metric.timed:
        now = Multipliers(*(0.01 * part for part in now))
    taken = rng.uniform(0, 1, len(graph.edges))
    place = search._Place(graph, now, sets, taken, np.zeros(points))
    found = search._certified(problem, place)
    every = [
        pair
        for pair in itertools.combinations(range(points), 2)
        if problem.group[pair[0]] != problem.group[pair[1]]
    ]
    whole = graph_of(problem, np.array(every))
    rho = np.zeros(len(whole.keys))
    rho[np.searchsorted(whole.keys, graph.keys)] = now.slots
    # Of links that the sparse graph lacks no set raises the weight.
    known = found.place.graph
    held = linked(sets, whole, problem)
    there = {tuple(link) for link in known.edges.tolist()}
    kept = [
        [e for e in held.links[a:b] if tuple(whole.edges[e].tolist()) in there]
        for a, b in itertools.pairwise(held.spans)
    ]
    held = held._replace(
        spans=np.cumsum([0, *map(len, kept)]),
        links=np.array([e for part in kept for e in part], np.int64),
    )
    slow = one_tree(problem, whole, held, np.concatenate([now.ends, rho, now.sets]))
    assert sorted(map(tuple, np.sort(found.tree, axis=1).tolist())) == [
        tuple(link) for link in whole.edges[slow.taken].tolist()
    ]
    assert found.value == pytest.approx(slow.value, rel=1e-9)
    assert found.value < slow.value + 1e-13 * abs(slow.value)
    # What was known of links and slots stays with them, and what is new begins at nothing.
    at = np.searchsorted(known.keys, graph.keys)
    assert found.place.now.slots[at].tolist() == now.slots.tolist()
    assert found.place.now.slots.sum() == pytest.approx(now.slots.sum())
    was = dict(zip(map(tuple, graph.edges.tolist()), taken.tolist(), strict=True))
    for link, often in zip(known.edges.tolist(), found.place.taken.tolist(), strict=True):
        assert often == was.get(tuple(link), 0.0)


@pytest.mark.parametrize(("rings", "count"), [(False, 4), (True, 5)])
def test_each_end_has_links_to_its_nearest(rings: bool, count: int) -> None:
    problem = problem_of(2, rings=rings)
    pi = np.random.default_rng(1).uniform(-90, 90, len(problem.xy))
    links, reach = search._near(problem, pi)
    wanted = set()
    for u in range(len(pi)):
        costs = sorted(
            (pi[v] + move(problem.metric, *(problem.xy[u] - problem.xy[v])), v)
            for v in range(len(pi))
            if problem.group[v] != problem.group[u]
        )
        wanted |= {(min(u, v), max(u, v)) for _, v in costs[:count]}
        assert reach[u] == pytest.approx(costs[count - 1][0])
    assert {tuple(link) for link in links.tolist()} == wanted
    assert len(links) == count * len(pi)


def test_steps_fall_and_are_fewer_where_there_are_many_ends() -> None:
    for ends, closed, count, parts in (
        (10, False, 800, 5),  # 200 and 60 for each end
        (2_000, False, 2_500, 125),  # 5,000,000 over the ends, 20 in a stretch
        (200_000, False, 100, 5),
        (1_000_000, False, 100, 5),
        (1_000_001, False, 24, 2),
        (10, True, 800, 5),
        (
            400,
            True,
            5_000,
            44,
        ),  # 100,000 over the root of the ends; four parts and one for each ten
        (2_000_000, True, 24, 2),
    ):
        steps = search._stretches(ends, closed=closed)
        every = np.concatenate(steps)
        assert (len(every), len(steps)) == (count, parts)
        assert every[[0, -1]].tolist() == pytest.approx([1.0, 1.0 / count])
        np.testing.assert_allclose(every[1:] / every[:-1], count ** (-1 / (count - 1)))
        assert max(map(len, steps)) - min(map(len, steps)) <= 1


def test_the_foot_and_the_course() -> None:
    problem = problem_of(3, rings=True)
    foot = search._foot(problem)
    assert [len(part) for part in foot.now] == [len(problem.xy), 0, 0]
    assert (len(foot.graph.edges), len(foot.taken), len(foot.chosen)) == (0, 0, len(problem.xy))
    assert not foot.now.ends.any()
    exact = search._certified(problem, foot)
    course = search._course(problem, exact)
    low = problem.xy.min(axis=0)
    across = move(problem.metric, *(problem.xy.max(axis=0) - low))
    assert course.scale == pytest.approx(exact.value + across)
    assert course.tide.tolist() == np.zeros((2, len(course.above))).tolist()
    met = search._met(exact)
    assert met.tolist() == exact.place.graph.edges.tolist() + exact.tree.tolist()


# ---- the ends of runs


STROKES = [
    [(5, 5)],
    [(0, 0), (3, 3), (9, 1)],
    [(0, 9), (4, 9), (4, 5), (0, 9)],
    [(7, 7), (7, 7)],
    [(2, 2), (8, 8), (2, 2)],
]


def test_ends_of_runs_are_what_a_pen_may_enter() -> None:
    """A dot, a line, a ring of three vertices, two points in one place, a line there and back."""
    points, offsets = ragged(STROKES)
    assert is_ring(points, offsets).tolist() == [False, False, True, False, True]
    problem = _problem(points, offsets, METRIC, (5, 0), None)
    rows = sorted(
        zip(
            problem.group.tolist(),
            problem.share.tolist(),
            map(tuple, problem.xy.tolist()),
            strict=True,
        )
    )
    assert rows == [
        (0, 2, (5, 5)),
        (1, 1, (0, 0)), (1, 1, (9, 1)),
        (2, 0, (0, 9)), (2, 0, (4, 5)), (2, 0, (4, 9)),
        (3, 2, (7, 7)),
        (4, 0, (2, 2)), (4, 0, (8, 8)),
    ]  # fmt: skip
    assert problem.runs == 5
    np.testing.assert_allclose(problem.first, np.hypot(*(problem.xy - (5, 0)).T))
    assert not problem.second.any()
    ends, started = as_started(points, offsets)
    assert ends.tolist() == [[5, 5], [0, 0], [9, 1], [0, 9], [7, 7], [7, 7], [2, 2]]
    assert started.tolist() == [0, 1, 3, 4, 6, 7]
