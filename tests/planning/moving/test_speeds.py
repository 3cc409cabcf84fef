"""Speeds and times of moves by the textbook, step by step, by plain Python."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from plotlib.machine import Axis, HeightMap, Machine, ServoLift, ZLift
from plotlib.pen import Pen
from plotlib.planning.moving import motion_kernel as kernel
from plotlib.planning.moving.feeds import direction_limits, stroke_feeds
from plotlib.planning.moving.timing import controller_of

INF = np.inf
EVEN = np.array([100.0, 100.0])


def corner(degrees: float, shorter: float = 1e9, *, inscribed: bool = True, **other: Any) -> float:
    """The speed at a corner that turns by so many degrees from the x axis."""
    w = math.radians(degrees)
    values = {"path_tolerance": 0.1, "accelerations": EVEN, **other}
    return float(
        kernel.corner_speed.plain(
            1.0,
            0.0,
            math.cos(w),
            math.sin(w),
            shorter,
            values["path_tolerance"],
            inscribed,
            values["accelerations"],
        )
    )


@pytest.mark.parametrize("degrees", [30, 60, 90, 120, 150])
def test_a_circle_that_leaves_the_corner_by_the_tolerance(degrees: float) -> None:
    """R = d s / (1 - s) with s the sine of half the angle between the segments."""
    s = math.sin(math.radians(180 - degrees) / 2)
    radius = 0.1 * s / (1 - s)
    weakest = 100.0  # one axis alone, where the circle passes along it
    if degrees < 90:
        weakest = min(100.0, 100.0 / max(math.sin(math.radians(degrees)), 0.0))
        weakest = min(weakest, 100.0 / 1.0)
    assert corner(degrees) == pytest.approx(math.sqrt(weakest * radius))


def test_straight_on_and_straight_back() -> None:
    assert corner(0) == INF
    assert corner(180) == pytest.approx(0.0, abs=1e-6)
    assert corner(180, inscribed=False) == pytest.approx(0.0, abs=1e-6)


def test_the_circle_stays_in_the_nearer_halves() -> None:
    """A right angle: R tan(45 degrees) is half of the shorter segment."""
    assert corner(90, shorter=0.2) == pytest.approx(math.sqrt(100 * 0.1))
    assert corner(90, shorter=0.2, inscribed=False) > corner(90, shorter=0.2)
    free = 0.1 * math.sqrt(0.5) / (1 - math.sqrt(0.5))
    assert corner(90, shorter=2.1 * free) == pytest.approx(math.sqrt(100 * free))


def test_without_a_circle_the_middle_of_the_arc_counts() -> None:
    """At a right angle the velocity changes by (-1, 1): along the slant both axes help."""
    radius = 0.1 * math.sqrt(0.5) / (1 - math.sqrt(0.5))
    assert corner(90, inscribed=False) == pytest.approx(math.sqrt(math.sqrt(2) * 100 * radius))
    weak = np.array([100.0, 25.0])
    speed = corner(90, inscribed=False, accelerations=weak)
    assert speed == pytest.approx(math.sqrt(math.sqrt(2) * 25 * radius))


def test_axes_that_turn_give_all_they_have() -> None:
    """On an arc across the y axis x alone gives the acceleration there, across the x axis y."""
    weak = np.array([100.0, 25.0])
    half = math.sqrt(0.5)
    across = kernel._least_inward.plain(half, half, -half, half, weak)
    assert across == pytest.approx(25 / half if 25 / half < 100 else 100.0)
    assert kernel._least_inward.plain(half, half, -half, half, EVEN) == pytest.approx(100.0)
    assert kernel._least_inward.plain(half, half, half, -half, EVEN) == pytest.approx(100.0)
    steep = kernel._least_inward.plain(half, half, 0.6, 0.8, EVEN)
    assert steep == pytest.approx(100 / 0.8)
    assert kernel._least_inward.plain(1.0, 0.0, 0.6, 0.8, weak) == pytest.approx(25.0)
    assert kernel._least_inward.plain(half, half, -half, half, weak[::-1]) == pytest.approx(25.0)


@pytest.mark.parametrize(
    ("length", "limit", "acceleration", "v0", "v1", "seconds"),
    [
        (0.0, 10.0, 100.0, 3.0, 3.0, 0.0),
        (20.0, 10.0, INF, 0.0, 0.0, 2.0),
        (1.0, 100.0, 100.0, 0.0, 0.0, 0.2),  # to the middle and back: 2 sqrt(length / a)
        (10.0, 10.0, 100.0, 0.0, 0.0, 1.1),  # 0.1 s each way, and 9 mm at 10 mm/s
        (9.5, 10.0, 100.0, 10.0, 0.0, 1.0),  # 9 mm at the top, and 0.5 mm in 0.1 s
        (9.5, 10.0, 100.0, 0.0, 10.0, 1.0),
        (0.5, 10.0, 100.0, 10.0, 0.0, 0.1),
        (0.5, 100.0, 100.0, 0.0, 10.0, 0.1),
        (2.0, 50.0, 100.0, 10.0, 10.0, 2 * (math.sqrt(300) - 10) / 100),
    ],
)
def test_the_trapezoid(
    length: float, limit: float, acceleration: float, v0: float, v1: float, seconds: float
) -> None:
    assert kernel.trapezoid.plain(length, limit, acceleration, v0, v1) == pytest.approx(seconds)


def run(points: Any, **changes: Any) -> tuple[list[float], list[float]]:
    """Seconds and speeds of one run with units of 0.5 mm."""
    values: dict[str, Any] = {
        "feed": 10.0,
        "rates": np.array([100.0, 100.0]),
        "accelerations": EVEN,
        "path_tolerance": 0.1,
        "inscribed": True,
        "look_ahead": 16,
        **changes,
    }
    places = np.array(points)
    seconds, speeds = kernel.run_times.run_by_python(
        places,
        np.array([0, len(places)]),
        0.5,
        np.array([values["feed"]]),
        values["rates"],
        values["accelerations"],
        values["path_tolerance"],
        values["inscribed"],
        values["look_ahead"],
    )
    return seconds.tolist(), speeds.tolist()


def test_a_straight_line_in_pieces_is_as_quick_as_in_one() -> None:
    whole = run([(0, 0), (20, 0)])[0]
    assert whole == pytest.approx([0.0, 1.1])
    seconds, speeds = run([(0, 0), (1, 0), (10, 0), (10, 0), (19, 0), (20, 0)])
    assert sum(seconds) == pytest.approx(1.1)
    assert speeds == pytest.approx([0, 10, 10, 10, 10, 0])
    assert seconds[3] == 0.0


def test_the_slower_axis_limits_a_slanting_move() -> None:
    """3 in 4: y at 6 mm/s lets the pen go at 10 along the slant, x at 4 at 5."""
    still = np.array([INF, INF])
    quick = {"feed": 99.0, "accelerations": still}
    assert run([(0, 0), (8, 6)], rates=np.array([99.0, 6.0]), **quick)[0][1] == pytest.approx(0.5)
    assert run([(0, 0), (8, 6)], rates=np.array([4.0, 99.0]), **quick)[0][1] == pytest.approx(1.0)
    assert run([(0, 0), (8, 6)], feed=2.5, accelerations=still)[0][1] == pytest.approx(2.0)
    slow = {"feed": 1e6, "rates": np.array([INF, INF])}
    for weak, along in (((99.0, 6.0), 10.0), ((4.0, 99.0), 5.0)):
        seconds = run([(0, 0), (8, 6)], accelerations=np.array(weak), **slow)[0][1]
        assert seconds == pytest.approx(2 * math.sqrt(5 / along))


def test_a_corner_is_passed_at_its_speed_unless_a_segment_is_slower() -> None:
    """From rest over 10 mm, a right angle, and 10 mm to rest."""
    speed = corner(90)
    assert speed < 10
    _, speeds = run([(0, 0), (20, 0), (20, 20)])
    assert speeds == pytest.approx([0, speed, 0])
    _, speeds = run([(0, 0), (20, 0), (20, 20)], rates=np.array([100.0, 2.0]))
    assert speeds == pytest.approx([0, 2.0, 0])
    _, speeds = run([(0, 0), (20, 0), (20, 20)], rates=np.array([2.0, 100.0]))
    assert speeds == pytest.approx([0, 2.0, 0])
    _, speeds = run([(0, 0), (20, 0), (20, 0), (20, 20)])  # a move of no length between them
    assert max(speeds) == pytest.approx(speed)


def test_it_must_be_able_to_stop_within_what_it_knows() -> None:
    """Pieces of 0.1 mm: with one known beyond the move v^2 is 2 a 0.1, with two 2 a 0.2."""
    points = [(k / 5, 0) for k in range(200)]
    units = np.array(points) * 1.0
    for known, way in ((2, 0.1), (3, 0.2), (5, 0.4)):
        _, speeds = run(units, look_ahead=known)
        assert max(speeds) == pytest.approx(math.sqrt(2 * 100 * way))
    _, speeds = run(units, look_ahead=1)
    assert max(speeds) == 0.0
    _, speeds = run(units, look_ahead=16, accelerations=np.array([INF, INF]))
    assert speeds[1:-1] == pytest.approx([10.0] * 198)


def test_several_runs_each_from_rest_to_rest() -> None:
    points = np.array([(0, 0), (20, 0), (7, 7), (0, 0), (20, 0), (20, 20)])
    seconds, speeds = kernel.run_times.run_by_python(
        points,
        np.array([0, 2, 3, 6]),
        0.5,
        np.array([10.0, 10.0, 5.0]),
        np.array([100.0, 100.0]),
        EVEN,
        0.1,
        True,
        16,
    )
    assert seconds[:3].tolist() == pytest.approx([0, 1.1, 0])
    assert speeds[[0, 1, 2, 3, 5]].tolist() == [0.0] * 5
    assert seconds[3:].tolist() == pytest.approx(run(points[3:], feed=5.0)[0])


# ---- the link


def test_the_pen_waits_where_lines_come_too_late() -> None:
    """Two moves are known when a run begins; then a line takes 0.5 s and a move 0.1 s. A line is
    sent when the one before was and a move has ended: the third at 0.1 to 0.6, while the pen has
    stood from 0.2 on, the fourth until 1.1.
    """
    seconds = np.array([0, 0.1, 0.1, 0.1, 0.1, 0, 0.3])
    sending = np.full(7, 0.5)
    wait = kernel.waits.plain(seconds, sending, np.array([0, 5, 7]), 2)
    assert wait.tolist() == pytest.approx([0, 0, 0.4, 0.4, 0, 0, 0])
    quick = kernel.waits.plain(seconds, np.full(7, 0.05), np.array([0, 5, 7]), 2)
    assert quick.tolist() == [0.0] * 7


def test_stretches_have_short_pauses_only() -> None:
    wait = np.array([0, 1, 0, 1, 0, 0, 0, 2, 1, 0, 0, 3.0, 0])
    found = kernel.stretches.plain(wait, np.array([0, 10, 13]), 2)
    assert found.tolist() == [[1, 4], [7, 9], [11, 12]]
    assert kernel.stretches.plain(wait, np.array([0, 10, 13]), 4).tolist() == [[1, 9], [11, 12]]
    assert kernel.stretches.plain(wait, np.array([0, 10, 13]), 3).tolist() == [
        [1, 4], [7, 9], [11, 12],
    ]  # fmt: skip


def test_the_significance_of_points() -> None:
    """(5, 3) is 3 off the chord; of the halves (2, 2) and (8, -1) are what remains, at most 3."""
    points = np.array([(0, 0), (2, 0), (5, 3), (8, 1), (10, 0)], np.float64)
    value = kernel.significance.plain(points)
    assert value[[0, 4]].tolist() == [INF, INF]
    assert value[2] == pytest.approx(3.0)
    assert value[1] == pytest.approx(6 / math.hypot(5, 3))  # cross product over the length
    assert value[3] == pytest.approx(1 / math.hypot(5, 3))


def test_beyond_the_ends_of_a_chord_its_ends_count() -> None:
    points = np.array([(0, 0), (-3, 4), (10, 0), (13, 4), (10, 0.5)], np.float64)
    value = kernel.significance.plain(points[:3])
    assert value[1] == pytest.approx(5.0)
    ring = np.array([(1, 1), (4, 5), (1, 1)], np.float64)  # a chord without length
    assert kernel.significance.plain(ring)[1] == pytest.approx(5.0)
    value = kernel.significance.plain(np.array([(0, 0), (13, 4), (10, 0)], np.float64))
    assert value[1] == pytest.approx(5.0)


# ---- feeds, and what a machine's controller is


def test_how_fast_each_direction_may_go() -> None:
    machine = bench()
    limits = direction_limits(np.array([(3, 4), (5, 0), (0, -2), (0, 0), (-4, 3)]), machine)
    assert limits.tolist() == pytest.approx([2_500, 6_000, 2_000, INF, 5_000 / 1.5])


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 200,
        "height": 100,
        "x": Axis(6_000, 500),
        "y": Axis(2_000, 250),
        "lift": ServoLift("M5", "M3 S90"),
        "feed": 3_000,
    }
    return Machine(**{**values, **changes})


def test_feeds_are_whole_thousandths_rounded_down() -> None:
    """Along 3 in 4 the y axis allows 2000 / 0.6 = 3333.333... mm/min."""
    points = np.array([(0, 0), (4000, 3000), (0, 0), (0, 50), (1, 1), (9, 9), (60, 9)])
    offsets = np.array([0, 2, 4, 5, 7])
    pens = (Pen("quick", 0.3, feed=5_000), Pen("plain", 0.3))
    feeds = stroke_feeds(points, offsets, np.array([0, 0, 1, 1]), pens, bench())
    assert feeds.tolist() == [3_333.333, 2_000.0, 3_000.0, 3_000.0]
    arcs = np.array([True, False, False, True])
    feeds = stroke_feeds(points, offsets, np.array([0, 0, 1, 1]), pens, bench(), arcs)
    assert feeds.tolist() == [2_000.0, 2_000.0, 3_000.0, 2_000.0]
    nothing = np.zeros(0, np.int64)
    assert len(stroke_feeds(points[:0], np.array([0]), nothing, pens, bench())) == 0


def test_a_lift_that_climbs_limits_the_feed() -> None:
    """The bed rises 5 mm in 100: with a unit off, 4.999 mm of Z at 60 mm/min for 100 of x."""
    bed = HeightMap(x=(0, 100), y=(0, 100), heights=[(0, 5), (0, 5)])
    machine = bench(lift=ZLift(12, 0, 60), height_map=bed)
    points = np.array([(0, 0), (100_000, 0), (0, 0), (0, 50_000)])
    offsets = np.array([0, 2, 4])
    feeds = stroke_feeds(points, offsets, np.array([0, 0]), (Pen("plain", 0.3),), machine)
    assert feeds.tolist() == [math.floor(100 / 4.999 * 60 * 1000) / 1000, 2_000.0]


def test_a_controller_is_what_the_machine_declares() -> None:
    controller = controller_of(bench(baud=9_600, path_tolerance=0.07, look_ahead=9))
    assert controller.rates == (6_000.0, 2_000.0)
    assert controller.accelerations == (500.0, 250.0)
    assert (controller.path_tolerance, controller.look_ahead) == (0.07, 9)
    assert (controller.corner_model, controller.baud) == ("arc", 9_600.0)
    bare = controller_of(bench(x=Axis(6_000), y=Axis(2_000), corner_model="deviation"))
    assert bare.accelerations == (INF, INF)
    assert (bare.corner_model, bare.baud) == ("deviation", None)
