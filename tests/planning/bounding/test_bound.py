from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from plotlib.planning.bounding import search
from plotlib.planning.bounding.bound import lower_bound
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.metric import Metric, distance_metric
from tests.oracles_planning import TimeCost, distance_cost, exact_cost, ragged
from tests.outside import LIBRARY, MEMORY, published

MILLIMETRES = distance_metric(1.0)
SECONDS = Metric(
    1.0, 60 / 10_000_000, 60 / 4_000_000, 1 / 500_000, 1 / 250_000
)  # micrometres; 10,000 and 4,000 mm/min, 500 and 250 mm/s²
COSTS = [
    (distance_cost, MILLIMETRES),
    (TimeCost((10_000_000 / 60, 4_000_000 / 60), (500_000, 250_000)), SECONDS),
]


def random_case(rng):
    """Up to six dots, lines and closed outlines, on coarse and fine grids, with and without home
    and finish.
    """
    span = int(rng.choice([3, 10, 1000, 30_000]))

    def point():
        x, y = rng.integers(0, span + 1, 2)
        return int(x), int(y)

    strokes = []
    for kind in rng.integers(0, 3, rng.integers(0, 7)):
        line = [point() for _ in range((1, 3, rng.integers(2, 5))[kind])]
        strokes.append([*line, line[0]] if kind == 2 else line)
    home, finish = (point() if rng.random() < 0.6 else None for _ in range(2))
    return strokes, home, home if rng.random() < 0.3 else finish


@pytest.mark.parametrize("seed", range(6))
def test_the_bound_is_never_above_the_optimum(seed):
    rng = np.random.default_rng(seed)
    for _ in range(250):
        strokes, home, finish = random_case(rng)
        for cost, metric in COSTS:
            optimum = exact_cost(strokes, cost, home, finish)
            assert (
                0.0
                <= lower_bound(*ragged(strokes), metric, home=home, finish=finish)
                <= optimum * (1 + 1e-12)
            ), (strokes, home, finish)


def test_it_is_close_to_the_optimum_on_small_cases_of_dots_and_lines():
    rng = np.random.default_rng(11)
    shares = []
    for _ in range(60):
        strokes = [
            [tuple(p) for p in rng.integers(0, 10_000, (size, 2)).tolist()]
            for size in (1, 2, 1, 2, 1, 2)
        ]
        for cost, metric in COSTS:
            optimum = exact_cost(strokes, cost, (0, 0), None)
            shares.append(lower_bound(*ragged(strokes), metric, home=(0, 0), finish=None) / optimum)
    assert np.mean(shares) > 0.97
    assert np.median(shares) > 0.999


def test_nothing_to_draw_costs_the_way_from_home_to_the_finish():
    nothing = np.zeros((0, 2), dtype=np.int64), np.zeros(1, dtype=np.int64)
    assert lower_bound(*nothing, MILLIMETRES, home=(0, 0), finish=(3, 4)) == 5.0
    assert lower_bound(*nothing, MILLIMETRES, home=(0, 0), finish=None) == 0.0


@pytest.mark.parametrize("stroke", [[(5, 5)], [(1, 9), (30, 2)], [(1, 9), (30, 2), (8, 8), (1, 9)]])
@pytest.mark.parametrize("home", [None, (0, 0)])
@pytest.mark.parametrize("finish", [None, (20, 0)])
def test_one_run_is_exact(stroke, home, finish):
    bound = lower_bound(*ragged([stroke]), MILLIMETRES, home=home, finish=finish)
    assert bound == pytest.approx(exact_cost([stroke], distance_cost, home, finish), abs=1e-12)


