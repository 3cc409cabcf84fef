"""Arcs as runs of points and as points: values worked out by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from plotlib.arrays import arcs
from plotlib.arrays import arcs_kernel as kernel
from plotlib.arrays.arcs_kernel import Rules

RULES = Rules(0.03, 0.03, 0.0, math.inf, math.inf, 4)
THIRTY = math.radians(30)


def plain(part: Any) -> Any:
    """A part of the kernel as Python runs it."""
    return part.plain


def around(centre: tuple[float, float], radius: float, degrees: Any) -> np.ndarray:
    angle = np.radians(np.asarray(degrees, float))
    return np.asarray(centre) + radius * np.column_stack([np.cos(angle), np.sin(angle)])


# ---- how far they turn


@pytest.mark.parametrize(
    ("start", "end", "left", "right"),
    [
        ((1, 0), (0, 1), 90, -270),
        ((1, 0), (0, 3), 90, -270),
        ((0, 1), (1, 0), 270, -90),
        ((1, 0), (-2, 0), 180, -180),
        ((1, 0), (1, 0), 360, -360),
        ((0, 2), (-1, 0), 90, -270),
        ((1, 1), (-1, 1), 90, -270),
    ],
)
def test_sweeps_are_those_of_the_clock(
    start: tuple[float, float], end: tuple[float, float], left: float, right: float
) -> None:
    made = arcs.sweeps(np.array([start, start]), np.array([end, end]), np.array([1.0, -1.0]))
    assert np.degrees(made) == pytest.approx(np.array([left, right]))


# ---- points on them


def inner_points(start: Any, centre: Any, end: Any, sweep: float, tolerance: float) -> np.ndarray:
    """Of one arc, which is the second of three."""
    straight = (1.0, 0.0), (0.0, 0.0), (0.0, 1.0), 0.01
    columns = zip(straight, (start, centre, end, sweep), straight, strict=True)
    made, owner = arcs.inner_points(*(np.array(column) for column in columns), tolerance=tolerance)
    return made[owner == 1]


def test_points_of_an_arc_are_even_and_its_extremes_are_among_them() -> None:
    """Chords of 30 degrees leave a circle of radius 2 by 2 (1 - cos 15°). A hair less, and seven
    chords are needed, none of which ends at the top.
    """
    start = np.array([12.0, 5.0])
    centre = np.array([10.0, 5.0])
    end = np.array([8.0, 5.0])
    rise = 2 * (1 - math.cos(THIRTY / 2))
    made = inner_points(start, centre, end, math.pi, tolerance=rise * (1 + 1e-6))
    assert made == pytest.approx(around((10, 5), 2, [30, 60, 90, 120, 150]))
    made = inner_points(start, centre, end, math.pi, tolerance=rise * (1 - 1e-6))
    sevenths = [180 / 7 * k for k in (1, 2, 3)] + [90.0] + [180 / 7 * k for k in (4, 5, 6)]
    assert made == pytest.approx(around((10, 5), 2, sevenths))


def test_ends_at_two_distances_make_a_spiral() -> None:
    """From (0, 2) to (3, 0) in three chords: a third of a millimetre farther out each."""
    rise = 3 * (1 - math.cos(THIRTY / 2))
    made = inner_points((0.0, 2.0), (0.0, 0.0), (3.0, 0.0), -math.pi / 2, rise * (1 + 1e-6))
    expected = [around((0, 0), 7 / 3, [60])[0], around((0, 0), 8 / 3, [30])[0]]
    assert made == pytest.approx(np.array(expected))


def test_a_full_turn_has_all_four_extremes_and_no_end() -> None:
    start = around((0, 0), 1, [45])[0]
    for sweep, degrees in ((math.tau, [90, 180, 270, 360]), (-math.tau, [0, -90, -180, -270])):
        made = inner_points(start, np.zeros(2), start, sweep, tolerance=5.0)
        # coarser than the radius: chords of half a turn
        half = 45 + math.degrees(sweep) / 2
        expected = sorted([*degrees, half], reverse=sweep < 0)
        assert made == pytest.approx(around((0, 0), 1, expected))
    made = inner_points(np.array([1.0, 0]), np.zeros(2), start, math.pi / 4, tolerance=5.0)
    assert made.shape == (0, 2)


# ---- runs


def strokes(parts: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    return np.concatenate(parts), np.cumsum([0, *(len(part) for part in parts)])


def test_runs_are_told_by_rows_of_all_points(monkeypatch: pytest.MonkeyPatch) -> None:
    """A zigzag, a third of a circle to the right, and a whole one; in one go and stroke by
    stroke.
    """
    zigzag = np.array([(k, 5.0 * (k % 2)) for k in range(9)])
    third = around((5, 6), 3, np.arange(90, -31, -10))
    ring = around((20, 0), 4, np.arange(0, 361, 10))
    ring[-1] = ring[0]
    points, offsets = strokes([zigzag, third, ring, zigzag])
    for at_once in (200_000, 25, 1):
        monkeypatch.setattr(arcs, "_AT_ONCE", at_once)
        runs = arcs.runs_on_arcs(points, offsets, RULES)
        assert runs.first.tolist() == [9, 22]
        assert runs.last.tolist() == [21, 58]
        assert runs.centre == pytest.approx(np.array([(5, 6), (20, 0)]), abs=1e-6)
        assert np.degrees(runs.sweep) == pytest.approx(np.array([-120, 360]))
    nothing = arcs.runs_on_arcs(np.zeros((0, 2)), np.zeros(1, np.int64), RULES)
    assert [len(part) for part in nothing] == [0, 0, 0, 0]


# ---- parts of the kernel


@pytest.mark.parametrize(
    ("degrees", "left", "right"),
    [
        (0, 0, 0),
        (1, 0, 3),
        (89, 0, 3),
        (90, 1, 3),
        (91, 1, 2),
        (179, 1, 2),
        (180, 2, 2),
        (181, 2, 1),
        (270, 3, 1),
        (271, 3, 0),
        (359, 3, 0),
    ],
)
def test_quarters_are_counted_from_where_an_arc_begins(
    degrees: float, left: int, right: int
) -> None:
    turn = {0: (1.0, 0.0), 90: (0.0, 1.0), 180: (-1.0, 0.0), 270: (0.0, -1.0)}
    x, y = turn.get(degrees, (math.cos(math.radians(degrees)), math.sin(math.radians(degrees))))
    quarter = plain(kernel._quarter)
    assert quarter(1.0, 0.0, x, y, 1.0) == left
    assert quarter(1.0, 0.0, x, y, -1.0) == right
    assert quarter(0.0, 3.0, -y, x, 1.0) == left  # all of it turned to the left


@pytest.mark.parametrize(
    ("start", "end", "low", "high", "keeps"),
    [
        ((5, 0), (0, 5), 5, 5, False),  # the middle of the chord is 1.46 from the circle
        ((5, 0), (4.9, 0.995), 5, 5, True),
        ((5, 0), (4.97, 1), 5, 5, False),  # at 5.07
        ((5, 0), (4.8, 1), 5, 5, False),  # at 4.90
        ((5, 0), (5.04, 0), 5, 5.08, True),  # between two radii
        ((5, 0), (5, 0.95), 5, 5.2, False),  # too near to the outer one, by 0.11
        ((5, 0), (5, 1.6), 5.1, 5.2, False),  # too far from the inner one, by 0.15
    ],
)
def test_a_chord_keeps_to_its_circle(
    start: tuple[float, float], end: tuple[float, float], low: float, high: float, keeps: bool
) -> None:
    rules = Rules(0.1, 0.05, 0.0, math.inf, math.inf, 4)
    assert plain(kernel._keeps_to)(*start, *end, float(low), float(high), rules) == keeps


def test_a_chord_may_sag_as_far_as_the_tolerance() -> None:
    """A chord of 60 degrees in a circle of radius 10 sags by 10 (1 - cos 30°) = 1.34."""
    (ax, ay), (bx, by) = around((0, 0), 10, [0, 60])
    sag = 10 * (1 - math.cos(THIRTY))
    keeps_to = plain(kernel._keeps_to)
    for tolerance in (sag * 1.001, sag * 0.999):
        rules = Rules(tolerance, 0.01, 0.0, math.inf, math.inf, 4)
        assert keeps_to(ax, ay, bx, by, 10.0, 10.0, rules) == (tolerance > sag)
    # radially the chord is nowhere nearer than its ends
    rules = Rules(0.5, 3.0, 0.0, math.inf, math.inf, 4)
    assert keeps_to(8.0, 0.0, 9.0, 0.0, 10.0, 10.0, rules)


def test_centres_of_least_squares() -> None:
    """Exact for points on a circle, and by numpy's general solver for others."""
    rng = np.random.default_rng(3)
    arc = around((4, -2), 7, np.arange(10, 161, 10))
    x, y, is_round = plain(kernel._held_centre)(arc, 0, len(arc) - 1, 0.01)
    assert is_round
    assert (x, y) == pytest.approx((4, -2))
    rough = arc + rng.normal(0, 0.1, arc.shape)
    x, y, _ = plain(kernel._held_centre)(rough, 0, len(arc) - 1, 0.01)
    middle = (rough[0] + rough[-1]) / 2
    way = (rough[-1] - rough[0]) / np.hypot(*(rough[-1] - rough[0]))
    across = np.array([-way[1], way[0]])
    up = (rough[1:-1] - middle) @ across
    half = np.hypot(*(rough[-1] - rough[0])) / 2
    power = ((rough[1:-1] - middle) ** 2).sum(axis=1) - half**2
    height = np.linalg.lstsq(2 * up[:, None], power, rcond=None)[0][0]
    assert (x, y) == pytest.approx(middle + height * across)
    ring = around((1, 2), 3, np.arange(0, 360, 20)) + rng.normal(0, 0.1, (18, 2))
    ring = np.vstack([ring, ring[:1]])
    x, y, is_round = plain(kernel._free_centre)(ring, 0, 18)
    to = ring[1:-1] - ring[0]
    centre = np.linalg.lstsq(2 * to, (to**2).sum(axis=1), rcond=None)[0]
    assert is_round
    assert (x, y) == pytest.approx(ring[0] + centre)


