"""What the rounds in tiles, blocks and groups are, with searches in their place that only note what
they are asked.
"""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest

from plotlib.planning.bounding.bound import lower_bound
from plotlib.planning.metric import Metric, distance_metric
from plotlib.planning.ordering import blocks, order, search, tiles
from plotlib.planning.ordering.lists import near_lists
from plotlib.planning.ordering.runs import Runs, States, states_cost
from plotlib.planning.ordering.seats import Strokes, seat_lists
from plotlib.planning.ordering.tour import Annealing, Search
from plotlib.planning.ordering.tour_kernel import NOW
from tests.oracles_planning import move, ragged
from tests.oracles_search import links_of, way

METRIC = distance_metric(1.0)
TIME = Metric(1.0, 6e-3, 1.5e-2, 2e-3, 4e-3)

# ---- tiles


class Noted:
    """Searches that change nothing and note what they are asked."""

    def __init__(self) -> None:
        self.asked: list[tuple[Any, ...]] = []

    def tile(self, ground: Any, seq: Any, inside: Any, work: Annealing) -> Any:
        self.asked.append(("tile", np.flatnonzero(inside).tolist(), work))
        return seq

    def long(self, ground: Any, seq: Any, seed: int, go_on: Any = None, **how: float) -> Any:
        self.asked.append(("long", how["kicks"], seed))
        return seq


def scattered(count: int) -> tiles.Ground:
    xy = np.random.default_rng(count).uniform(0, 1_000, (2 * count, 2))
    return tiles.Ground(METRIC, xy, None)


