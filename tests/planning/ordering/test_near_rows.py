"""Lists of near ends and rows against lists made by hand of all pairs, where there are so few that
every one is listed; and bounds and stretches of the exact order against all orders.
"""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest

from plotlib.planning.metric import Metric, distance_metric
from plotlib.planning.ordering import exact_kernel, seats_kernel
from plotlib.planning.ordering.exact import _boxes
from plotlib.planning.ordering.lists import look_further, near_lists
from plotlib.planning.ordering.seats import Strokes, seat_lists
from tests.oracles_planning import METRIC, TIMED, move

Entry = tuple[float, int, int]


def costs(metric: Metric, one: np.ndarray, two: np.ndarray) -> float:
    return move(metric, *(one - two))


# ---- lists of points


@pytest.mark.parametrize("metric", [METRIC, TIMED])
@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("seed", range(6))
def test_lists_of_a_few_ends_hold_them_all(seed: int, free: bool, metric: Metric) -> None:
    """Ends on a small grid, so that many share a place: up to six of the own place, two of each
    other, in the order of the cost.
    """
    rng = np.random.default_rng(seed)
    count = 12 if seed % 2 else 5
    xy = rng.integers(0, 4 if seed % 2 else 90, (2 * count, 2)).astype(np.float64)
    if free:
        xy[-1] = np.nan
    number = 2 * count - 1 if free else -1
    found = near_lists(metric, xy, free=number)
    placed = [e for e in range(2 * count) if not np.isnan(xy[e, 0])]
    places = sorted({tuple(xy[e].tolist()) for e in placed})
    at = [[e for e in placed if tuple(xy[e].tolist()) == place] for place in places]
    assert found.twins == (len(placed) > 1.2 * len(places))
    wide = (20 if found.twins else 10) + free
    assert found.near.shape == found.far.shape == (len(places) + 1, wide)
    assert (found.near[-1] == -1).all()
    assert np.isinf(found.far[-1]).all()
    if free:
        assert found.row[number] == len(places)
    for k, place in enumerate(places):
        assert {int(found.row[e]) for e in at[k]} == {k}
        listed = found.near[k][found.near[k] >= 0].tolist()
        far = found.far[k][: len(listed)]
        wanted = [0.0] * free + [0.0] * (min(6, len(at[k])) if len(at[k]) > 1 else 0)
        others = sorted(
            range(len(places)), key=lambda j: costs(metric, *np.array([places[j], place]))
        )
        chosen = [j for j in others if j != k][:10]
        if len(places) <= 11:
            ways = [(costs(metric, *np.array([places[j], place])), j) for j in chosen]
            wanted += [cost for cost, j in ways for _ in at[j][:2]]
            assert far.tolist() == pytest.approx(sorted(wanted[:wide]))
        assert (np.diff(far) >= 0).all()
        assert np.isinf(found.far[k][len(listed) :]).all()
        assert len(set(listed)) == len(listed)
        for cost, e in zip(far.tolist(), listed, strict=True):
            here = np.array(place)
            assert cost == (0.0 if e == number else pytest.approx(costs(metric, xy[e], here)))


def test_some_points_list_four_that_lie_further_off() -> None:
    """Every eighth, from the fifth on, of 150 points; of these 19 again every eighth."""
    rng = np.random.default_rng(3)
    points = rng.uniform(0, 100, (150, 2))
    near = np.argsort(np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1)), axis=1)[
        :, 1:7
    ]
    near = near.astype(np.int32)
    near[7, 3:] = -1
    before = near.copy()
    perm = rng.permutation(150)
    perm[perm.tolist().index(7)], perm[4] = perm[4], 7
    asked: list[Any] = []

    def near_some(chosen: np.ndarray, *how: int) -> Any:
        asked.append((chosen.tolist(), how))
        found = np.stack([(np.arange(len(chosen)) + k) % len(chosen) for k in (1, 2, 3, 4)], axis=1)
        found[0, 3] = -1
        return found.astype(np.int32), chosen

    look_further(near_some, points, (1.0, 2.0), near, perm)
    first = perm[4::8].tolist()
    assert [chosen for chosen, _ in asked] == [first, first[4::8]]
    assert {how for _, how in asked} == {(60, 1, 4)}
    for at, u in enumerate(first[:4]):  # only of the first round
        wanted = [first[(at + k) % len(first)] for k in (1, 2, 3, 4)][: 3 if at == 0 else 4]
        own = before[u, :2].tolist()
        apart = (points[own + wanted] - points[u]) * (1.0, 2.0)
        ranked = [(own + wanted)[k] for k in np.argsort(np.hypot(*apart.T), kind="stable")]
        assert near[u].tolist() == ranked + [-1] * (6 - len(ranked))
    others = np.setdiff1d(np.arange(150), first)
    assert near[others].tolist() == before[others].tolist()
    look_further(near_some, points, (1.0, 1.0), near, perm[:15])
    assert len(asked) == 2
    look_further(near_some, points, (1.0, 1.0), near, perm[:16])
    assert asked[2][0] == perm[[4, 12]].tolist()