def test_what_does_not_rise_has_no_centre() -> None:
    """0.3 above its chord; and points on a line, there and back."""
    flat = np.array([(0, 0), (1, 0.2), (2, 0.3), (3, 0.1), (4, 0.0)])
    held = plain(kernel._held_centre)
    assert held(flat, 0, 4, 0.299)[2]
    assert not held(flat, 0, 4, 0.301)[2]
    assert held(flat * (1, -1), 0, 4, 0.299)[2]
    line = np.array([(0, 0), (1, 1), (3, 3), (2, 2), (0, 0)], float)
    assert plain(kernel._free_centre)(line, 0, 4) == (0.0, 0.0, False)


def test_a_centre_on_the_grid_lies_evenly_from_both_ends() -> None:
    """From (0, 0) and (6, 0) all of x = 3 lies evenly; from (0, 0) and (5, 0) nothing on the grid
    does, but by 1 the nearest are x = 2 and 3.
    """
    even = plain(kernel._even_centre)
    points = np.array([(0, 0), (3, 3), (6, 0), (5, 0)], float)
    exact = Rules(0.1, 0.1, 1.0, 1e-9, math.inf, 4)
    assert even(points, 0, 2, 3.2, 4.4, exact) == (3, 4, True)
    assert even(points, 0, 2, 5.4, -1.6, exact) == (3, -2, True)
    assert not even(points, 0, 2, 5.6, -1.6, exact)[2]  # three units away
    assert not even(points, 0, 3, 2.5, 4.0, exact)[2]
    loose = Rules(0.1, 0.1, 1.0, 1.0, math.inf, 4)
    assert even(points, 0, 3, 2.4, 4.0, loose) == (2, 4, True)
    assert even(points, 0, 3, 2.4, 4.0, RULES) == (2.4, 4.0, True)  # no grid


