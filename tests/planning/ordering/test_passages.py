"""Ends paired at nodes, trails, crosswise joins and walks against slow versions on random cases,
and whole drawings of a few points against Euler's count.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from plotlib.planning.ordering import join_kernel as kernel
from plotlib.planning.ordering.join import Joined, join
from tests.oracles_planning import euler_count, ragged, segments, strokes_of


def headings(rng: np.random.Generator, count: int) -> np.ndarray:
    """Unit vectors of which many are equal, or opposite."""
    angle = rng.integers(0, 8, count) * np.pi / 4
    return np.column_stack([np.round(np.cos(angle), 6), np.round(np.sin(angle), 6)])


def mated(rng: np.random.Generator, count: int, lone: int) -> np.ndarray:
    """Ends in pairs at random, but for some that stay alone."""
    mate = np.full(count, -1)
    order = rng.permutation(count)[lone:]
    for a, b in zip(order[0::2], order[1::2], strict=False):
        mate[a] = b
        mate[b] = a
    return mate


@pytest.mark.parametrize("seed", range(20))
def test_the_straightest_pair_of_those_left_is_taken(seed: int) -> None:
    """Two nodes; of pairs that turn alike the first."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 13))
    heading = headings(rng, 2 * count)
    mate = np.full(2 * count, -1)
    ends = rng.permutation(2 * count)
    starts = np.array([0, count, 2 * count])
    if count > 3:
        one, two = ends[1], ends[count - 1]
        mate[one] = two
        mate[two] = one
    wanted = mate.tolist()
    for low, high in itertools.pairwise(starts.tolist()):
        free = [e for e in ends[low:high].tolist() if wanted[e] < 0]
        while len(free) > 1:
            pairs = itertools.combinations(free, 2)
            a, b = min(pairs, key=lambda pair: float(heading[pair[0]] @ heading[pair[1]]))
            wanted[a] = b
            wanted[b] = a
            free = [e for e in free if e not in (a, b)]
    kernel.pair_ends.plain(mate, heading, starts, ends)
    assert mate.tolist() == wanted


