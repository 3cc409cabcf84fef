"""Sets that 1-trees overfill: the best teeth of all, every set that grows, links inside of sets, by
plain Python over lists and subsets.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
import pytest

from plotlib.planning.bounding import sets_kernel as kernel
from plotlib.planning.bounding import subtours_kernel
from plotlib.planning.bounding.graph import Links, Problem
from plotlib.planning.bounding.sets import ODD, Sets, joined, linked, no_sets, picked, separated
from plotlib.planning.metric import distance_metric

Rows = frozenset[tuple[int, int]]
MOST = 30
MOST_CLOSED = 40


def near_of(edges: np.ndarray, taken: np.ndarray, count: int) -> kernel.Near:
    return kernel.Near(edges, taken, *kernel.touching.plain(edges, count))


def some(rng: np.random.Generator, count: int, share: float = 0.4) -> tuple[np.ndarray, np.ndarray]:
    """Links among points and how often each was taken."""
    pairs = np.array([*itertools.combinations(range(count), 2)])
    edges = pairs[rng.random(len(pairs)) < share]
    return edges, rng.uniform(0, 1, len(edges))


def grown(edges: np.ndarray, order: np.ndarray, most: int) -> Iterator[tuple[int, set[int]]]:
    """The components of points that grow along links in an order, each with the link that made it;
    none has more points than ``most``.
    """
    parts: list[set[int]] = []
    for e in order.tolist():
        ends = [next((part for part in parts if u in part), {u}) for u in edges[e].tolist()]
        if ends[0] is ends[1] or len(ends[0] | ends[1]) > most:
            continue
        parts = [part for part in parts if part not in ends] + [ends[0] | ends[1]]
        yield e, parts[-1]


def best_teeth(
    edges: np.ndarray, taken: np.ndarray, handle: set[int], load: int
) -> tuple[float, Rows, int]:
    """Of all choices of teeth with an odd count of links to the ends, the one of the greatest
    excess; its rows and its room.
    """
    inside = 0.0
    outward = []
    for (a, b), often in zip(edges.tolist(), taken.tolist(), strict=True):
        if a in handle and b in handle:
            inside += often
        elif a in handle or b in handle:
            outward.append(((a, b) if a in handle else (b, a), often))
    best = (-np.inf, frozenset[tuple[int, int]](), 0)
    for number in range(len(outward) + 1):
        for teeth in itertools.combinations(outward, number):
            if (load + number) % 2:
                room = (load + number) // 2
                excess = inside + sum(often for _, often in teeth) - room
                rows = frozenset([*((u, u) for u in handle), *(row for row, _ in teeth)])
                best = max(best, (excess, rows, room), key=lambda found: found[0])
    return best


@pytest.mark.parametrize("seed", range(30))
def test_every_odd_set_that_grows_has_its_best_teeth(seed: int) -> None:
    rng = np.random.default_rng(seed)
    count = 8
    edges, taken = some(rng, count)
    share = rng.choice([1, 2], count)
    share[0] = 0  # a vertex of a closed run grows into no odd set, though it may be a tooth's end
    order = np.argsort(-taken)
    wanted = []
    for _, handle in grown(edges, order[(share[edges[order]] > 0).all(axis=1)], MOST):
        load = int(share[[*handle]].sum())
        excess, rows, room = best_teeth(edges, taken, handle, load)
        if len(handle) >= 3 and excess > 0.25:
            wanted.append((rows, room))
    found = kernel.find.run_by_python(near_of(edges, taken, count), order, share)
    assert listed(*found[:3]) == wanted
    assert len(set(found[3].tolist())) == len(wanted)


def listed(
    rows: np.ndarray, starts: np.ndarray, room: np.ndarray
) -> list[tuple[frozenset[tuple[int, ...]], int]]:
    """The rows of each set, each once, and its room."""
    assert starts[-1] == len(rows)
    sets = []
    for low, high, most in zip(starts[:-1], starts[1:], room.tolist(), strict=True):
        own = [tuple(row) for row in rows[low:high].tolist()]
        assert len(set(own)) == len(own)
        sets.append((frozenset(own), most))
    return sets


def test_odd_sets_have_thirty_ends_and_no_more_than_there_is_room_for() -> None:
    """Ends of strokes in a row, joined one after the other: of k ends k - 1 links are taken where
    half of them could be.
    """
    for count, last in ((60, 30), (40, 28)):
        edges = np.stack([np.arange(count - 1), np.arange(1, count)], axis=1)
        taken = np.linspace(0.89, 0.8, count - 1)
        near = near_of(edges, taken, count)
        found = kernel.find.run_by_python(near, np.arange(count - 1), np.ones(count, np.int64))
        sizes = [sum(a == b for a, b in rows) for rows, _ in listed(*found[:3])]
        assert sizes[: last - 2] == list(range(3, last + 1))
        # rows for all sets: eight for each end and a hundred; each set has a tooth at most
        assert len(found[0]) <= 8 * count + 100
        if count == 40:
            assert len(sizes) == last - 2
            assert len(found[0]) > 8 * count + 100 - 30


@pytest.mark.parametrize("seed", range(30))
def test_every_subtour_set_that_grows_spares_the_run_chosen_most(seed: int) -> None:
    rng = np.random.default_rng(seed)
    sizes = rng.choice([1, 2, 3, 4], 6)
    group = np.repeat(np.arange(6), sizes)
    share = np.where(sizes == 1, 2, 0)[group]
    share[group == 5] = 1  # ends of an open run grow into none
    edges, taken = some(rng, len(group), 0.5)
    apart = group[edges[:, 0]] != group[edges[:, 1]]
    edges = edges[apart]
    taken = taken[apart]
    chosen = rng.uniform(0, 1, len(group))
    order = np.argsort(-taken)
    wanted = []
    for _, points in grown(edges, order[(share[edges[order]] != 1).all(axis=1)], MOST_CLOSED):
        part = np.array(sorted(points))
        weight = np.where(share[part] == 2, 1.0, chosen[part])
        loads = np.bincount(group[part], weights=weight, minlength=6)
        within = np.isin(edges, part).all(axis=1)
        excess = taken[within].sum() - weight.sum() + loads.max()
        if len(part) >= 3 and excess > 0.1:
            rows = frozenset((int(u), int(u)) for u in part)
            dots = np.sum(loads == loads.max()) > 1  # which of several dots is spared is as good
            wanted.append((rows, -1 if dots else int(loads.argmax())))
    near = near_of(edges, taken, len(group))
    rows, starts, spares, marks = subtours_kernel.find.run_by_python(
        near, order, chosen, group, share, 6
    )
    found = listed(rows, starts, spares)
    assert [
        (own, -1 if most == -1 else spare)
        for (own, spare), (_, most) in zip(found, wanted, strict=True)
    ] == wanted
    assert len(set(marks.tolist())) == len(wanted)


def test_subtour_sets_have_forty_points_and_no_more_than_there_is_room_for() -> None:
    """Vertices in a row, no one of which is ever chosen; each of a run of its own."""
    for count, last in ((90, 40), (40, 28)):
        edges = np.stack([np.arange(count - 1), np.arange(1, count)], axis=1)
        near = near_of(edges, np.linspace(0.9, 0.8, count - 1), count)
        none = np.zeros(count)
        rows, starts, spares, _ = subtours_kernel.find.run_by_python(
            near, np.arange(count - 1), none, np.arange(count), none.astype(np.int64), count
        )
        sizes = np.diff(starts)
        assert sizes[: last - 2].tolist() == list(range(3, last + 1))
        assert len(rows) <= 8 * count + 100
        if count == 40:
            assert len(sizes) == last - 2
            assert len(rows) + last + 1 > 8 * count + 100
        assert len(spares) == len(sizes)


def test_a_set_has_the_same_mark_in_any_order_and_others_have_others() -> None:
    rng = np.random.default_rng(1)
    marks = {}
    for _ in range(500):
        rows = rng.integers(0, 50, (int(rng.integers(1, 6)), 2))
        rows = np.unique(rows, axis=0)
        mark = kernel.mark_of.run_by_python(rows, 50)
        assert kernel.mark_of.run_by_python(rng.permutation(rows), 50) == mark
        marks[frozenset(map(tuple, rows.tolist()))] = mark
    assert len(set(marks.values())) == len(marks)


@pytest.mark.parametrize("seed", range(10))
def test_links_inside_of_sets_and_on_their_teeth(seed: int) -> None:
    rng = np.random.default_rng(seed)
    edges, _ = some(rng, 9, 0.5)
    rows: list[tuple[int, int]] = []
    starts = [0]
    wanted = []
    for _ in range(3):
        handle = rng.permutation(9)[: int(rng.integers(1, 5))].tolist()
        teeth = [
            (a, b) if a in handle else (b, a)
            for a, b in edges.tolist()
            if (a in handle) != (b in handle) and rng.random() < 0.3
        ]
        rows += [(u, u) for u in handle] + teeth
        starts.append(len(rows))
        pairs = {tuple(sorted(pair)) for pair in itertools.combinations(handle, 2)}
        pairs |= {tuple(sorted(pair)) for pair in teeth}
        wanted.append({e for e, link in enumerate(edges.tolist()) if tuple(link) in pairs})
    near = kernel.touching.plain(edges, 9)
    spans, inside = kernel.within.plain(np.array(rows), np.array(starts), edges, *near)
    found = [inside[low:high].tolist() for low, high in itertools.pairwise(spans.tolist())]
    assert [set(links) for links in found] == wanted
    assert sum(map(len, found)) == sum(map(len, wanted)) == len(inside)


def test_links_that_touch_each_point() -> None:
    edges = np.array([(0, 2), (1, 2), (2, 4)])
    starts, which = kernel.touching.plain(edges, 5)
    assert starts.tolist() == [0, 1, 2, 5, 5, 6]
    assert which.tolist() == [0, 1, 0, 1, 2, 2]


# ---- what is kept of them


def sets_of(*handles: list[int], room: list[int], spare: list[int]) -> Sets:
    rows = [(u, u) for handle in handles for u in handle]
    starts = np.cumsum([0, *map(len, handles)])
    marks = np.array([100 + sum(handle) for handle in handles])
    return Sets(np.array(rows), starts, np.array(room), np.array(spare), marks)


def test_sets_are_picked_and_put_together() -> None:
    sets = sets_of([0, 1], [2, 3, 4], [5], room=[1, 2, 3], spare=[ODD, 4, 5])
    some_ = picked(sets, np.array([True, False, True]))
    assert some_.rows.tolist() == [[0, 0], [1, 1], [5, 5]]
    assert some_.starts.tolist() == [0, 2, 3]
    assert (some_.room.tolist(), some_.spare.tolist()) == ([1, 3], [ODD, 5])
    assert some_.marks.tolist() == [101, 105]
    both = joined(some_, sets)
    assert both.starts.tolist() == [0, 2, 3, 5, 8, 9]
    assert both.rows[3:].tolist() == sets.rows.tolist()
    assert both.room.tolist() == [1, 3, 1, 2, 3]
    assert both.spare.tolist() == [ODD, 5, ODD, 4, 5]
    assert both.marks.tolist() == [101, 105, *sets.marks.tolist()]


def problem(share: list[int], group: list[int]) -> Problem:
    count = len(share)
    zeros = np.zeros(count)
    return Problem(
        np.zeros((count, 2)), np.array(group), np.array(share), max(group) + 1, zeros, zeros,
        distance_metric(1.0), np.array([[0, count]]), np.zeros((1, 4)),
    )  # fmt: skip


def links_of(edges: np.ndarray) -> Links:
    none = np.zeros(0, np.int64)
    return Links(edges, np.zeros(len(edges)), none.reshape(0, 2), none, none)


def test_chosen_vertices_make_room_in_subtour_sets_but_those_of_the_spared_run() -> None:
    """A dot 0, vertices 1 and 2 of run 1, vertex 3 of run 2, all in a subtour set that spares run
    1; an odd set of 0 and 3.
    """
    asked = problem([2, 0, 0, 0], [0, 1, 1, 2])
    edges = np.array([(0, 1), (0, 3), (2, 3)])
    sets = sets_of([0, 1, 2, 3], [0, 3], room=[1, 1], spare=[1, ODD])
    found = linked(sets, links_of(edges), asked)
    assert found.spans.tolist() == [0, 3, 4]
    assert sorted(found.links[:3].tolist()) == [0, 1, 2]
    assert found.links[3:].tolist() == [1]
    assert (found.counted.tolist(), found.counting.tolist()) == ([3], [0])
    assert found.room.tolist() == [1, 1]
    nothing = linked(no_sets(), links_of(edges), asked)
    assert [len(part) for part in nothing] == [1, 0, 0, 0, 0]


def test_new_sets_begin_without_a_multiplier_and_those_without_one_go() -> None:
    """Six ends side by side of which the first three, then all, are linked too often."""
    asked = problem([1] * 6, [0, 1, 2, 3, 4, 5])
    edges = np.array([(0, 1), (1, 2), (2, 3), (3, 4), (4, 5)])
    taken = np.array([0.89, 0.88, 0.02, 0.87, 0.9])
    # 0.02 and 0.9 tell nothing: the first is never taken, the second always, and nothing grows
    # along them.
    sets, zeta = separated(no_sets(), np.zeros(0), links_of(edges), asked, taken, np.zeros(6))
    assert listed(sets.rows, sets.starts, sets.room) == [(frozenset({(0, 0), (1, 1), (2, 2)}), 1)]
    assert (sets.spare.tolist(), zeta.tolist()) == ([ODD], [0.0])
    again, zeta = separated(sets, np.array([0.5]), links_of(edges), asked, taken, np.zeros(6))
    assert again.marks.tolist() == sets.marks.tolist()
    assert zeta.tolist() == [0.5]
    taken[:] = 0.5
    gone, zeta = separated(sets, np.array([0.0]), links_of(edges), asked, taken, np.zeros(6))
    assert not set(gone.marks.tolist()) & set(sets.marks.tolist())
    assert not zeta.any()


def test_dots_make_room_in_subtour_sets() -> None:
    """Dots 0 and 1 and the vertex 2 of a closed run, linked round about; one dot is spared."""
    asked = problem([2, 2, 0, 0], [0, 1, 2, 2])
    edges = np.array([(0, 1), (0, 2), (1, 2)])
    taken = np.array([0.8, 0.7, 0.85])
    chosen = np.array([0.0, 0.0, 0.3, 0.7])
    sets, zeta = separated(no_sets(), np.zeros(0), links_of(edges), asked, taken, chosen)
    assert sets.spare.tolist() in ([0], [1])
    assert sets.room.tolist() == [1]  # one dot: the other one is spared
    assert {tuple(row) for row in sets.rows.tolist()} == {(0, 0), (1, 1), (2, 2)}
    assert zeta.tolist() == [0.0]