def test_dots_on_a_circle_on_a_grid_and_in_a_row():
    """Known optima: 2 N R sin(pi / N); m n s for m n even; twice the extent, and the extent of an
    open path.
    """
    angles = 2 * np.pi * np.arange(1, 100) / 100
    circle = np.round(1e6 * np.stack([np.cos(angles), np.sin(angles)], axis=1)).astype(np.int64)
    round_trip = lower_bound(
        circle, np.arange(100), MILLIMETRES, home=(1_000_000, 0), finish=(1_000_000, 0)
    )
    assert round_trip == pytest.approx(200 * 1e6 * math.sin(math.pi / 100), rel=1e-5)
    grid = np.stack(np.meshgrid(10 * np.arange(8), 10 * np.arange(9)), axis=-1).reshape(-1, 2)
    assert lower_bound(
        grid[1:], np.arange(72), MILLIMETRES, home=(0, 0), finish=(0, 0)
    ) == pytest.approx(720, rel=1e-9)
    row = np.stack(
        [np.random.default_rng(0).permutation(50) * 7, np.zeros(50, dtype=np.int64)], axis=1
    )
    assert lower_bound(
        row, np.arange(51), MILLIMETRES, home=(0, 0), finish=(0, 0)
    ) == pytest.approx(2 * 343, rel=1e-3)
    assert lower_bound(row, np.arange(51), MILLIMETRES, home=None, finish=None) == pytest.approx(
        343, rel=1e-9
    )


def test_strokes_end_to_end_cost_nothing():
    chain = [[(10 * k, 0), (10 * k + 10, 0)] for k in range(40)]
    assert lower_bound(*ragged(chain), MILLIMETRES, home=(0, 0), finish=None) == 0.0
    assert lower_bound(*ragged(chain), MILLIMETRES, home=(0, 0), finish=(0, 0)) == pytest.approx(
        400, rel=1e-3
    )


def test_the_way_back_over_a_hatch_counts():
    rows = [[(0, 800 * k), (60_000, 800 * k)] for k in range(60)]
    there = 59 * 800
    back = math.hypot(0, 59 * 800)
    assert lower_bound(*ragged(rows), MILLIMETRES, home=(0, 0), finish=(0, 0)) == pytest.approx(
        there + back, rel=0.01
    )


def test_runs_on_the_same_spot():
    assert lower_bound(*ragged([[(5, 5)]] * 30), MILLIMETRES, home=(5, 5), finish=None) == 0.0


@published(
    module="planning",
    source="tours of a general solver",
    kind=LIBRARY,
    against="fast_tsp",
    rel=0.01,
)
def test_uniform_dots_are_within_one_percent_of_good_tours(within):
    """Tours of a general solver stand for the optima: they are not below them."""
    import fast_tsp

    below = []
    for seed in range(3):
        dots = np.random.default_rng(seed).integers(0, 40_000, (1000, 2))
        between = np.hypot(*(dots[:, None] - dots[None]).transpose(2, 0, 1))
        tour = fast_tsp.find_tour(np.round(between).astype(int), duration_seconds=1.0)
        length = between[tour, np.roll(tour, -1)].sum()
        home = (int(dots[0, 0]), int(dots[0, 1]))
        below.append(
            1 - lower_bound(dots[1:], np.arange(1000), MILLIMETRES, home=home, finish=home) / length
        )
    assert min(below) > 0.0
    assert np.mean(below) <= within.rel


@published(
    module="planning",
    source="D. S. Johnson, L. A. McGeoch, E. E. Rothberg, SODA 1996",
    kind=MEMORY,
    printed=(0.70805, 0.52229, 1.31572, -3.07474),
    rel=0.01,
    claim="Held-Karp bound of uniform points",
)
def test_uniform_dots_come_to_the_known_constant(within, printed):
    """Held-Karp bound of N uniform points: (0.70805 + 0.52229 / sqrt(N) + 1.31572 / N - 3.07474 /
    N^1.5) sqrt(N A).

    D. S. Johnson, L. A. McGeoch, E. E. Rothberg, SODA 1996 (constants from memory). The spread of
    one instance is about 1 %.
    """
    count = 1000
    side = 1_000_000
    values = []
    for seed in range(4):
        dots = np.random.default_rng(100 + seed).integers(0, side, (count, 2))
        home = (int(dots[0, 0]), int(dots[0, 1]))
        values.append(lower_bound(dots[1:], np.arange(count), MILLIMETRES, home=home, finish=home))
    expected = sum(part / count ** (k / 2) for k, part in zip((0, 1, 2, 3), printed, strict=True))
    assert np.mean(values) / (side * count**0.5) == within.of(expected)