@pytest.mark.parametrize(
    ("degrees", "quarters", "side"),
    [
        (range(0, 101, 10), 1, 0.0),  # the end is in the second quarter
        (range(0, 81, 10), 1, 1.0),
        (range(0, 91, 10), 2, 1.0),
        (range(0, -81, -10), 1, -1.0),
        (range(0, 281, 10), 3, 0.0),
        (range(0, 261, 10), 3, 1.0),
        (range(30, 381, 10), 4, 1.0),
        (range(0, 391, 10), 4, 0.0),  # more than a turn
        (range(0, -391, -10), 4, 0.0),
        ([0, 10, 20, 15, 30], 4, 0.0),  # back
        ([0, 10, 10, 20], 4, 0.0),  # and on the spot
    ],
)
def test_a_run_turns_one_way_and_no_farther_than_it_may(
    degrees: Any, quarters: int, side: float
) -> None:
    points = around((2, 3), 10, list(degrees))
    rules = Rules(0.2, 0.1, 0.0, math.inf, math.inf, quarters)
    assert plain(kernel._side)(points, 0, len(points) - 1, 2.0, 3.0, rules) == side


@pytest.mark.parametrize("turns", [1, 2])
@pytest.mark.parametrize("side", [1, -1])
def test_a_closed_run_is_one_turn(turns: int, side: int) -> None:
    points = around((2, 3), 10, np.arange(0, 360 * turns + 1, 10) * side)
    points[-1] = points[0]
    rules = Rules(0.2, 0.1, 0.0, math.inf, math.inf, 1)  # quarters are of open runs
    made = plain(kernel._side)(points, 0, len(points) - 1, 2.0, 3.0, rules)
    assert made == (side if turns == 1 else 0)


