from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from plotlib import fields
from plotlib.errors import InvalidValue, UnknownName
from plotlib.planning.moving.motion import Controller, bytes_of_lines, motion_times
from plotlib.planning.moving.motion_kernel import significance
from tests.oracles_motion import simulated_seconds
from tests.oracles_planning import polyline_seconds, ragged

UNIT = 0.001
PLAIN = Controller(rates=(10_000, 4_000), accelerations=(500, 250))


def timed(strokes, controller=PLAIN, **options):
    points, offsets = ragged(
        [[(round(1000 * x), round(1000 * y)) for x, y in stroke] for stroke in strokes]
    )
    options.setdefault("feed", 3000)
    return motion_times(points, offsets, controller, unit=UNIT, **options)


def wander(rng, count, step):
    heading = np.cumsum(rng.normal(0, 0.8, count))
    length = rng.exponential(step, count) + 0.002
    return np.round(
        1000
        * np.cumsum(np.stack([length * np.cos(heading), length * np.sin(heading)], axis=1), axis=0)
    ).astype(np.int64)


@pytest.mark.parametrize("look_ahead", [1, 2, 3, 5, 16, 1000])
@pytest.mark.parametrize("step", [0.05, 0.5, 8.0])
def test_times_equal_those_of_the_slow_oracle(look_ahead, step):
    rng = np.random.default_rng(look_ahead)
    for path_tolerance in (0.0, 0.05, 0.4):
        points = wander(rng, 40, step)
        controller = Controller(
            rates=(10_000, 4_000),
            accelerations=(500, 250),
            path_tolerance=path_tolerance,
            look_ahead=look_ahead,
        )
        ours = motion_times(
            points, np.array([0, len(points)]), controller, unit=UNIT, feed=3600
        ).drawing
        limits = {"feed": 60.0, "rates": (10_000 / 60, 4_000 / 60), "accelerations": (500, 250)}
        assert ours == pytest.approx(
            polyline_seconds(
                points * UNIT, path_tolerance=path_tolerance, look_ahead=look_ahead, **limits
            ),
            rel=1e-7,
        )


def test_a_gentle_way_on_a_heavy_carriage_is_as_in_the_slow_oracle():
    """Corners let pass more than the accelerations' numbers, so no limit may stand for another."""
    rates = (1_800, 2_700)
    for turn in (0.0, 0.8, 1.5, 2.4):
        heading = turn + 0.002 * np.arange(30)
        steps = 25_000 * np.stack([np.cos(heading), np.sin(heading)], axis=1)
        points = np.cumsum(np.rint(steps), axis=0).astype(np.int64)
        controller = Controller(rates=rates, accelerations=(25, 10), path_tolerance=0.4)
        ours = motion_times(points, np.array([0, len(points)]), controller, unit=UNIT, feed=3600)
        limits = {"feed": 60.0, "rates": (30.0, 45.0), "accelerations": (25, 10)}
        slow = polyline_seconds(
            points * UNIT, path_tolerance=0.4, look_ahead=controller.look_ahead, **limits
        )
        assert ours.drawing == pytest.approx(slow, rel=1e-7)


def isolines():
    """Contour lines as a map has them, in grid units."""
    ground = fields.perlin(scale=20, seed=3, octaves=4)
    lines = fields.isolines(ground, shapely.box(0, 0, 40, 30), spacing=0.25)
    return [np.round(line / UNIT).astype(np.int64) for line in lines]


@pytest.mark.parametrize("model", ["arc", "deviation"])
@pytest.mark.parametrize(
    ("accelerations", "path_tolerance", "look_ahead"),
    [((500, 250), 0.05, 16), ((500, 500), 0.02, 16), ((1_500, 400), 0.05, 4)],
)
def test_isolines_take_as_long_as_in_a_slow_simulation(
    model, accelerations, path_tolerance, look_ahead
):
    machine = Controller(
        rates=(10_000, 4_000),
        accelerations=accelerations,
        path_tolerance=path_tolerance,
        corner_model=model,
        look_ahead=look_ahead,
    )
    limits = {"rates": (10_000 / 60, 4_000 / 60), "accelerations": accelerations}
    for line in isolines()[::4]:
        ours = motion_times(line, np.array([0, len(line)]), machine, unit=UNIT, feed=3_000)
        slow = simulated_seconds(
            line * UNIT,
            feed=50.0,
            path_tolerance=path_tolerance,
            look_ahead=look_ahead,
            model=model,
            **limits,
        )
        assert ours.drawing == pytest.approx(slow, rel=2e-5)


def test_a_corner_that_may_be_of_any_length_is_never_slower():
    """A polygon of many short sides is where the two models differ; one corner is where they do
    not, but for the direction in which its acceleration is taken.
    """
    even = {"rates": (6_000, 6_000), "accelerations": (1_000, 1_000)}
    inscribed = Controller(**even)
    plain = Controller(corner_model="deviation", **even)
    fine = [circle(3, 100)]
    assert timed(fine, plain, feed=6_000).drawing < 0.9 * timed(fine, inscribed, feed=6_000).drawing
    for line in (line * UNIT for line in isolines()):
        assert timed([line], plain).drawing <= timed([line], inscribed).drawing * (1 + 1e-12)
    corner = [[(0, 0), (50, 0), (50, 50)]]
    speed = 60 * math.sqrt(math.sqrt(2) * 1_000 * 0.05 * math.sqrt(0.5) / (1 - math.sqrt(0.5)))
    assert timed(corner, plain, feed=6_000).speeds[1] == pytest.approx(speed)


