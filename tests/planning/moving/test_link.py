"""The link that feeds the moves: what mends a stutter, what lines weigh, and times of whole plots,
step by step in plain Python.
"""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest

from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.bending import Arcs, none
from plotlib.planning.moving import motion_kernel as kernel
from plotlib.planning.moving.legs import legs_of
from plotlib.planning.moving.motion import Controller, motion_times
from plotlib.planning.moving.timing import _bytes, times_of

STILL = np.array([np.inf, np.inf])


def waited(seconds: list[float], sending: list[float], known: int) -> list[float]:
    """How long the pen stands at each point of one run: line after line as they come.

    The first ``known`` lines lie in the queue. A line is sent when the one before it was and the
    move that made room for it has ended.
    """
    arrival: list[float] = []
    ended: list[float] = []
    wait = [0.0] * len(seconds)
    now = 0.0
    for move in range(1, len(seconds)):
        if move <= known:
            arrival.append(0.0)
        else:
            room = ended[move - 1 - known]
            arrival.append(max(arrival[-1], room) + sending[move])
        wait[move - 1] = max(0.0, arrival[-1] - now)
        now = max(now, arrival[-1]) + seconds[move]
        ended.append(now)
    return wait


@pytest.mark.parametrize("known", [1, 2, 3, 7])
@pytest.mark.parametrize("seed", range(4))
def test_lines_come_one_after_the_other(seed: int, known: int) -> None:
    rng = np.random.default_rng(seed)
    sizes = [12, 1, 9, 2]
    offsets = np.concatenate([[0], np.cumsum(sizes)])
    seconds = rng.uniform(0, 1, offsets[-1])
    seconds[offsets[:-1]] = 0.0
    sending = rng.uniform(0, 1.3, offsets[-1])
    found = kernel.waits.plain(seconds, sending, offsets, known)
    wanted = []
    for low, high in itertools.pairwise(offsets):
        wanted += waited(seconds[low:high].tolist(), sending[low:high].tolist(), known)
    assert found.tolist() == pytest.approx(wanted, abs=1e-12)


def mended(line: np.ndarray, known: int, sending: float) -> float:
    """Of all tolerances at which points go, the least at which the link keeps up; one before the
    last if none does.
    """
    value = kernel.significance.plain(0.5 * line)
    levels = sorted(value[1:-1], reverse=True)
    best = levels[0]
    for level in levels[:-1]:
        kept = line[value > level]
        steps = 0.5 * np.hypot(*np.diff(kept, axis=0).T) / 10.0
        if sum(waited([0.0, *steps.tolist()], [sending] * len(kept), known)) > 0:
            break
        best = level
    return float(best)


@pytest.mark.parametrize("seed", range(6))
def test_the_least_simplification_with_which_the_link_keeps_up(seed: int) -> None:
    """Without accelerations every move takes its length over the feed, so that fewer points make
    longer moves.
    """
    rng = np.random.default_rng(seed)
    x = np.cumsum(rng.integers(1, 4, 40))
    line = np.stack([x, rng.integers(0, 30, 40)], axis=1)
    sending = float(rng.uniform(0.5, 1.5))
    found = kernel.mending.run_by_python(line, 0.5, 10.0, STILL, STILL, 0.1, True, 3, sending)
    assert found == pytest.approx(mended(line, 3, sending))


def test_a_line_of_two_points_cannot_be_mended() -> None:
    line = np.array([(0, 0), (5, 5)])
    assert kernel.mending.run_by_python(line, 0.5, 10.0, STILL, STILL, 0.1, True, 3, 9.0) == 0.0


def test_a_stutter_is_told_as_it_is() -> None:
    """Two runs; 40 moves of 0.1 mm in the second, at 50 mm/s 2 ms each, where a line of 12 bytes
    takes 12.5 ms: the first three are there.
    """
    points = np.array([(0, 0), (9_000, 0), *((100 * k, 50) for k in range(41)), (90_000, 50)])
    offsets = np.array([0, 2, 44])
    controller = Controller(rates=(6_000, 6_000), baud=9_600, look_ahead=3)
    found = motion_times(points, offsets, controller, unit=0.001, feed=3_000, line_bytes=12)
    (stutter,) = found.stutters
    wait = np.array(waited([0.0] + [0.002] * 40 + [86.0 / 50], [0.0125] * 42, 3))
    moving = np.flatnonzero(wait)
    assert (stutter.run, stutter.first, stutter.last) == (1, moving[0], moving[-1] + 1)
    assert stutter.moves == stutter.last - stutter.first
    assert stutter.waiting == pytest.approx(wait.sum())
    assert found.waiting == pytest.approx(wait.sum())
    seconds = 0.002 * (stutter.moves - 1) + (1.72 if stutter.last == 41 else 0.002)
    length = 50 * seconds
    assert stutter.planned == pytest.approx(3_000)
    assert stutter.feed == pytest.approx(60 * length / (seconds + wait.sum()))
    assert stutter.spacing == pytest.approx(0.0125 * 50)
    assert found.duration == pytest.approx(found.drawing + 0.09 + wait.sum())


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 200, "height": 100, "x": Axis(6_000), "y": Axis(3_000),
        "lift": ServoLift("M5", "M3 S90", settle_up=0.25, settle_down=0.5), "feed": 3_000,
    }  # fmt: skip
    return Machine(**{**values, **changes})


