"""Closed forms of straight-line motion under constant acceleration and of circular corners.

Sources: textbook kinematics (v = v0 + a t, s = v0 t + a t² / 2; centripetal acceleration v² / r),
and plane geometry of the circle that touches both sides of an angle; the numbers were computed from
them apart from this library. Tolerance 1e-6 relative, half a unit of the last printed digit where
fewer digits are printed.
"""

from __future__ import annotations

import math
from functools import partial

import numpy as np
import pytest

from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.metric import Metric
from plotlib.planning.moving.motion import Controller, motion_times
from plotlib.planning.moving.motion_kernel import corner_speed, trapezoid
from tests.outside import COMPUTED, published

known = partial(
    published,
    module="planning",
    source="textbook kinematics: v = v0 + a t, s = v0 t + a t^2 / 2, a = v^2 / r",
    kind=COMPUTED,
)


MICROMETRE = 0.001


def seconds(
    line,
    *,
    speed: float,
    acceleration: float,
    path_tolerance: float = 0.05,
    look_ahead: int = 10_000,
) -> float:
    """Seconds for a polyline in mm with speed in mm/s."""
    points = np.round(np.asarray(line, dtype=float) / MICROMETRE).astype(np.int64)
    controller = Controller(
        rates=(60 * speed, 60 * speed),
        accelerations=(acceleration, acceleration),
        path_tolerance=path_tolerance,
        look_ahead=look_ahead,
    )
    return motion_times(
        points, np.array([0, len(points)]), controller, unit=MICROMETRE, feed=60 * speed
    ).drawing


@known(column="expected", rel=1e-8)
@pytest.mark.parametrize(
    ("length", "speed", "acceleration", "expected"),
    [
        (100, 100, 1000, 1.1),
        (10, 100, 1000, 0.2),
        (5, 100, 1000, 0.141421356),
        (100, 4000 / 60, 500, 1.633333333),
        (300, 10000 / 60, 1000, 1.966666667),
        (1, 10000 / 60, 1000, 0.063245553),
    ],
)
def test_straight_move_from_rest_to_rest(length, speed, acceleration, expected, within):
    assert seconds([(0, 0), (length, 0)], speed=speed, acceleration=acceleration) == within.of(
        expected
    )
    pace = MICROMETRE / speed
    ramp = MICROMETRE / acceleration
    metric = Metric(1.0, pace, pace, ramp, ramp)
    assert move_cost(metric, length / MICROMETRE, 0.0) == within.of(expected)


@known(column="expected", rel=1e-12)
@pytest.mark.parametrize(("v0", "v1", "expected"), [(20, 0, 0.268), (20, 30, 0.226)])
def test_trapezoid_between_speeds(v0, v1, expected, within):
    assert trapezoid(10.0, 50.0, 500.0, float(v0), float(v1)) == within.of(expected)


@known(column="expected", rel=1e-6, abs=1e-6, claim="speeds at corners, mm/s")
@pytest.mark.parametrize(
    ("angle", "expected"),
    [
        (170, 114.409623),
        (150, 37.648201),
        (135, 24.634398),
        (120, 17.977905),
        (90, 10.986841),
        (60, 7.071068),
        (45, 5.567380),
        (30, 4.178506),
        (0, 0.0),
    ],
)
def test_corner_speed(angle, expected, within):
    """Allowed deviation 0.05 mm, acceleration 1000 mm/s² in every direction: both axes of a corner
    whose circle lies on an axis.
    """
    turned = math.radians(180 - angle)
    ux = math.cos(turned / 2)
    uy = -math.sin(turned / 2)
    wx = math.cos(turned / 2)
    wy = math.sin(turned / 2)
    speed = corner_speed(ux, uy, wx, wy, 100.0, 0.05, True, np.array([1000.0, 1000.0]))
    assert speed == within.of(expected)


@known(column="expected", rel=2e-6)
@pytest.mark.parametrize(
    ("acceleration", "radius", "expected"), [(1000, 10, 100.0), (1000, 1, 31.6228), (500, 5, 50.0)]
)
def test_an_arc_in_small_pieces_is_drawn_at_the_speed_of_its_radius(
    acceleration, radius, expected, within
):
    step = 2 * math.pi / 4000
    speed = corner_speed(
        1.0,
        0.0,
        math.cos(step),
        math.sin(step),
        2 * radius * math.sin(step / 2),
        0.05,
        True,
        np.array([acceleration] * 2, float),
    )
    assert speed == pytest.approx(math.sqrt(acceleration * radius), rel=1e-6)
    assert speed == within.of(expected)


@known(printed={"corner": 1.179233425, "stop": 1.2, "straight": 1.1}, rel=1e-9)
def test_two_legs_with_a_corner_between_a_full_stop_and_none(within, printed):
    corner = [(0, 0), (50, 0), (50, 50)]
    straight = [(0, 0), (50, 0), (100, 0)]
    assert seconds(corner, speed=100, acceleration=1000) == within.of(printed["corner"])
    assert seconds(corner, speed=100, acceleration=1000, path_tolerance=0) == pytest.approx(
        printed["stop"], rel=1e-12
    )
    assert seconds(straight, speed=100, acceleration=1000) == pytest.approx(
        printed["straight"], rel=1e-12
    )


@known(printed=1.137700274, rel=1e-9, claim="seconds for a closed square")
def test_closed_square(within, printed):
    square = [(0, 0), (20, 0), (20, 20), (0, 20), (0, 0)]
    assert seconds(square, speed=100, acceleration=1000) == within.of(printed)