# ---- rows of seats


def some(seed: int, *, free: bool) -> Strokes:
    """Dots, lines and rings by turns."""
    rng = np.random.default_rng(seed)
    count = 7
    sizes = np.array([0, 3, 0, 1, 0, 4, 0])
    first = np.concatenate([[0], np.cumsum(sizes)])
    vertices = rng.uniform(0, 100, (first[-1], 2))
    xy = rng.uniform(0, 100, (count, 2, 2))
    xy[4, 1] = xy[4, 0]  # a dot
    for s in np.flatnonzero(sizes):
        xy[s] = vertices[first[s] + int(rng.integers(sizes[s]))]
    ends = xy.reshape(-1, 2)
    if free:
        ends[0] = np.nan
    return Strokes(ends, vertices, first)


@pytest.mark.parametrize("metric", [METRIC, TIMED])
@pytest.mark.parametrize("free", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_rows_of_a_few_strokes_list_all_others(seed: int, free: bool, metric: Metric) -> None:
    strokes = some(seed, free=free)
    found = seat_lists(metric, strokes, free=0 if free else -1)
    seats = found.seats
    assert seats is not None
    rows: list[tuple[int, np.ndarray, list[int]]] = []  # key, place, ends that would sit there
    for s in range(7):
        own = strokes.vertices[strokes.first[s] : strokes.first[s + 1]]
        ends = strokes.xy[2 * s : 2 * s + 2]
        begin = len(rows)
        if len(own):
            rows += [(2 * s, vertex, [2 * s, 2 * s + 1]) for vertex in own]
            here = begin + own.tolist().index(ends[0].tolist())
            assert found.row[2 * s : 2 * s + 2].tolist() == [here, here]
        elif (ends[0] == ends[1]).all():
            rows.append((2 * s, ends[0], [2 * s, 2 * s + 1]))
            assert found.row[2 * s : 2 * s + 2].tolist() == [begin, begin]
        else:
            for e in (2 * s, 2 * s + 1):
                if np.isnan(strokes.xy[e, 0]):
                    continue
                assert found.row[e] == len(rows)
                rows.append((e, strokes.xy[e], [e]))
        assert seats.span[s].tolist() == [begin, len(own)]
    assert found.twins
    assert found.near.shape == (len(rows) + 1, 20 + free)
    assert seats.origin.tolist() == list(range(len(rows) + 1))
    np.testing.assert_array_equal(seats.places[:-1], [place for _, place, _ in rows])
    assert np.isnan(seats.places[-1]).all()
    if free:
        assert found.row[0] == len(rows)
    for u, (key, place, _) in enumerate(rows):
        wanted: list[Entry] = [(0.0, 0, len(rows))] if free else []
        for other in sorted({row[0] for row in rows} - {key}):
            cost, v = min(
                (costs(metric, row[1], place), v) for v, row in enumerate(rows) if row[0] == other
            )
            wanted += [(cost, e, v) for e in rows[v][2]]
        wanted.sort()
        size = len(wanted)
        assert found.near[u, :size].tolist() == [e for _, e, _ in wanted]
        assert seats.port[u, :size].tolist() == [v for _, _, v in wanted]
        assert found.far[u, :size].tolist() == pytest.approx([cost for cost, _, _ in wanted])
        assert (found.near[u, size:] == -1).all()
        assert np.isinf(found.far[u, size:]).all()


def test_a_few_rings_among_many_lines_are_not_twins() -> None:
    rng = np.random.default_rng(1)
    for rings, twins in ((2, False), (3, True)):
        sizes = np.where(np.arange(10) < rings, 3, 0)
        first = np.concatenate([[0], np.cumsum(sizes)])
        vertices = rng.uniform(0, 9, (first[-1], 2))
        xy = rng.uniform(0, 9, (10, 2, 2))
        xy[:rings] = vertices[first[:rings]][:, None]
        found = seat_lists(METRIC, Strokes(xy.reshape(-1, 2), vertices, first))
        assert found.twins == twins
        assert found.near.shape[1] == (20 if twins else 10)


def test_a_slot_is_kept_once_for_each_key() -> None:
    key = np.array([7, 8, 9, 7, 8])
    nearest = np.zeros(2), np.zeros(2, np.int64)
    count = 0
    states = []
    for cost, slot in ((5.0, 0), (4.0, 3), (6.0, 0), (9.0, 1), (3.0, 2), (2.0, 4), (8.0, 3)):
        count = seats_kernel._offer.plain(key, *nearest, count, cost, slot)
        states.append((count, nearest[0][:count].tolist(), nearest[1][:count].tolist()))
    assert states == [
        (1, [5.0], [0]),
        (1, [4.0], [3]),  # the same key, nearer
        (1, [4.0], [3]),
        (2, [4.0, 9.0], [3, 1]),
        (2, [3.0, 4.0], [2, 3]),  # no room for the dearest
        (2, [2.0, 3.0], [4, 2]),
        (2, [2.0, 8.0], [4, 3]),  # who offers looks at the cost of the last before
    ]


@pytest.mark.parametrize("seed", range(8))
def test_rows_of_some_pieces_are_those_of_all_without_the_others(seed: int) -> None:
    rng = np.random.default_rng(seed)
    strokes = some(seed, free=False)
    whole = seat_lists(METRIC, strokes)
    seats = whole.seats
    assert seats is not None
    chosen = rng.permutation(7)[:4]
    ends = np.stack([2 * chosen, 2 * chosen + 1], axis=1)
    # a path from one stroke to another
    ends[0, 1] = 2 * next(s for s in range(7) if s not in chosen) + 1
    ends = ends.ravel()
    rows, spans, near, port, far, old = seats_kernel.rows_within.plain(
        ends, whole.row, seats.span, whole.near, seats.port, whole.far
    )
    kept: list[int] = []
    for k in range(4):
        low, many = seats.span[chosen[k]]
        if many and k:
            assert spans[k].tolist() == [len(kept), many]
            kept += range(low, low + many)
        else:
            assert spans[k, 1] == 0
        for e in ends[2 * k : 2 * k + 2]:
            if whole.row[e] not in kept:
                kept.append(int(whole.row[e]))
    assert old.tolist() == kept
    assert rows.tolist() == [kept.index(int(whole.row[e])) for e in ends]
    number = {int(e): k for k, e in enumerate(ends)}
    for r, row in enumerate(kept):
        wanted = [
            (number[e], kept.index(at), cost)
            for e, at, cost in zip(
                whole.near[row].tolist(),
                seats.port[row].tolist(),
                whole.far[row].tolist(),
                strict=True,
            )
            if e in number and at in kept
        ]
        size = len(wanted)
        assert near[r, :size].tolist() == [e for e, _, _ in wanted]
        assert port[r, :size].tolist() == [at for _, at, _ in wanted]
        assert far[r, :size].tolist() == [cost for _, _, cost in wanted]
        assert (near[r, size:] == -1).all()
        assert np.isinf(far[r, size:]).all()


# ---- the exact order


def test_boxes_of_stretches() -> None:
    xy = np.array([(1, 9), (4, 2), (7, 7), (0, 5), (3, 3)], np.float64)
    found = _boxes(xy, np.array([0, 2, 3, 5]))
    assert found.tolist() == [[1, 2, 4, 9], [7, 7, 7, 7], [0, 3, 3, 5]]


@pytest.mark.parametrize("finish", [None, (50.0, 60.0)])
@pytest.mark.parametrize("seed", range(4))
def test_what_is_left_at_least_is_the_least_of_all_orders_of_boxes(seed: int, finish: Any) -> None:
    rng = np.random.default_rng(seed)
    first = np.array([0, 2, 3, 5, 6])
    low = rng.uniform(0, 90, (6, 2))
    enter = np.concatenate([low, low + rng.uniform(0, 9, (6, 2))], axis=1)
    low = rng.uniform(0, 90, (6, 2))
    leave = np.concatenate([low, low + rng.uniform(0, 9, (6, 2))], axis=1)
    needs = np.array([0, 0, 0b1010, 0b0001])  # run 2 after 1 and 3, run 3 after 0
    at = np.array([np.nan] * 4 if finish is None else [*finish, *finish])

    def gap(one: np.ndarray, two: np.ndarray) -> float:
        apart = np.maximum(0, np.maximum(two[:2] - one[2:], one[:2] - two[2:]))
        return move(TIMED, *apart)

    rest, gaps = exact_kernel.rest_costs.plain(TIMED, enter, leave, first, needs, at)
    for u, v in itertools.product(range(6), repeat=2):
        assert gaps[u, v] == pytest.approx(gap(leave[u], enter[v]))

    def left(done: int, u: int) -> float:
        """By trying every way on."""
        if done == 0b1111:
            return 0.0 if finish is None else gap(leave[u], at)
        return min(
            (
                gap(leave[u], enter[v]) + left(done | 1 << run, v)
                for run in range(4)
                if not done >> run & 1 and not needs[run] & ~done
                for v in range(first[run], first[run + 1])
            ),
            default=np.inf,
        )

    for done in range(1, 16):
        for run in range(4):
            for u in range(first[run], first[run + 1]):
                wanted = left(done, u) if done >> run & 1 else np.inf
                assert rest[done, u] == pytest.approx(wanted) or done == 0b1111


def test_lists_are_made_of_sixty_points() -> None:
    points = np.random.default_rng(2).uniform(0, 1_000, (300, 2))
    found = near_lists(distance_metric(1.0), np.repeat(points, 2, axis=0))
    apart = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    row = found.row[0::2]
    point = np.empty(301, np.int64)
    point[row] = np.arange(300)
    for k in range(300):
        near = [e >> 1 for e in found.near[row[k]].tolist() if e >= 0 and e >> 1 != k]
        ranks = np.argsort(apart[k])[1:61].tolist()
        assert len(set(near) - set(ranks)) <= 4  # those that lie further off
