"""Where runs can be entered, tiles and lists of near rows: by hand and against plain scans."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from plotlib.errors import InvalidValue
from plotlib.planning.kd_tree_kernel import Tree, build_tree
from plotlib.planning.metric import distance_metric
from plotlib.planning.ordering import seats_kernel, tiles_kernel
from plotlib.planning.ordering.blocks import _mixed, _seam, opened, winding_blocks
from plotlib.planning.ordering.runs import Runs, States, ends_array, states_cost
from plotlib.planning.ordering.tiles import _bands, cells

METRIC = distance_metric(1.0)
# A ring of three vertices, an open run of three points, a dot, a run there and back.
POINTS = [(0, 0), (3, 0), (3, 4), (0, 0), (9, 9), (8, 8), (7, 7), (5, 5), (1, 1), (1, 1)]
RUNS = Runs(np.array(POINTS), np.array([0, 4, 7, 8, 10]))


def test_which_runs_are_closed() -> None:
    assert RUNS.closed.tolist() == [True, False, False, False]
    assert len(RUNS) == 4
    back = Runs(np.array([(0, 0), (5, 5), (0, 0)]), np.array([0, 3]))
    assert back.closed.tolist() == [True]


def test_runs_have_points() -> None:
    with pytest.raises(InvalidValue, match="run 1 has no point") as caught:
        Runs(np.array([(0, 0), (1, 1)]), np.array([0, 1, 1, 2]))
    assert caught.value.facts["run"] == 1
    for wrong in ([1, 2], [0, 1], [], [[0, 2]]):
        with pytest.raises(InvalidValue, match="offsets must be one row of numbers from 0"):
            Runs(np.array([(0, 0), (1, 1)]), np.array(wrong, np.int64))


def test_every_place_at_which_a_run_can_be_entered() -> None:
    states = States.of(RUNS)
    assert states.first.tolist() == [0, 3, 5, 6, 8]
    assert states.owner.tolist() == [0, 0, 0, 1, 1, 2, 3, 3]
    assert states.leave.tolist() == [0, 1, 2, 4, 3, 5, 7, 6]
    assert states.xy.tolist() == [
        [0, 0], [3, 0], [3, 4], [9, 9], [7, 7], [5, 5], [1, 1], [1, 1],
    ]  # fmt: skip


def test_an_order_and_the_states_that_it_enters() -> None:
    states = States.of(RUNS)
    sequence = np.array([2, 0, 3, 1])
    entered = states.entered(sequence, np.array([False, False, True, True]), np.array([0, 2, 0, 0]))
    assert entered.tolist() == [5, 2, 7, 4]
    order = states.order(entered, 7.0)
    assert order.sequence.tolist() == sequence.tolist()
    assert order.reverse.tolist() == [False, False, True, True]
    assert order.start.tolist() == [0, 2, 0, 0]
    assert order.cost == 7.0


def test_what_an_order_costs() -> None:
    """From (5, 5) to (3, 4), back there to (1, 1), and from (1, 1) to (7, 7), left at (9, 9)."""
    states = States.of(RUNS)
    entered = np.array([5, 2, 7, 4])
    ways = 5**0.5 + 13**0.5 + 72**0.5
    for home, finish, more in (
        (None, None, 0.0),
        ((5, 9), None, 4.0),
        (None, (9, 12), 3.0),
        ((5, 9), (9, 12), 7.0),
    ):
        cost = states_cost(states, entered, METRIC, ends_array(home, finish))
        assert cost == pytest.approx(ways + more)
    nothing = np.zeros(0, np.int64)
    assert states_cost(states, nothing, METRIC, ends_array((0, 0), (3, 4))) == 5.0
    assert states_cost(states, nothing, METRIC, ends_array(None, (3, 4))) == 0.0


# ---- tiles


def test_tiles_have_about_as_many_strokes() -> None:
    rng = np.random.default_rng(0)
    middle = rng.uniform(0, (300, 100), (1_200, 2))
    middle[[5, 9]] = np.nan
    labels = cells(middle, 100, 0.0)
    assert labels[[5, 9]].tolist() == [-1, -1]
    counts = np.bincount(labels[labels >= 0])
    assert sorted(counts[counts > 0].tolist()) == [
        99,
        99,
        100,
        100,
        100,
        100,
        100,
        100,
        100,
        100,
        100,
        100,
    ]
    widths = [np.ptp(middle[labels == label, 0]) for label in np.unique(labels[labels >= 0])]
    assert max(widths) < 80  # six columns of 50 mm, two rows
    moved = cells(middle, 100, 0.5)
    assert len(np.unique(moved[moved >= 0])) > 12
    assert (cells(middle[:40], 100, 0.5)[:5] == 0).all()
    assert cells(middle[[5]], 100, 0.0).tolist() == [-1]


def test_bands_of_equal_count() -> None:
    values = np.array([9.0, 1.0, 5.0, 3.0, 7.0, 0.0, 2.0])
    within = np.array([0, 0, 0, 0, 0, 1, 1])
    assert _bands(values, within, 2, 0.0).tolist() == [1, 0, 0, 0, 1, 0, 1]
    assert _bands(values, within, 2, 0.5).tolist() == [2, 0, 1, 0, 1, 0, 1]
    assert _bands(values, within, 1, 0.5).tolist() == [0] * 7


def test_a_tour_is_put_together_from_pieces() -> None:
    """Pieces end at the positions 1, 4 and 6 of eight; the first begins with the last one."""
    seq = np.array([0, 2, 4, 6, 8, 10, 12, 14])
    cuts = np.array([1, 4, 6])
    out = np.zeros(8, np.int64)
    tiles_kernel.rebuild.plain(seq, cuts, np.array([0, 4, 2]), out)
    assert out.tolist() == [14, 0, 2, 10, 12, 4, 6, 8]
    tiles_kernel.rebuild.plain(seq, cuts, np.array([3, 1, 4]), out)
    assert out.tolist() == [9, 7, 5, 3, 1, 15, 10, 12]


def test_lists_of_some_ends_only() -> None:
    """Ends 2 and 4 share a row; of their neighbours 3 is not among the chosen."""
    row = np.array([0, 1, 2, 3, 2, 4])
    near = np.array([(1, 2), (0, 3), (3, 0), (2, 1), (2, 0)])
    far = np.array([(1, 2), (1, 5), (4, 2), (4, 6), (8, 9)], np.float64)
    rows, kept, costs = tiles_kernel.lists_within.plain(np.array([2, 4, 0, 5]), row, near, far)
    assert rows.tolist() == [0, 0, 1, 2]
    assert kept.tolist() == [[2, -1], [0, -1], [0, 2]]
    assert costs.tolist() == [[2, np.inf], [2, np.inf], [8, 9]]


# ---- blocks


def test_blocks_wind_up_and_down() -> None:
    rng = np.random.default_rng(1)
    middle = rng.integers(0, 1_000, (120_000, 2)).astype(np.float64)
    blocks = winding_blocks(middle, np.array([1.0, 2.0]), np.array([3.0, 4.0]))
    assert sorted(np.concatenate([block.strokes for block in blocks]).tolist()) == list(
        range(120_000)
    )
    assert blocks[0].begin.tolist() == [1, 2]
    assert blocks[-1].end.tolist() == [3, 4]
    for one, two in itertools.pairwise(blocks):
        assert one.end.tolist() == two.begin.tolist()
        extents = [
            (middle[block.strokes].min(0), middle[block.strokes].max(0)) for block in (one, two)
        ]
        low = np.maximum(extents[0][0], extents[1][0])
        high = np.minimum(extents[0][1], extents[1][1])
        assert (np.abs(low - high) < 400).any()  # they lie beside each other


def test_a_seam_lies_between_two_blocks() -> None:
    middle = np.array([(0, 0), (4, 10), (6, 2), (9, 6)], np.float64)
    assert _seam(middle, np.array([0, 1]), np.array([2, 3])).tolist() == [5, 4]


def test_tiles_of_more_than_one_block() -> None:
    labels = np.array([0, 0, 1, 1, 2, -1])
    member = np.array([0, 1, 1, 1, 0, 1])
    assert _mixed(labels, member).tolist() == [0]


@pytest.mark.parametrize(
    ("tour", "path"),
    [
        ([4, 0, 3], [0, 3]),
        ([0, 3, 4], [0, 3]),
        ([5, 0, 3], [2, 1]),  # the depot is walked backwards: so is all
        ([3, 5, 0], [2, 1]),
    ],
)
def test_a_path_begins_after_the_depot(tour: list[int], path: list[int]) -> None:
    assert opened(np.array(tour)).tolist() == path


# ---- rows of seats


@pytest.mark.parametrize("seed", range(5))
def test_the_nearest_row_of_each_of_the_nearest_others(seed: int) -> None:
    rng = np.random.default_rng(seed)
    places = rng.uniform(0, 100, (60, 2))
    key = np.arange(60) // 4  # vertices of fifteen closed runs
    perm, ranges, boxes = build_tree.plain(places, 1.0, 1.0)
    near = np.full((60, 6), -9, np.int32)
    tree = Tree(places[perm], ranges, boxes)
    seats_kernel.near_rows.plain(METRIC, tree, perm, key[perm], 6, 0, near)
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    for u in range(60):
        best = {
            k: min(np.flatnonzero(key == k), key=lambda v: apart[u, v]) for k in set(key.tolist())
        }
        del best[int(key[u])]
        wanted = sorted(best.values(), key=lambda v: apart[u, v])[:6]
        assert near[u].tolist() == [int(v) for v in wanted]


def test_keys_that_all_of_a_node_share() -> None:
    ranges = np.array([(0, 4), (0, 2), (2, 4), (4, 4)])
    assert seats_kernel.shared_keys.plain(np.array([5, 5, 5, 7]), ranges).tolist() == [
        -1,
        5,
        -1,
        -1,
    ]
    assert seats_kernel.shared_keys.plain(np.array([5, 5, 7, 7]), ranges).tolist() == [-1, 5, 7, -1]


def test_ends_that_rows_list() -> None:
    """Row 1 stands for both ends of a ring (2 and 3), the others for one end each."""
    places = np.array([(0, 0), (3, 4), (0, 9)], np.float64)
    near = np.array([(1, 2), (0, 2), (1, -1)])
    enter = np.array([0, 2, 5])
    twin = np.array([0, 1, 0])
    made = [np.full((3, 4), -1), np.full((3, 4), -1), np.full((3, 4), np.inf)]
    listed = seats_kernel.Listed(*made)
    seats_kernel.list_ends.plain(METRIC, places, near, enter, twin, 8, listed)
    ends, port, far = made
    assert ends.tolist() == [[8, 2, 3, 5], [8, 0, 5, -1], [8, 2, 3, -1]]
    assert port.tolist() == [[3, 1, 1, 2], [3, 0, 2, -1], [3, 1, 1, -1]]
    across = 34**0.5
    assert far.tolist() == [
        [0, 5, 5, 9], [0, 5, across, np.inf], [0, across, across, np.inf],
    ]  # fmt: skip
    narrow = [np.full((3, 2), -1), np.full((3, 2), -1), np.full((3, 2), np.inf)]
    listed = seats_kernel.Listed(*narrow)
    seats_kernel.list_ends.plain(METRIC, places, near, enter, twin, -1, listed)
    assert narrow[0].tolist() == [[2, 3], [0, 5], [2, 3]]