def test_axis_limits_are_resolved_along_the_move():
    machine = Controller(rates=(6_000, 3_000), accelerations=(1000, 200))
    assert timed([[(0, 0), (0, 100)]], machine, feed=6_000).drawing == pytest.approx(
        100 / 50 + 50 / 200
    )
    diagonal = timed(
        [[(0, 0), (60, 80)]], machine, feed=6_000
    ).drawing  # y is the slow one: 0.8 of the speed
    assert diagonal == pytest.approx(100 / (50 / 0.8) + (50 / 0.8) / (200 / 0.8))


def test_without_acceleration_time_is_length_over_speed():
    machine = Controller(rates=(6_000, 6_000))
    there_and_back = timed([[(0, 0), (30, 0), (0, 0), (30, 40)]], machine, feed=3_000)
    assert there_and_back.drawing == pytest.approx(110 / 50, rel=1e-12)


def test_one_axis_without_acceleration():
    machine = Controller(rates=(6_000, 6_000), accelerations=(math.inf, 1000))
    assert timed([[(0, 0), (30, 0)]], machine, feed=6_000).drawing == pytest.approx(0.3)
    assert timed([[(0, 0), (0, 100)]], machine, feed=6_000).drawing == pytest.approx(1.1)


def test_each_stroke_has_its_feed():
    machine = Controller(rates=(9_000, 9_000))
    result = timed(
        [[(0, 0), (30, 0)], [(0, 0), (30, 0)], [(5, 5)]], machine, feed=[3_000, 1_500, 100]
    )
    assert result.moves.tolist() == pytest.approx([0, 0.6, 0, 1.2, 0])


def test_ways_lead_from_home_over_the_strokes_to_the_finish():
    machine = Controller(rates=(6_000, 3_000))
    result = timed(
        [[(10, 0), (20, 0)], [(20, 30)]], machine, home=(0, 0), finish=(0, 30_000), lift=(0.2, 0.3)
    )
    assert result.ways.tolist() == pytest.approx([0.1, 0.6, 0.2])
    assert result.lifting == pytest.approx(1.0)
    assert result.duration == pytest.approx(result.drawing + 0.9 + 1.0)
    assert timed([[(10, 0), (20, 0)], [(20, 30)]], machine).ways.tolist() == pytest.approx([0.6])
    assert timed([[(10, 0), (20, 0)]], machine, finish=(0, 0)).ways.tolist() == pytest.approx([0.2])
    assert timed(
        [[(10, 0), (20, 0)]], machine, home=(0, 0), travel_feed=1_000
    ).ways.tolist() == pytest.approx([0.6])


def test_given_ways_are_timed_instead():
    ways = np.array([[0, 0], [0, 30_000], [30_000, 30_000]]), np.array([0, 3])
    result = timed([[(30, 30), (40, 40)]], Controller(rates=(6_000, 6_000)), ways=ways)
    assert result.ways.tolist() == pytest.approx([0.6])


def test_nothing_takes_no_time():
    result = timed([], home=None)
    assert (result.duration, len(result.ways), result.stutters) == (0.0, 0, ())
    assert timed([], home=(0, 0), finish=(100_000, 0)).travel == pytest.approx(
        100 / (10_000 / 60) + 10_000 / 60 / 500
    )


def test_moves_of_no_length_change_nothing():
    line = [(0, 0), (5, 0), (5, 5), (9, 9)]
    doubled = [point for point in line for _ in range(3)]
    assert timed([doubled]).drawing == pytest.approx(timed([line]).drawing, rel=1e-12)
    assert np.isfinite(timed([doubled]).moves).all()


def test_a_straight_line_in_pieces_takes_as_long_as_in_one_unless_the_queue_is_short():
    pieces = [(x / 10, 0) for x in range(1001)]
    endless = Controller(rates=(6_000, 6_000), accelerations=(500, 500), look_ahead=2000)
    short = Controller(rates=(6_000, 6_000), accelerations=(500, 500), look_ahead=5)
    whole = timed([[(0, 0), (100, 0)]], endless).drawing
    assert timed([pieces], endless).drawing == pytest.approx(whole, rel=1e-12)
    result = timed([pieces], short)
    assert result.drawing > 1.5 * whole
    # 4 known pieces of 0.1 mm to stop in, but for the last ones
    assert result.speeds.max() == pytest.approx(60 * math.sqrt(2 * 500 * 0.4))


def test_speeds_are_reported_at_the_points():
    corner = timed(
        [[(0, 0), (50, 0), (50, 50)]],
        Controller(rates=(6_000, 6_000), accelerations=(1000, 1000)),
        feed=6_000,
    )
    assert corner.speeds.tolist() == pytest.approx([0, 60 * 10.986841, 0], rel=1e-6)