def tree_weight(group, weight):
    """Least spanning tree of the complete graph on the runs, by Prim's way with the best link of
    each pair of runs.
    """
    runs = int(group.max()) + 1
    link = np.full((runs, runs), np.inf)
    for u in range(len(group)):
        for v in range(len(group)):
            link[group[u], group[v]] = min(link[group[u], group[v]], weight(u, v))
    reached = link[0].copy()
    total = 0.0
    outside = set(range(1, runs))
    while outside:
        run = min(outside, key=lambda k: reached[k])
        total += reached[run]
        outside.remove(run)
        reached = np.minimum(reached, link[run])
    return total


@pytest.mark.parametrize("metric", [MILLIMETRES, SECONDS])
@pytest.mark.parametrize("span", [4, 30, 100_000])
def test_the_spanning_tree_over_all_links_is_exact(metric, span):
    """With multipliers on the points, and on the slots from a point to another run."""
    from plotlib.planning.bounding.tree_kernel import Known, spanning_tree
    from plotlib.planning.kd_tree_kernel import Tree, build_tree

    rng = np.random.default_rng(span)
    for count in (2, 3, 9, 40, 100):
        placed = rng.integers(0, span + 1, (count, 2)).astype(float)
        order, spans, boxes = build_tree(placed, 1.0, 1.0)
        xy = placed[order]
        tree = Tree(xy, spans, boxes)
        group = np.unique(rng.integers(0, max(2, count // 2), count), return_inverse=True)[
            1
        ].astype(np.int64)
        runs = int(group.max()) + 1
        mean = move_cost(metric, span / 3, span / 3)
        keys = np.sort(rng.choice(count * runs, count * runs // 3, replace=False))
        starts = np.searchsorted(keys // runs, np.arange(count + 1))
        for pi in (np.zeros(count), rng.normal(0, mean, count), np.round(rng.normal(0, 2, count))):
            for rho in (np.zeros(len(keys)), rng.exponential(mean, len(keys))):
                slot = np.zeros(count * runs)
                slot[keys] = rho

                def weight(u, v, pi=pi, slot=slot, xy=xy, group=group, runs=runs):
                    gain = pi[u] + pi[v] + slot[u * runs + group[v]] + slot[v * runs + group[u]]
                    return move_cost(metric, *(xy[u] - xy[v])) + gain

                known = Known(
                    pi=pi,
                    group=group,
                    starts=starts,
                    keys=keys % runs,
                    rho=rho,
                    firsts=np.zeros(count + 1, dtype=np.int64),
                    edges=np.zeros((0, 2), dtype=np.int64),
                    weights=np.zeros(0),
                )
                links = spanning_tree(tree, runs, metric, known, np.full(count, -np.inf))
                assert len(links) == runs - 1
                assert sum(weight(u, v) for u, v in links) == pytest.approx(
                    tree_weight(group, weight), rel=1e-11, abs=1e-11
                )


@pytest.mark.parametrize("span", [4, 30, 100_000])
def test_known_links_may_weigh_more_than_their_ends_say(span):
    """Also where the search of the k-d tree comes upon them; a tree of the lighter weights would
    claim too much.
    """
    from plotlib.planning.bounding.tree_kernel import Known, spanning_tree
    from plotlib.planning.kd_tree_kernel import Tree, build_tree

    rng = np.random.default_rng(span)
    for count in (3, 9, 40, 100):
        placed = rng.integers(0, span + 1, (count, 2)).astype(float)
        order, spans, boxes = build_tree(placed, 1.0, 1.0)
        xy = placed[order]
        tree = Tree(xy, spans, boxes)
        group = np.unique(rng.integers(0, max(2, count // 2), count), return_inverse=True)[
            1
        ].astype(np.int64)
        runs = int(group.max()) + 1
        pi = rng.normal(0, span / 10, count)
        every = np.stack(np.triu_indices(count, 1), axis=1)
        every = every[group[every[:, 0]] != group[every[:, 1]]]
        known = every[np.sort(rng.choice(len(every), len(every) // 2, replace=False))]
        plain = np.hypot(xy[:, None, 0] - xy[:, 0], xy[:, None, 1] - xy[:, 1]) + pi[:, None] + pi
        raised = plain.copy()
        raised[known[:, 0], known[:, 1]] += rng.exponential(span / 10, len(known))
        raised = np.where(np.triu(np.ones((count, count))) > 0, raised, raised.T)
        links = spanning_tree(
            tree,
            runs,
            MILLIMETRES,
            Known(
                pi=pi,
                group=group,
                starts=np.zeros(count + 1, dtype=np.int64),
                keys=np.zeros(0, dtype=np.int64),
                rho=np.zeros(0),
                firsts=np.searchsorted(known[:, 0], np.arange(count + 1)),
                edges=np.ascontiguousarray(known),
                weights=raised[known[:, 0], known[:, 1]],
            ),
            np.full(count, -np.inf),
        )
        best = tree_weight(group, lambda u, v, raised=raised: raised[u, v])
        assert raised[links[:, 0], links[:, 1]].sum() == pytest.approx(best, rel=1e-11, abs=1e-11)


def test_no_tour_takes_more_links_of_an_odd_set_than_there_is_room():
    """On random means of links between ends of strokes and dots, against random tours, of which
    some fill the sets.
    """
    from plotlib.planning.bounding import sets_kernel as kernel

    rng = np.random.default_rng(3)
    seen = 0
    for _ in range(200):
        runs = int(rng.integers(3, 8))
        share = np.concatenate([[2] if rng.random() < 0.3 else [1, 1] for _ in range(runs)])
        group = runs_of(share)
        count = len(share)
        edges = np.array(
            [(a, b) for a in range(count) for b in range(a + 1, count) if group[a] != group[b]]
        )
        mean = rng.uniform(0, 0.9, len(edges)) ** rng.uniform(0.2, 2)
        order = np.argsort(-mean, kind="stable")
        touching = kernel.touching(edges, count)
        near = kernel.Near(edges, mean, *touching)
        rows, starts, rooms, marks = kernel.find(near, order, share)
        spans, inside = kernel.within(rows, starts, edges, *touching)
        assert len(set(marks.tolist())) == len(marks)
        for _ in range(40):
            taken = tour_links(rng, group)
            for s in range(len(rooms)):
                links = {tuple(edges[e].tolist()) for e in inside[spans[s] : spans[s + 1]]}
                assert len(links & taken) <= rooms[s]
                seen += len(links & taken) == rooms[s]
    assert seen > 1000


def runs_of(share):
    """Run of each end: a dot has one, a stroke two that follow each other."""
    group = []
    run = 0
    half = False
    for links in share:
        group.append(run)
        half = links == 1 and not half
        run += not half
    return np.array(group)


def tour_links(rng, group):
    """Links a < b of a random order and random directions, without those from and to home."""
    path = []
    for run in rng.permutation(int(group.max()) + 1):
        ends = np.flatnonzero(group == run).tolist()
        path.append(ends[:: 1 if rng.random() < 0.5 else -1])
    return {(min(a[-1], b[0]), max(a[-1], b[0])) for a, b in itertools.pairwise(path)}


def test_three_ends_side_by_side_cost_two_links():
    """Triangles of ends 0.01 mm apart, strokes that lead 100 mm away: one end of the three must be
    left alone.
    """
    corners = [(0, 0), (10, 0), (5, 9)]
    far = [(-100_000, -60_000), (100_000, -60_000), (0, 110_000)]
    strokes = list(zip(corners, far, strict=True))
    for cost, metric in COSTS:
        optimum = exact_cost(strokes, cost, None, None)
        assert lower_bound(*ragged(strokes), metric, home=None, finish=None) == pytest.approx(
            optimum, rel=0.01
        )


def test_random_strokes_and_clusters_are_within_a_few_percent_of_our_orders():
    """The strokes at 0.8 %, the dots in clusters at 0.2 %; without odd sets and steps of whole
    components it is 5.2 and 10.6 %.
    """
    from plotlib.planning.ordering.order import Runs, order

    rng = np.random.default_rng(5)
    start = rng.uniform(0, 70_000, (1000, 2))
    turn = rng.uniform(0, 2 * np.pi, 1000)
    lines = (
        np.stack([start, start + 3_000 * np.stack([np.cos(turn), np.sin(turn)], axis=1)], axis=1)
        .round()
        .astype(np.int64)
    )
    spots = rng.uniform(0, 200_000, (10, 2))[rng.integers(0, 10, 600)]
    dots = (spots + rng.normal(0, 3_000, (600, 2))).round().astype(np.int64)
    for points, size, most in ((lines.reshape(-1, 2), 2, 1.015), (dots, 1, 1.005)):
        offsets = np.arange(0, len(points) + 1, size)
        cost = order(Runs(points, offsets), MILLIMETRES, home=(0, 0), finish=(0, 0)).cost
        bound = lower_bound(points, offsets, MILLIMETRES, home=(0, 0), finish=(0, 0))
        assert bound <= cost <= most * bound


def test_a_search_that_long_steps_upset_goes_back_to_the_best_it_found(monkeypatch):
    rng = np.random.default_rng(3)
    start = rng.integers(0, 20_000, (150, 2))
    case = (
        *ragged(np.stack([start, start + rng.integers(-2_000, 2_000, (150, 2))], axis=1)),
        MILLIMETRES,
    )
    usual = lower_bound(*case, home=(0, 0), finish=(0, 0))
    stretches = search._stretches
    monkeypatch.setattr(
        search,
        "_stretches",
        lambda ends, *, closed: [10 * steps for steps in stretches(ends, closed=closed)[:8]],
    )
    assert (
        lower_bound(*case, home=(0, 0), finish=(0, 0)) > 0.85 * usual
    )  # 0.78 where it goes on from where it is


def outline(rng, radius):
    """A regular hexagon somewhere."""
    x, y = rng.integers(0, 1000, 2)
    corners = [
        (
            round(x + radius * math.cos(k * math.pi / 3)),
            round(y + radius * math.sin(k * math.pi / 3)),
        )
        for k in range(6)
    ]
    return [*corners, corners[0]]


def test_it_is_close_to_the_optimum_for_small_closed_outlines():
    """In on one side and out on the other must not come free: links of a closed run meet at one
    vertex.
    """
    rng = np.random.default_rng(2)
    shares = []
    for _ in range(10):
        outlines = [outline(rng, 50) for _ in range(5)]
        for cost, metric in COSTS:
            optimum = exact_cost(outlines, cost, (0, 0), None)
            shares.append(
                lower_bound(*ragged(outlines), metric, home=(0, 0), finish=None) / optimum
            )
    assert max(shares) <= 1 + 1e-12
    assert np.mean(shares) > 0.95


def test_the_same_input_gives_the_same_bound():
    rng = np.random.default_rng(4)
    points = rng.integers(0, 1000, (600, 2))
    offsets = np.arange(0, 601, 2)
    values = {lower_bound(points, offsets, SECONDS, home=(0, 0), finish=None) for _ in range(2)}
    assert len(values) == 1