@pytest.mark.parametrize("count", [16, 17, 24, 25])
def test_many_ends_are_paired_half_a_turn_of_their_order_apart(count: int) -> None:
    """Up to sixteen free ends the straightest first; of more the k-th and the one half of them on,
    the last left alone where they are odd. Those with a mate do not count.
    """
    rng = np.random.default_rng(count)
    angle = rng.uniform(0, 2 * np.pi, count + 2)
    heading = np.column_stack([np.cos(angle), np.sin(angle)])
    mate = np.full(count + 2, -1)
    mate[[3, 5]] = [5, 3]
    ends = rng.permutation(count + 2)
    kernel.pair_ends.plain(mate, heading, np.array([0, count + 2]), ends)
    assert mate[[3, 5]].tolist() == [5, 3]
    free = [e for e in np.argsort(angle).tolist() if e not in (3, 5)]
    across = {(free[k], free[k + count // 2]) for k in range(count // 2)}
    found = {(a, int(b)) for a, b in enumerate(mate) if b >= 0 and a not in (3, 5)}
    assert (found == across | {(b, a) for a, b in across}) == (count > 16)
    assert len(found) == count // 2 * 2


@pytest.mark.parametrize("seed", range(30))
def test_two_passages_are_joined_the_way_that_turns_least(seed: int) -> None:
    rng = np.random.default_rng(seed)
    mate = mated(rng, 4, 0) if seed % 3 else mated(rng, 3, 1)
    angle = rng.uniform(0, 2 * np.pi, len(mate))
    heading = np.column_stack([np.cos(angle), np.sin(angle)])

    def turning(pairs: list[tuple[int, int]]) -> float:
        return sum(float(heading[e] @ heading[f]) for e, f in pairs if f >= 0)

    def pairs_of(mates: np.ndarray) -> set[tuple[int, int]]:
        return {(min(e, int(f)), max(e, int(f))) for e, f in enumerate(mates)}

    for a, c in itertools.permutations(range(len(mate)), 2):
        b, d = mate[[a, c]].tolist()
        if c == b:
            continue
        ways = [[(a, c), (b, d)], [(b, c), (a, d)]]
        if b < 0:
            ways = [[(c, a), (d, b)], [(d, a), (c, b)]]
        best = min(ways, key=turning)
        before = turning([(a, b)] if b >= 0 else []) + turning([(c, d)] if d >= 0 else [])
        own = mate.copy()
        added = kernel.swap.plain(own, heading, a, c, False)
        assert own.tolist() == mate.tolist()
        assert added == pytest.approx(turning(best) - before)
        assert kernel.swap.plain(own, heading, a, c, True) == pytest.approx(added)
        assert pairs_of(own) == {(min(pair), max(pair)) for pair in best}


def slow_trails(mate: np.ndarray) -> list[list[int]]:
    """The entry ends of each trail: from a lone end to the other, or round."""
    left = set(range(len(mate) // 2))
    found = []
    for end in [e for e in range(len(mate)) if mate[e] < 0] + list(range(0, len(mate), 2)):
        trail = []
        while end >= 0 and end >> 1 in left:
            trail.append(end)
            left.remove(end >> 1)
            end = int(mate[end ^ 1])
        if trail:
            found.append(trail)
    return found


@pytest.mark.parametrize("seed", range(25))
def test_trails_and_runs_of_any_mates(seed: int) -> None:
    rng = np.random.default_rng(seed)
    edges = int(rng.integers(1, 9))
    mate = mated(rng, 2 * edges, int(rng.integers(0, 4)))
    wanted = slow_trails(mate)
    trail, is_open = kernel.trails.plain(mate)
    for number, own in enumerate(wanted):
        assert {int(trail[end >> 1]) for end in own} == {number}
        assert is_open[number] == (mate[own[0]] < 0)
    assert len(is_open) == len(wanted)
    entries, starts = kernel.walk.plain(mate)
    runs = [entries[a:b].tolist() for a, b in itertools.pairwise(starts.tolist())]
    lowest = [min(end >> 1 for end in run) for run in runs]
    assert lowest == sorted(min(end >> 1 for end in own) for own in wanted)
    assert sorted(end >> 1 for end in entries.tolist()) == list(range(edges))
    for run, least in zip(runs, lowest, strict=True):
        assert 2 * least in run  # forwards
        for one, two in itertools.pairwise(run):
            assert mate[one ^ 1] == two
        if mate[run[0]] >= 0:  # closed
            assert run[0] == 2 * least
            assert mate[run[-1] ^ 1] == run[0]
        else:
            assert mate[run[-1] ^ 1] < 0


@pytest.mark.parametrize("seed", range(25))
def test_where_a_closed_trail_meets_another(seed: int) -> None:
    """One end stands for each passage: the higher of two, or a lone one. Up to sixteen ends at a
    node all pairs of them, of more each with the next.
    """
    rng = np.random.default_rng(seed)
    count = 40 if seed % 2 else 14
    mate = mated(rng, count, int(rng.integers(0, 5)))
    heading = headings(rng, count)
    cut = 15 + seed % 5 if seed % 2 else 9  # 15 to 19
    ends = rng.permutation(count)
    starts = np.array([0, cut, count])
    trail, is_open, pairs, costs = kernel.chances.plain(mate, heading, starts, ends)
    wanted = []
    for low, high in itertools.pairwise(starts.tolist()):
        passing = [e for e in ends[low:high].tolist() if mate[e] < e]
        for i, e in enumerate(passing):
            for f in passing[i + 1 :] if high - low <= 16 else passing[i + 1 : i + 2]:
                one, two = trail[[e >> 1, f >> 1]]
                if one != two and not (is_open[one] and is_open[two]):
                    wanted.append([e, f])
    assert pairs.tolist() == wanted
    assert costs.tolist() == [kernel.swap.plain(mate, heading, *pair, False) for pair in wanted]


# ---- drawings


def some(rng: np.random.Generator, reach: int) -> list[list[tuple[int, int]]]:
    """Strokes that meet often, dots among them; no point is repeated at once."""
    strokes = []
    for _ in range(int(rng.integers(1, 7))):
        points = [tuple(p) for p in rng.integers(0, reach, (int(rng.integers(1, 7)), 2)).tolist()]
        stroke = [point for point, _ in itertools.groupby(points)]
        if len(stroke) > 2 and rng.random() < 0.4 and stroke[0] != stroke[-1]:
            stroke.append(stroke[0])
        strokes.append(stroke)
    return strokes


def runs_of(joined: Joined) -> list[list[tuple[int, int]]]:
    return strokes_of(joined.points, joined.offsets)


@pytest.mark.parametrize("seed", range(60))
def test_strokes_of_a_few_points_are_joined_to_eulers_count(seed: int) -> None:
    rng = np.random.default_rng(seed)
    strokes = some(rng, int(rng.choice([3, 5])))
    joined = join(*ragged(strokes))
    runs = runs_of(joined)
    assert segments(runs) == segments(strokes)
    assert len(runs) == joined.least == euler_count(strokes)
    assert joined.linked == 0.0
    source = joined.source.tolist()
    assert source == sorted(set(source))
    for run, number in zip(runs, source, strict=True):
        stroke = strokes[number]
        if len(stroke) == 1:
            assert run == stroke
        else:  # the first piece of its lowest stroke is drawn forwards
            assert (stroke[0], stroke[1]) in itertools.pairwise(run)
    if len(runs) == len(strokes):
        assert source == list(range(len(strokes)))


def test_new_ink_may_be_blocked() -> None:
    strokes = [[(0, 0), (100, 0)], [(103, 0), (200, 0)], [(204, 0), (300, 0)]]
    asked = []

    def blocked(pieces: np.ndarray) -> np.ndarray:
        asked.append(pieces.shape[1:])
        return (pieces[:, :, 0] < 150).all(axis=1)

    joined = join(*ragged(strokes), tolerance=5, blocked=blocked)
    assert runs_of(joined) == [strokes[0], [*strokes[1], *strokes[2]]]
    assert (joined.linked, joined.least) == (4.0, 2)
    assert set(asked) == {(2, 2)}


@pytest.mark.parametrize("seed", range(15))
def test_links_save_a_lift_each_and_are_no_longer_than_allowed(seed: int) -> None:
    rng = np.random.default_rng(seed)
    strokes = [stroke for stroke in some(rng, 60) if len(stroke) > 1]
    plain = join(*ragged(strokes))
    for tolerance in (3.0, 12.0):
        joined = join(*ragged(strokes), tolerance=tolerance)
        new = segments(runs_of(joined)) - segments(strokes)
        lengths = [np.hypot(a[0] - b[0], a[1] - b[1]) for a, b in new.elements()]
        assert joined.linked == pytest.approx(sum(lengths))
        assert max(lengths, default=0.0) <= tolerance
        assert len(runs_of(joined)) == joined.least == plain.least - len(lengths)
        assert segments(strokes) - segments(runs_of(joined)) == {}
        # no link of what is left would save a lift
        ends = {point for stroke in runs_of(joined) for point in (stroke[0], stroke[-1])}
        for a, b in itertools.combinations(sorted(ends), 2):
            if 0 < np.hypot(a[0] - b[0], a[1] - b[1]) <= tolerance:
                assert euler_count([*runs_of(joined), [a, b]]) >= joined.least