def circle(radius, count):
    angles = 2 * np.pi * np.arange(count + 1) / count
    return [(radius * math.cos(a), radius * math.sin(a)) for a in angles]


def test_the_link_starves_where_segments_come_too_thick():
    machine = Controller(rates=(6_000, 6_000), accelerations=(2_000, 2_000), baud=115_200)
    thick = circle(20, 8_000)
    thin = circle(20, 200)
    result = timed([thin, thick], machine, line_bytes=20)
    (stutter,) = result.stutters
    assert stutter.run == 1
    assert 16 <= stutter.first <= 40
    assert stutter.last == 8_000
    # the link brings 576 lines a second: 0.0157 mm each
    assert stutter.feed == pytest.approx(60 * 2 * math.pi * 20 / 8_000 * 576, rel=0.01)
    assert stutter.spacing == pytest.approx(stutter.planned / 60 / 576, rel=0.01)
    alone = result.moves[201:].sum()  # as if the link were endlessly quick
    assert stutter.planned == pytest.approx(60 * 2 * math.pi * 20 / alone, rel=0.01)
    assert result.waiting == pytest.approx(8_000 / 576 - result.moves[201:].sum(), rel=0.01)
    assert "come too thick for the link" in str(stutter)


def test_the_told_tolerance_mends_the_stutter():
    machine = Controller(
        rates=(6_000, 6_000), accelerations=(2_000, 2_000), baud=57_600, look_ahead=16
    )
    rng = np.random.default_rng(3)
    for line in (circle(20, 9_000), (wander(rng, 3_000, 0.02) * UNIT).tolist()):
        before = timed([line], machine, line_bytes=20)
        tolerance = max(stutter.tolerance for stutter in before.stutters)
        points = np.round(np.array(line), 3)
        simple = points[significance(points) > tolerance]
        assert timed([simple.tolist()], machine, line_bytes=20).waiting < 0.1 * before.waiting


def test_without_a_link_or_with_a_fast_one_nothing_starves():
    fast = Controller(rates=(6_000, 6_000), accelerations=(500, 500), baud=10_000_000)
    assert timed([circle(20, 2_000)], fast, line_bytes=20).stutters == ()
    assert timed([circle(20, 2_000)], PLAIN, line_bytes=20).waiting == 0.0


def test_a_short_burst_is_swallowed_by_the_queue():
    slow = Controller(rates=(6_000, 6_000), accelerations=(500, 500), baud=9_600, look_ahead=16)
    burst = [(0, 0), *[(20 + k * 0.01, 0) for k in range(15)], (60, 0)]
    assert timed([burst], slow, line_bytes=20).waiting == 0.0
    assert (
        timed(
            [burst],
            Controller(rates=(6_000, 6_000), accelerations=(500, 500), baud=9_600, look_ahead=4),
            line_bytes=20,
        ).waiting
        > 0.1
    )


def test_significance_is_the_tolerance_at_which_a_point_goes():
    line = np.array(
        [(0, 0), (1, 0.1), (2, -0.1), (3, 5), (4, 6), (5, 7), (6, 8.1), (7, 9), (8, 9), (9, 9)]
    )
    value = significance(line)
    for tolerance in (1.0, 0.5, 0.2):
        assert np.flatnonzero(value > tolerance).tolist() == [0, 2, 3, 7, 9]
    assert np.flatnonzero(value > 0.05).tolist() == [0, 1, 2, 3, 6, 7, 9]
    assert np.flatnonzero(value > 2.0).tolist() == [0, 9]


def test_bytes_of_lines_counts_signs_and_digits():
    points = np.array([[0, 0], [-5, 12_345], [1_234_567, -999]])
    lines = ["X0.000Y0.000\n", "X-0.005Y12.345\n", "X1234.567Y-0.999\n"]
    assert bytes_of_lines(points, decimals=3, more=0).tolist() == [len(line) for line in lines]
    assert bytes_of_lines(np.array([[12, 3]]), decimals=0, more=2).tolist() == [len("G1X12Y3\n")]


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"rates": (0, 1)}, "rates must be greater than 0"),
        ({"rates": (1, 1), "accelerations": (-1, 1)}, "accelerations must be greater than 0"),
        ({"rates": (1, 1), "path_tolerance": -0.1}, "path_tolerance must be at least 0"),
        ({"rates": (1, 1), "corner_model": "round"}, "corner_model must be one of 'arc', 'dev"),
        ({"rates": (1, 1), "look_ahead": 0}, "look_ahead must be at least 1"),
        ({"rates": (1, 1), "baud": 0}, "baud must be greater than 0"),
    ],
)
def test_a_controller_is_checked_once(options, message):
    with pytest.raises((InvalidValue, UnknownName), match=message):
        Controller(**options)


def test_feeds_are_checked():
    with pytest.raises(InvalidValue, match="feed must be greater than 0"):
        timed([[(0, 0), (1, 0)]], feed=0)
    with pytest.raises(InvalidValue, match="one for each of the 1 strokes"):
        timed([[(0, 0), (1, 0)]], feed=[1, 2])