@pytest.mark.parametrize(("count", "wide", "small"), [(400, 200, 50), (401, 200, 20)])
def test_rounds_of_all_tiles_with_long_links_between_them(
    count: int, wide: int, small: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    noted = Noted()
    monkeypatch.setattr(tiles, "tile_search", noted.tile)
    monkeypatch.setattr(tiles, "long_links_search", noted.long)
    for name, value in (("TILE", 50), ("SMALL", 20), ("LONG", 400), ("WIDE", 200)):
        monkeypatch.setattr(tiles, name, value)
    told: list[float] = []
    work = Annealing(20.0, 4.0, 0.0, 7, None, told.append)
    seq = 2 * np.arange(count, dtype=np.int32)
    assert tiles.in_tiles(scattered(count), seq, work) is seq
    assert told == [k / 20 for k in range(20)]
    rounds: list[list[tuple[Any, ...]]] = [[]]
    for asked in noted.asked:
        part = asked[2]
        if asked[0] == "tile" and part.hot != pytest.approx(4.0 - 0.2 * (len(rounds) - 1)):
            rounds.append([])
        rounds[-1].append(asked)
    assert len(rounds) == 20
    seeds = [asked[2].seed if asked[0] == "tile" else asked[2] for asked in noted.asked]
    assert len(set(seeds)) == len(seeds)
    for number, asked_then in enumerate(rounds):
        drawn = [asked for asked in asked_then if asked[0] == "tile"]
        assert sorted(s for asked in drawn for s in asked[1]) == list(range(count))
        for _, _, part in drawn:
            assert part.kicks == pytest.approx(1.0)
            assert part.cool == pytest.approx(4.0 - 0.2 * (number + 1), abs=1e-12)
        size = np.mean([len(asked[1]) for asked in drawn])
        wanted = wide if number < 2 else small
        assert 0.4 * wanted < size < 1.6 * wanted
        longs = [asked[1] for asked in asked_then if asked[0] == "long"]
        assert longs == ([10.0] if number % 5 == 4 else [])
    tilings = {
        tuple(sorted(tuple(asked[1]) for asked in then if asked[0] == "tile")) for then in rounds
    }
    assert len(tilings) == 20  # they move from round to round


def test_tiles_are_the_same_in_any_unit() -> None:
    middle = np.random.default_rng(8).uniform(0, (300, 100), (400, 2))
    labels = tiles.cells(middle, 40, 0.3)
    for unit in (2.0**-40, 2.0**40):
        assert tiles.cells(unit * middle, 40, 0.3).tolist() == labels.tolist()


@pytest.mark.parametrize("cool", [0.0, 3.0])
def test_rings_stay_where_a_tile_leaves_them(cool: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """At the best where it has cooled down, as the search stands where it is warm."""
    made: list[Search] = []

    class Kept(Search):
        def __init__(self, *arguments: Any) -> None:
            super().__init__(*arguments)
            made.append(self)

    monkeypatch.setattr(tiles, "Search", Kept)
    rng = np.random.default_rng(4)
    first = 4 * np.arange(61)
    first[41:] = first[40]  # forty rings, twenty dots
    middle = rng.uniform(0, 1_000, (60, 2))
    vertices = np.repeat(middle[:40], 4, axis=0) + rng.uniform(-90, 90, (160, 2))
    middle[:40] = vertices[::4]
    strokes = Strokes(np.repeat(middle, 2, axis=0), vertices, first)
    ground = tiles.Ground(METRIC, strokes.xy, seat_lists(METRIC, strokes))
    assert ground.lists is not None
    seq = 2 * np.arange(60, dtype=np.int32)
    inside = np.arange(60) < 50
    found = tiles.tile_search(ground, seq, inside, Annealing(20.0, 3.0, cool, 1))
    (done,) = made
    rows = done.best_row if cool == 0.0 else done.row[0::2]
    if cool > 0.0:
        assert done.best_row.tolist() != done.row[0::2].tolist()
    seats = done.lists.seats
    assert seats is not None
    seated = np.flatnonzero(seats.span[:, 1])
    assert len(seated) > 30
    for k in seated.tolist():
        place = seats.places[rows[k]]
        assert place.tolist() in vertices.tolist()
        assert (ground.xy[0::2] == place).all(axis=1).any()
    told = done.best_cost() if cool == 0.0 else done.real[NOW]
    free = way(METRIC, ground.xy, found)
    fixed = free - told
    assert fixed >= -1e-6
    # Links that reach out of the tile are as they were: all that changed is what the search says.
    links = links_of(found.tolist())
    out = [(e, f) for e, f in links.items() if e < f and not (inside[e >> 1] and inside[f >> 1])]
    assert fixed == pytest.approx(sum(move(METRIC, *(ground.xy[e] - ground.xy[f])) for e, f in out))


@pytest.mark.parametrize("unit", [2.0**-60, 2.0**60])
def test_orders_and_bounds_are_the_same_in_any_unit(unit: float) -> None:
    """Whole powers of two change no digit of a sum or a root, so nothing may differ."""
    rng = np.random.default_rng(6)
    runs = strokes_far(rng, 40)
    groups = rng.integers(0, 2, 40)
    one = distance_metric(1.0)
    other = distance_metric(unit)
    for how in ({}, {"groups": groups}, {"keep": True}):
        found = order.order(runs, one, home=(0, 0), finish=None, effort=0.3, **how)
        again = order.order(runs, other, home=(0, 0), finish=None, effort=0.3, **how)
        assert again.sequence.tolist() == found.sequence.tolist()
        assert again.start.tolist() == found.start.tolist()
        assert again.cost == unit * found.cost
    bound = lower_bound(runs.points, runs.offsets, one, home=(0, 0), finish=None)
    assert lower_bound(runs.points, runs.offsets, other, home=(0, 0), finish=None) == unit * bound


def test_long_links_are_three_times_the_mean(monkeypatch: pytest.MonkeyPatch) -> None:
    """Dots at 0, 1, 2, … with two gaps; the tour goes to the right and back to the first."""
    x = np.array([0, 1, 2, 3, 10, 11, 12, 13, 14, 15, 16, 17], np.float64)
    xy = np.repeat(np.stack([x, 0 * x], axis=1), 2, axis=0)
    asked: list[Any] = []

    def noted(ground: Any, seq: Any, cuts: Any, work: Annealing) -> Any:
        asked.append((ground.lists, cuts.tolist(), work))
        return seq

    monkeypatch.setattr(tiles, "_pieces_search", noted)
    seq = 2 * np.arange(12, dtype=np.int32)
    ground = tiles.Ground(METRIC, xy, near_lists(METRIC, xy))
    tiles.long_links_search(ground, seq, 5)
    assert asked[0][:2] == (None, [11])  # 17 of a mean of 34 / 12
    assert (asked[0][2].kicks, asked[0][2].hot, asked[0][2].cool, asked[0][2].seed) == (
        100,
        0.3,
        0,
        5,
    )
    tiles.long_links_search(ground, seq[:9], 5, kicks=7.0)
    assert asked[1][1] == [8]  # 14 of a mean of 28 / 9, but not the 7
    assert asked[1][2].kicks == 7.0
    assert tiles.long_links_search(ground, seq[:4], 5) is not None
    assert len(asked) == 2  # 3 of a mean of 6 / 4 is not long


def test_costs_along_a_tour() -> None:
    xy = np.array([(0, 0), (0, 3), (4, 3), (9, 9), (np.nan, np.nan), (0, 1)])
    costs = tiles.costs_along(METRIC, xy, np.array([0, 2, 5]))
    assert costs[0] == 4.0
    assert costs[1] == pytest.approx(np.hypot(9, 8))
    assert np.isnan(costs[2])


def test_few_pieces_are_left_alone() -> None:
    ground = scattered(40)
    seq = 2 * np.arange(40, dtype=np.int32)
    work = Annealing(5.0, 1.0, 0.0, 1)
    inside = np.zeros(40, bool)
    inside[:8] = True  # seven links inside
    assert tiles.tile_search(ground, seq, inside, work) is seq
    inside[8] = True
    assert tiles.tile_search(ground, seq, inside, work) is not seq


# ---- blocks


def test_blocks_are_columns_walked_up_and_down(monkeypatch: pytest.MonkeyPatch) -> None:
    """A grid of thirty by ten in blocks of twenty: five columns of six, three rows of them."""
    monkeypatch.setattr(blocks, "BLOCK", 20)
    middle = np.array([(10 * i, 10 * j) for i in range(30) for j in range(10)], np.float64)
    found = blocks.winding_blocks(middle, np.array([0.0, 0.0]), np.array([9.0, 9.0]))
    columns = round(np.sqrt(15 * 291 / 91))
    rows = round(15 / columns)
    assert len(found) == columns * rows == 14
    where = [middle[block.strokes].mean(axis=0) for block in found]
    for number in range(columns):
        up = [y for _, y in where[rows * number : rows * (number + 1)]]
        assert up == sorted(up, reverse=number % 2 == 1)
    assert [x for x, _ in where[::rows]] == sorted(x for x, _ in where[::rows])
    assert all((np.diff(block.strokes) > 0).all() for block in found)
    assert {len(block.strokes) for block in found} <= {20, 21, 22}
    assert len(blocks.winding_blocks(middle[:3], middle[0], middle[1])) == 2  # two at least


def test_blocks_are_searched_each_and_then_their_seams(monkeypatch: pytest.MonkeyPatch) -> None:
    noted = Noted()
    monkeypatch.setattr(blocks, "BLOCK", 100)
    monkeypatch.setattr(blocks, "SEAM", 60)
    monkeypatch.setattr(blocks, "tile_search", noted.tile)
    rng = np.random.default_rng(2)
    xy = rng.integers(0, 1_000, (802, 2)).astype(np.float64)
    xy[-2:] = [(990, 990), (3, 4)]
    seeds = []

    def solve(part: Strokes, seed: int) -> Any:
        """Backwards through the block, from the depot on."""
        seeds.append(seed)
        count = len(part.xy) // 2
        assert part.xy[-2:].tolist() == [
            blocks_made[seed - 50].end.tolist(),
            blocks_made[seed - 50].begin.tolist(),
        ]
        return np.append(2 * (count - 1), 2 * np.arange(count - 1)[::-1] + 1), part.xy[0::2]

    middle = (xy[0:-2:2] + xy[1:-2:2]) / 2
    blocks_made = blocks.winding_blocks(middle, xy[-1], xy[-2])
    assert blocks_made[0].begin.tolist() == [3, 4]
    assert blocks_made[-1].end.tolist() == [990, 990]
    found, places = blocks.in_blocks(METRIC, Strokes.fixed(xy), solve, kicks=8.0, seed=50)
    wanted = [2 * 400]
    for block in blocks_made:
        wanted += [2 * s + 1 for s in block.strokes[::-1].tolist()]
    assert found.tolist() == wanted
    assert sorted(seeds) == [50 + k for k in range(len(blocks_made))]
    np.testing.assert_array_equal(places, xy[0::2])
    member = np.empty(400, int)
    for number, block in enumerate(blocks_made):
        member[block.strokes] = number
    for _, inside, work in noted.asked:
        assert len(set(member[inside].tolist())) > 1
        assert (work.kicks, work.hot, work.cool) == (4.0, 0.2, 0.0)
        assert work.seed >= 50
    assert len({work.seed for *_, work in noted.asked}) == len(noted.asked)
    assert {work.seed > 1_000_000 for *_, work in noted.asked} == {False, True}
    noted.asked.clear()
    blocks.in_blocks(METRIC, Strokes.fixed(xy), solve, kicks=8.0, seed=50, go_on=lambda: False)
    assert noted.asked == []


# ---- groups


def nearest(runs: Runs, groups: list[int], home: Any) -> list[int]:
    """The states that a walk to the nearest enters, group after group."""
    states = States.of(runs)
    at = home
    entered = []
    for label in sorted(set(groups)):
        left = [run for run, own in enumerate(groups) if own == label]
        while left:
            every = [p for run in left for p in range(states.first[run], states.first[run + 1])]
            if at is None:
                state = every[0]
            else:
                state = min(every, key=lambda p: np.hypot(*(states.xy[p] - at)))
            entered.append(state)
            at = states.xy[states.leave[state]]
            left.remove(int(states.owner[state]))
    return entered


@pytest.mark.parametrize("home", [None, (30, 40)])
@pytest.mark.parametrize("seed", range(4))
def test_the_nearest_first_in_each_group(seed: int, home: Any) -> None:
    rng = np.random.default_rng(seed)
    runs = strokes_far(rng, 14)
    groups = rng.integers(0, 3, 14).tolist()
    found = order.naive_order(runs, METRIC, home=home, finish=None, groups=groups)
    states = States.of(runs)
    wanted = nearest(runs, groups, home)
    assert states.entered(found.sequence, found.reverse, found.start).tolist() == wanted
    ends = np.array([*(home or (np.nan, np.nan)), np.nan, np.nan])
    assert found.cost == pytest.approx(states_cost(states, np.array(wanted), METRIC, ends))


def strokes_far(rng: np.random.Generator, count: int) -> Runs:
    """Dots, lines and rings at random places."""
    listed = []
    for _ in range(count):
        own = [tuple(p) for p in rng.integers(0, 10_000, (int(rng.integers(1, 5)), 2)).tolist()]
        listed.append([*own, own[0]] if len(own) > 2 else own)
    return Runs(*ragged(listed))


def test_groups_are_searched_from_where_one_ends_to_where_the_next_begins(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[Any] = []

    def noted(states: States, entered: Any, metric: Metric, ends: Any, work: Any) -> Any:
        asked.append((states, entered, ends))
        return entered[::-1]

    monkeypatch.setattr(order, "search_order", noted)
    rng = np.random.default_rng(5)
    runs = strokes_far(rng, 18)
    states = States.of(runs)
    labels = np.arange(18) % 3
    entered = states.first[:-1][np.argsort(labels, kind="stable")]
    ends = np.array([1.0, 2.0, 3.0, 4.0])
    found = order._searched(states, entered, METRIC, ends, labels, search.Work(1.0, 0))
    best = order._best_entered(states, entered, METRIC, ends)[0]
    parts = np.split(best, [6, 12])
    assert found.tolist() == [int(p) for part in parts for p in part[::-1]]
    for number, (part, local, at) in enumerate(asked):
        assert part.xy[local].tolist() == states.xy[parts[number]].tolist()
        assert (
            part.xy[part.leave[local]].tolist() == states.xy[states.leave[parts[number]]].tolist()
        )
        begin = ends[:2] if number == 0 else states.xy[states.leave[parts[number - 1][0]]]
        end = ends[2:] if number == 2 else states.xy[parts[number + 1][0]]
        assert at.tolist() == [*begin, *end]


@pytest.mark.parametrize("seed", range(5))
def test_some_runs_of_many(seed: int) -> None:
    rng = np.random.default_rng(seed)
    states = States.of(strokes_far(rng, 12))
    chosen = np.sort(rng.permutation(12)[:5])
    part, where = order.subset(states, chosen)
    assert part.xy.tolist() == states.xy[where].tolist()
    assert chosen[part.owner].tolist() == states.owner[where].tolist()
    assert where[part.leave].tolist() == states.leave[where].tolist()
    assert np.diff(part.first).tolist() == np.diff(states.first)[chosen].tolist()
    assert part.closed.tolist() == states.closed[chosen].tolist()
    assert part.first[0] == 0
    whole, every = order.subset(states, np.arange(12))
    assert whole is states
    assert every.tolist() == list(range(len(states.xy)))


@pytest.mark.parametrize("seed", range(6))
def test_few_runs_in_groups_come_in_the_best_order_of_all(seed: int) -> None:
    rng = np.random.default_rng(seed)
    runs = strokes_far(rng, 5)
    states = States.of(runs)
    groups = rng.integers(0, 3, 5)
    ends = np.array([0.0, 0.0, 5_000.0, 5_000.0])
    costs = [
        states_cost(states, np.array(entered), METRIC, ends)
        for sequence in itertools.permutations(range(5))
        if (np.diff(groups[list(sequence)]) >= 0).all()
        for entered in itertools.product(
            *(range(states.first[run], states.first[run + 1]) for run in sequence)
        )
    ]
    found = order.order(runs, METRIC, home=(0, 0), finish=(5_000, 5_000), groups=groups)
    assert found.cost == pytest.approx(min(costs))
    assert (np.diff(groups[found.sequence]) >= 0).all()
