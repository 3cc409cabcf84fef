"""What a 1-tree has too many of, by hand and by plain Python."""

from __future__ import annotations

import numpy as np
import pytest

from plotlib.planning.bounding import ascent_kernel as kernel
from plotlib.planning.bounding.graph import Links, Multipliers, Problem, SetLinks
from plotlib.planning.metric import distance_metric

EDGES = np.array([(0, 2), (0, 3), (1, 2), (2, 4)])
# Runs: an open one (0, 1), a closed one (2, 3) and a dot (4).
GROUP = np.array([0, 0, 1, 1, 2])
SHARE = np.array([1, 1, 0, 0, 2])
SLOTS = np.array([(-1, 0), (-1, 1), (-1, 0), (2, -1)])
OWNER = np.array([2, 3, 2])
LINKS = Links(EDGES, np.array([3.0, 4.0, 5.0, 6.0]), SLOTS, OWNER, np.array([3, 9, 5]))
SETS = SetLinks(
    np.array([0, 2, 4]),
    np.array([0, 2, 1, 3]),
    np.array([1, 0]),
    np.array([2, 3]),
    np.array([1, 1]),
)


def tree(taken: list[bool], degree: list[int], target: list[int]) -> kernel.OneTree:
    return kernel.OneTree(np.zeros(4), np.array(taken), np.array(degree), np.array(target))


def test_links_of_sets_weigh_more() -> None:
    weights = np.array([1.0, 2.0, 3.0, 4.0])
    price = kernel.raised.plain(weights, np.array([0.5, 0.0]), SETS)
    assert (price, weights.tolist()) == (0.5, [1.5, 2.0, 3.5, 4.0])
    price = kernel.raised.plain(weights, np.array([0.0, 2.0]), SETS)
    assert (price, weights.tolist()) == (0.0, [1.5, 4.0, 3.5, 6.0])


def test_slots_and_sets_beyond_their_room() -> None:
    """Vertex 2 is chosen: its slots take one link each, and set 1 one more. Taken are the first,
    the third and the fourth link: slot 0 has two, slot 2 one; set 0 two of one, set 1 one of one.
    """
    made = tree([True, False, True, True], [1, 1, 3, 0, 1], [1, 1, 2, 0, 2])
    filled = np.full(3, 99)
    assert kernel._overfull.plain(filled, np.zeros(3), LINKS, made) == 1
    assert filled.tolist() == [1, 0, 0]
    held = np.full(2, 99)
    assert kernel._beyond.plain(held, np.zeros(2), SETS, made) == 1
    assert held.tolist() == [1, 0]


def test_room_left_counts_where_there_is_a_multiplier() -> None:
    """Vertex 3 is chosen and no link of its slot taken."""
    made = tree([False, False, False, True], [0, 0, 1, 0, 1], [1, 1, 0, 2, 2])
    filled = np.zeros(3, np.int64)
    assert kernel._overfull.plain(filled, np.zeros(3), LINKS, made) == 1
    assert filled.tolist() == [0, -1, 1]
    assert kernel._overfull.plain(filled, np.array([0.0, 0.1, 0.0]), LINKS, made) == 2
    held = np.zeros(2, np.int64)
    assert kernel._beyond.plain(held, np.zeros(2), SETS, made) == 0
    assert held.tolist() == [-1, 0]
    assert kernel._beyond.plain(held, np.array([0.1, 0.0]), SETS, made) == 1


def test_all_that_counts_is_summed() -> None:
    made = tree([True, False, True, True], [1, 1, 3, 0, 1], [1, 1, 2, 0, 2])
    surplus = kernel.Surplus(np.zeros(5, np.int64), np.zeros(3, np.int64), np.zeros(2, np.int64))
    now = Multipliers(np.zeros(5), np.zeros(3), np.zeros(2))
    total = kernel._violated.plain(surplus, LINKS, SETS, now, made)
    assert surplus.ends.tolist() == [0, 0, 1, 0, -1]
    assert total == 2 + 1 + 1


def test_a_step_counts_a_twentieth_in_the_means() -> None:
    recent = kernel.Recent(np.array([1.0, 0.0, 0.5, 0.0]), np.array([0, 0, 0.5, 1, 0]), np.zeros(0))
    made = tree([False, False, True, True], [0] * 5, [2, 1, 2, 0, 2])
    kernel._remember.plain(recent, made, SHARE)
    assert recent.taken.tolist() == pytest.approx([0.95, 0.0, 0.525, 0.05])
    assert recent.chosen.tolist() == pytest.approx([0, 0, 0.525, 0.95, 0])


def test_one_vector_is_seen_in_three_parts() -> None:
    parts = kernel.split.plain(np.arange(9.0), 4, 3)
    assert [part.tolist() for part in parts] == [[0, 1, 2, 3], [4, 5, 6], [7, 8]]


def test_runs_of_links() -> None:
    groups = kernel._groups.plain(EDGES, GROUP)
    assert groups.tolist() == [[0, 1], [0, 1], [0, 1], [1, 2]]


def ascended(steps: int) -> tuple[float, bool]:
    """Three dots in a row from home at (0, 0), with the finish free: a way of 10 mm and no less."""
    xy = np.array([(2.0, 0.0), (5.0, 0.0), (10.0, 0.0)])
    metric = distance_metric(1.0)
    edges = np.array([(0, 1), (0, 2), (1, 2)])
    costs = np.array([3.0, 8.0, 5.0])
    none = np.zeros(0, np.int64)
    problem = Problem(
        xy,
        np.arange(3),
        np.array([2, 2, 2]),
        3,
        np.array([2.0, 5.0, 10.0]),
        np.zeros(3),
        metric,
        np.array([(0, 3)]),
        np.zeros((1, 4)),
    )
    links = Links(edges, costs, none.reshape(0, 2), none, none)
    sets = SetLinks(np.zeros(1, np.int64), none, none, none, none)
    above = np.array([-1, -1, -1])
    recent = kernel.Recent(np.zeros(3), np.zeros(3), np.zeros((2, 3)))
    value, _, _, is_tour = kernel.ascend.plain(
        problem, links, sets, above, recent, np.zeros(3), np.full(steps, 1.0)
    )
    return float(value), bool(is_tour)


def test_multipliers_rise_to_the_cost_of_a_tour() -> None:
    """Prim's tree weighs 8, home and the finish 2 and 0: at first the finish ties to any dot."""
    values = [ascended(steps)[0] for steps in range(1, 30)]
    assert values == sorted(values)
    assert values[-1] <= 10.0 + 1e-9
    assert values[-1] >= 9.5