@pytest.mark.parametrize(
    ("points", "rules", "kind"),
    [
        (around((0, 0), 10, range(0, 91, 10)), RULES._replace(tolerance=0.1), kernel.FITS),
        # radius 10 is ten tolerances, 0.99 fewer
        (around((0, 0), 10, range(0, 91, 10)), RULES._replace(tolerance=0.999), kernel.FITS),
        (around((0, 0), 10, range(0, 91, 10)), RULES._replace(tolerance=1.001), kernel.NOT),
        # a chord of 20 degrees: it rises by 0.152
        (around((0, 0), 10, range(0, 21, 5)), RULES._replace(tolerance=0.075), kernel.FITS),
        (around((0, 0), 10, range(0, 21, 5)), RULES._replace(tolerance=0.077), kernel.OPEN),
        (around((0, 0), 10, range(0, 91, 10)), RULES._replace(tolerance=0.01), kernel.NOT),
        (
            around((0, 0), 10, range(0, 91, 10)),
            Rules(0.1, 0.1, 0.0, math.inf, 9.9, 4),
            kernel.OPEN,
        ),
        (
            around((0.5, 0.5), 10, range(0, 94, 10)),
            Rules(0.1, 0.1, 1.0, 1e-9, math.inf, 4),
            kernel.OPEN,
        ),
        (np.array([(0, 0), (5, 5), (0, 0), (5, 5), (0, 0)], float), RULES, kernel.OPEN),
    ],
)
def test_what_a_run_is(points: np.ndarray, rules: Rules, kind: int) -> None:
    shape = np.zeros(3)
    assert plain(kernel._fitted)(points, 0, len(points) - 1, rules, shape) == kind
    if kind == kernel.FITS:
        assert shape == pytest.approx(np.array([0, 0, 1]), abs=1e-9)


def test_a_ring_is_taken_whole_before_any_part_of_it() -> None:
    """Open runs may turn by a quarter here; a ring by four, and nearly a ring is none."""
    rules = Rules(0.2, 0.1, 0.0, math.inf, math.inf, 1)
    ring = around((0, 0), 10, np.arange(0, 361, 10))
    ring[-1] = ring[0]
    after = plain(kernel._next)
    shape = np.zeros(3)
    assert after(ring, 0, 36, rules, shape) == (36, True)
    assert shape == pytest.approx(np.array([0, 0, 1]), abs=1e-9)
    assert after(ring[:-1], 0, 35, rules, shape)[0] in (8, 9)  # 90 degrees, but for rounding
    turned = around((0, 0), 10, np.arange(30, 331, 10))  # ends above its start
    assert turned[0, 0] == pytest.approx(turned[-1, 0])
    turned[-1, 0] = turned[0, 0]
    assert after(turned, 0, 30, rules, shape)[0] in (8, 9)


@pytest.mark.parametrize(("tail", "is_half"), [(7, True), (13, False)])
def test_a_much_closer_arc_is_preferred_if_it_is_half_as_long(tail: int, is_half: bool) -> None:
    """Ten exact chords of 10 degrees, and others that stray by a tenth to and fro."""
    points = around((0, 0), 10, np.arange(0, 10 * (11 + tail), 10))
    points[11:] *= 1 + 0.01 * (-1.0) ** np.arange(tail)[:, None]
    rules = Rules(0.3, 0.2, 0.0, math.inf, math.inf, 4)
    end = len(points) - 1
    assert plain(kernel._longest)(points, 0, end, rules, np.zeros(3)) == (end, True)
    shape = np.zeros(3)
    found = plain(kernel._next)(points, 0, end, rules, shape)
    assert found == ((10, True) if is_half else (end, True))
    assert (shape[:2] == pytest.approx(np.zeros(2), abs=1e-9)) == is_half
    assert shape[2] == 1


def test_the_longest_arc_ends_where_the_next_begins() -> None:
    """A third of a circle, and then a line away from it; and none where there is no bend."""
    third = around((0, 0), 10, np.arange(0, 121, 10))
    line = third[-1] + np.outer(np.arange(1, 30), third[-1] / 10)
    points = np.vstack([third, line])
    rules = Rules(0.2, 0.1, 0.0, math.inf, math.inf, 4)
    longest = plain(kernel._longest)
    assert longest(points, 0, len(points) - 1, rules, np.zeros(3)) == (12, True)
    assert longest(points, 2, len(points) - 1, rules, np.zeros(3)) == (12, True)
    assert longest(points, 0, 7, rules, np.zeros(3)) == (7, True)
    straight = np.column_stack([np.arange(30.0), np.zeros(30)])
    last, is_arc = longest(straight, 0, 29, rules, np.zeros(3))
    assert (last, is_arc) == (29, False)
    corner = np.array([(0, 0), (1, 0), (2, 0), (2, 1), (2, 2), (2, 3)], float)
    assert not longest(corner, 0, 5, rules, np.zeros(3))[1]
