"""Straight on at every node, and closed trails joined into others: by hand and by plain Python."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from plotlib.planning.ordering import join_kernel as kernel


def headings(*degrees: float) -> np.ndarray:
    """Unit vectors in which the edges leave a node."""
    angle = np.radians(degrees)
    return np.column_stack([np.cos(angle), np.sin(angle)])


def paired(mate: np.ndarray) -> set[tuple[int, int]]:
    return {(end, int(other)) for end, other in enumerate(mate) if 0 <= end < other}


def test_how_sharply_a_pen_turns() -> None:
    heading = headings(0, 180, 90, 0)
    assert kernel.turn.plain(heading, 0, 1) == pytest.approx(-1.0)  # straight on
    assert kernel.turn.plain(heading, 0, 2) == pytest.approx(0.0)
    assert kernel.turn.plain(heading, 0, 3) == pytest.approx(1.0)  # straight back


def test_ends_are_sorted_counter_clockwise_from_the_x_axis() -> None:
    degrees = [300, 0, 180, 45, 90, 225, 0, 135, 270, 315, 44.9]
    exact = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}
    heading = headings(*degrees)
    for k, degree in enumerate(degrees):
        heading[k] = exact.get(int(degree), heading[k])
    order = kernel._sorted_by_angle.plain(heading, np.arange(11))
    assert order.tolist() == [1, 6, 10, 3, 4, 7, 2, 5, 8, 0, 9]


@pytest.mark.parametrize("count", [1, 2, 3, 5, 8, 13, 33])
def test_any_number_is_sorted(count: int) -> None:
    rng = np.random.default_rng(count)
    degrees = rng.uniform(0, 360, count)
    ends = rng.permutation(count)
    order = kernel._sorted_by_angle.plain(headings(*degrees), ends)
    assert order.tolist() == np.argsort(degrees).tolist()


def test_the_straightest_pair_first() -> None:
    """A crossing of two lines with a slanting fifth end, which is left alone."""
    heading = headings(0, 92, 181, 270, 40)
    mate = np.full(6, -1)
    kernel.pair_ends.plain(mate, heading, np.array([0, 5, 5]), np.arange(5))
    assert paired(mate) == {(0, 2), (1, 3)}
    assert mate[4] == -1


def test_ends_that_have_mates_keep_them() -> None:
    heading = headings(0, 180, 90, 270, 45, 225)
    mate = np.array([5, -1, -1, -1, -1, 0])
    kernel.pair_ends.plain(mate, heading, np.array([0, 6]), np.arange(6))
    # 45 and 180 degrees turn by 45, 90 and 270 by nothing.
    assert paired(mate) == {(0, 5), (2, 3), (1, 4)}


def test_one_free_end_stays_free() -> None:
    mate = np.array([1, 0, -1])
    kernel.pair_ends.plain(mate, headings(0, 180, 90), np.array([0, 3]), np.arange(3))
    assert mate.tolist() == [1, 0, -1]


@pytest.mark.parametrize("count", [16, 18, 17])
def test_a_star_of_many_ends_is_paired_across(count: int) -> None:
    """Up to 16 the straightest pairs, beyond them half a turn of the sorted ends: the same here."""
    rng = np.random.default_rng(count)
    degrees = np.arange(count) * 360 / count
    ends = rng.permutation(count)
    heading = headings(*degrees[np.argsort(ends)])
    mate = np.full(count, -1)
    kernel.pair_ends.plain(mate, heading, np.array([0, count]), np.arange(count))
    assert len(paired(mate)) == count // 2
    for a, b in paired(mate):
        assert kernel.turn.plain(heading, a, b) < -0.9
    assert (mate < 0).sum() == count % 2


def chain() -> np.ndarray:
    """Edges 0 (ends 0, 1), 1, 2 in a row; 3 and 4 a ring; 5 alone; 6 a ring of itself."""
    mate = np.full(14, -1)
    for a, b in ((1, 2), (3, 5), (7, 8), (9, 6), (12, 13)):
        mate[a] = b
        mate[b] = a
    return mate


def test_trails_and_walks() -> None:
    trail, is_open = kernel.trails.plain(chain())
    assert trail.tolist() == [0, 0, 0, 2, 2, 1, 3]
    assert is_open.tolist() == [1, 1, 0, 0]
    entries, starts = kernel.walk.plain(chain())
    assert entries.tolist() == [0, 2, 5, 6, 8, 10, 12]
    assert starts.tolist() == [0, 3, 5, 6, 7]


def test_the_lowest_edge_of_a_run_is_walked_forwards() -> None:
    """Edge 0 lies in the middle: its far neighbour, edge 2, is walked first, and backwards."""
    mate = np.full(6, -1)
    for a, b in ((0, 4), (1, 3)):
        mate[a] = b
        mate[b] = a
    entries, starts = kernel.walk.plain(mate)
    assert entries.tolist() == [5, 0, 3]
    assert starts.tolist() == [0, 3]


def test_passages_are_joined_crosswise_the_better_way() -> None:
    """Two passages at a node, 0-1 and 2-3, both straight on: joined, each turns by a right angle,
    unless the ends point the same way.
    """
    heading = headings(0, 180, 90, 270)
    mate = np.array([1, 0, 3, 2])
    added = kernel.swap.plain(mate, heading, 0, 2, False)
    assert added == pytest.approx(2.0)
    assert mate.tolist() == [1, 0, 3, 2]
    heading = headings(0, 90, 180, 270)  # 0-2 and 1-3 are straight
    added = kernel.swap.plain(mate, heading, 0, 2, True)
    assert added == pytest.approx(-2.0)
    assert paired(mate) == {(0, 2), (1, 3)}
    heading = headings(0, 90, 270, 180)  # and here 0-3 and 1-2
    mate = np.array([1, 0, 3, 2])
    assert kernel.swap.plain(mate, heading, 0, 2, True) == pytest.approx(-2.0)
    assert paired(mate) == {(0, 3), (1, 2)}


@pytest.mark.parametrize("ends", [(0, 2), (2, 0)])
def test_a_lone_end_takes_one_of_a_passage(ends: tuple[int, int]) -> None:
    heading = headings(0, 180, 10)
    mate = np.array([1, 0, -1])
    added = kernel.swap.plain(mate, heading, *ends, False)
    assert added == pytest.approx(1 - np.cos(np.radians(10)))
    assert kernel.swap.plain(mate, heading, *ends, True) == pytest.approx(added)
    assert mate.tolist() == [-1, 2, 1]


def test_chances_are_where_a_closed_trail_meets_another() -> None:
    """At one node a ring (edge 0, ends 0-1), an open trail through it (edges 1 and 2, ends 3-4) and
    the lone end 6 of edge 3.
    """
    mate = np.array([1, 0, -1, 4, 3, -1, -1, -1])
    heading = headings(0, 90, 0, 180, 0, 0, 270, 0)
    starts = np.array([0, 5])
    ends = np.array([0, 1, 3, 4, 6])
    trail, is_open, pairs, costs = kernel.chances.plain(mate, heading, starts, ends)
    assert trail.tolist() == [2, 0, 0, 1]
    assert is_open.tolist() == [1, 1, 0]
    assert pairs.tolist() == [[1, 4], [1, 6]]
    expected = [kernel.swap.plain(mate, heading, *pair, False) for pair in pairs.tolist()]
    assert costs.tolist() == expected


def test_closed_trails_are_merged_at_the_least_turning() -> None:
    """Three rings of one edge at one node, and an open trail: one open trail is left."""
    mate = np.array([1, 0, 3, 2, 5, 4, -1, -1])
    heading = headings(0, 90, 180, 270, 45, 225, 10, 0)
    starts = np.array([0, 7])
    ends = np.arange(7)
    trail, is_open, pairs, costs = kernel.chances.plain(mate, heading, starts, ends)
    kernel.merge_closed.plain(mate, heading, trail, is_open, pairs, np.argsort(costs))
    again, still = kernel.trails.plain(mate)
    assert still.tolist() == [1]
    assert set(again.tolist()) == {0}


def test_two_open_trails_stay_apart() -> None:
    mate = np.array([2, -1, 0, -1, 6, -1, 4, -1])  # 1-0-2-3 and 5-4-6-7
    heading = headings(0, 0, 180, 0, 90, 0, 270, 0)
    starts = np.array([0, 4])
    ends = np.array([0, 2, 4, 6])
    _, is_open, pairs, _ = kernel.chances.plain(mate, heading, starts, ends)
    assert is_open.tolist() == [1, 1]
    assert len(pairs) == 0


def runs_needed(odd: int) -> int:
    """Euler: half as many trails as odd nodes, one at least."""
    return max(1, odd // 2)


@pytest.mark.parametrize("seed", range(20))
def test_links_are_chosen_where_they_save_a_lift(seed: int) -> None:
    """Against a graph whose odd nodes and components are counted anew after each link."""
    rng = np.random.default_rng(seed)
    nodes = 10
    edges = [tuple(pair) for pair in rng.integers(0, nodes, (9, 2)).tolist() if pair[0] != pair[1]]
    every = list(itertools.combinations(range(nodes), 2))
    pairs = np.array([every[k] for k in rng.permutation(len(every))[:20]])

    def counted(links: list[tuple[int, int]]) -> tuple[int, list[int], np.ndarray]:
        label = list(range(nodes))
        for a, b in links:
            label = [label[a] if one == label[b] else one for one in label]
        degree = np.bincount(np.array(links).ravel(), minlength=nodes)
        odd = [
            sum(degree[n] % 2 for n in range(nodes) if label[n] == c) for c in sorted(set(label))
        ]
        return sum(map(runs_needed, odd)), label, degree % 2

    _, label, is_odd = counted(edges)
    names = {c: k for k, c in enumerate(sorted(set(label)))}
    component = np.array([names[c] for c in label])
    odd = np.bincount(component, weights=is_odd).astype(np.int64)
    chosen = kernel.choose_links.plain(
        pairs, component, np.arange(len(names)), odd, is_odd.astype(np.int64)
    )
    wanted = []
    for k, (p, q) in enumerate(pairs.tolist()):
        if counted([*edges, (p, q)])[0] < counted(edges)[0]:
            edges.append((p, q))
            wanted.append(k)
    assert chosen.tolist() == wanted