def test_lines_of_arcs_come_in_one_with_their_centre() -> None:
    """Points 1 to 4 are an arc; its line has the words of the end, the way to the centre, and a
    letter more.
    """
    machine = bench()
    points = np.array([(0, 0), (1_000, 0), (2_000, 10), (3_000, 20), (14_000, 30), (5, -7)])
    plain = [len(f"G1X{x / 1000:.3f}Y{y / 1000:.3f}\n") + 1 for x, y in points.tolist()]
    assert _bytes(points, none(), machine).tolist() == plain
    arc = Arcs(np.array([1]), np.array([4]), np.array([(1_000, -2_500)]), np.array([1]))
    sizes = _bytes(points, arc, machine)
    centre = len("I0.000J-2.500") + 2
    assert sizes.tolist() == [plain[0], plain[1], plain[4] + centre, 0, 0, plain[5]]


def test_a_plot_takes_its_lines_lifts_and_ways() -> None:
    """Without accelerations: 30 mm at 50 mm/s, up and down twice, ways of 10, 40 and 50 mm by the
    rates of the axes (100 and 50 mm/s).
    """
    machine = bench()
    points = np.array([(10, 0), (30, 0), (30, 40), (40, 40)]) * 1_000
    offsets = np.array([0, 2, 4])
    pens = (Pen("plain", 0.3),)
    pen_index = np.zeros(2, np.int64)
    legs = legs_of(points, offsets, pen_index, np.array([0, 0]), np.array([0, 0]))
    found = times_of(points, offsets, pen_index, pens, legs, machine, none())
    assert found.drawing == pytest.approx(30 / 50)
    assert found.ways.tolist() == pytest.approx([0.1, 0.8, 0.8])
    assert found.lifting == pytest.approx(2 * (machine.lift.seconds_up + machine.lift.seconds_down))
    slow = times_of(
        points, offsets, pen_index, pens, legs, bench(travel_word="G1", travel_feed=600), none()
    )
    assert slow.ways.tolist() == pytest.approx([1.0, 4.0, math.hypot(40, 40) / 10])
    arc = Arcs(np.array([2]), np.array([3]), np.array([(35_000, 40_000)]), np.array([1]))
    assert times_of(points, offsets, pen_index, pens, legs, machine, arc).drawing == pytest.approx(
        20 / 50 + 10 / 50
    )
    quick = (Pen("quick", 0.3, feed=5_900),)  # 98.3 mm/s along x; an arc no more than y's 50
    plain = times_of(points, offsets, pen_index, quick, legs, machine, none())
    assert plain.drawing == pytest.approx(30 / (5_900 / 60))
    bowed = times_of(points, offsets, pen_index, quick, legs, machine, arc)
    assert bowed.drawing == pytest.approx(20 / (5_900 / 60) + 10 / 50)


@pytest.mark.parametrize("home", [None, (1_000, 2_000)])
@pytest.mark.parametrize("finish", [None, (7_000, 9_000)])
def test_straight_ways_between_strokes(home: Any, finish: Any) -> None:
    points = np.array([(0, 0), (3_000, 0), (3_000, 5_000), (9_000, 9_000), (1_000, 1_000)])
    offsets = np.array([0, 2, 4, 5])
    controller = Controller(rates=(6_000, 6_000))
    found = motion_times(
        points, offsets, controller, unit=0.001, feed=3_000, home=home, finish=finish
    )
    places = [((0, 0), (3_000, 0)), ((3_000, 5_000), (9_000, 9_000)), ((1_000, 1_000),) * 2]
    places = (
        [(home, home)] * (home is not None) + places + [(finish, finish)] * (finish is not None)
    )
    wanted = []
    for one, two in itertools.pairwise(places):
        x, y = np.abs(np.subtract(two[0], one[1])) / 1000
        wanted.append(max(x, y) / 100)
    assert found.ways.tolist() == pytest.approx(wanted)
    assert found.travel == pytest.approx(sum(wanted))
    nothing = motion_times(
        points[:0], offsets[:1], controller, unit=0.001, feed=1, home=home, finish=finish
    )
    assert len(nothing.ways) == (home is not None and finish is not None)
