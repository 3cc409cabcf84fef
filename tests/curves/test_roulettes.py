import math

import numpy as np
import pytest

from plotlib.curves import epitrochoid, hypotrochoid, trochoid
from plotlib.errors import InvalidValue


@pytest.mark.parametrize("make", [hypotrochoid, epitrochoid])
@pytest.mark.parametrize(
    ("fixed", "rolling", "arm"),
    [(60, 15, None), (105, 45, 30), (30, 30.5, 8), (5, 12, 7), (0.3, 0.1, 0.1), (1, 3, 1)],
)
def test_figures_close_bit_for_bit_within_their_rings(make, fixed, rolling, arm):
    drawing = make((7, -3), fixed, rolling, arm=arm, tolerance=0.01 * fixed)
    assert drawing.is_closed.all()
    orbit = fixed + (rolling if make is epitrochoid else -rolling)
    reach = rolling if arm is None else arm
    far = np.hypot(*(drawing[0] - (7, -3)).T)
    assert far.max() <= abs(orbit) + reach + 1e-9
    assert far.min() >= abs(abs(orbit) - reach) - 1e-9


@pytest.mark.parametrize(
    ("make", "cusps"), [(hypotrochoid, 5), (epitrochoid, 5), (hypotrochoid, 3), (epitrochoid, 1)]
)
def test_cusps_are_points(make, cusps):
    points = make((0, 0), 10 * cusps, 10)[0]
    angles = 2 * np.pi * np.arange(cusps) / cusps
    exact = 10 * cusps * np.column_stack([np.cos(angles), np.sin(angles)])
    assert np.hypot(*(points[:, None] - exact).T).min(axis=1) == pytest.approx(
        np.zeros(cusps), abs=1e-9
    )


def test_two_circles_of_one_to_two_draw_a_diameter():
    """Known since Nasir al-Din al-Tusi: a circle in one of twice its size moves its points to and
    fro on straight lines.
    """
    points = hypotrochoid((0, 0), 20, 10)[0]
    assert np.abs(points[:, 1]).max() < 1e-12
    assert (points[:, 0].min(), points[:, 0].max()) == (-20, 20)


def test_no_arm_draws_the_orbit():
    points = hypotrochoid((0, 0), 20, 5, arm=0)[0]
    np.testing.assert_allclose(np.hypot(*points.T), 15, rtol=1e-12)


def test_turns_may_be_given():
    points = epitrochoid((0, 0), math.pi, 1, turns=2.5)[0]
    assert points[0].tolist() == [math.pi, 0]
    theta = 5 * math.pi
    end = (math.pi + 1) * np.exp(1j * theta) - np.exp(1j * (math.pi + 1) * theta)
    assert complex(*points[-1]) == pytest.approx(end, abs=1e-9)


def test_cycloids_touch_the_line_once_a_turn():
    points = trochoid((5, 2), 10, arches=2.5)[0]
    assert points[0].tolist() == [5, 2]
    for k in (1, 2):
        assert np.hypot(*(points - (5 + 20 * math.pi * k, 2)).T).min() < 1e-9
    assert points[-1] == pytest.approx((5 + 50 * math.pi, 22))
    assert points[:, 1].min() >= 2 - 1e-12
    assert trochoid((0, 0), 10, arm=15)[0][0].tolist() == [0, -5]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((0, 1), "fixed"),
        ((1, -1), "rolling"),
        ((math.pi, 1), "does not close within 10,000 turns; give turns"),
        ((1, 1, {"arm": -1}), "arm"),
        ((1, 1, {"turns": 0}), "turns"),
        ((1, 1, {"turns": 1e9}), "turns = .* makes .* pieces of curve"),
        ((1, 1e8), "does not close|points"),
    ],
)
def test_roulettes_that_are_none_are_refused(arguments, message):
    fixed, rolling, *options = arguments
    for make in (hypotrochoid, epitrochoid):
        with pytest.raises(InvalidValue, match=message):
            make((0, 0), fixed, rolling, **(options[0] if options else {}))


@pytest.mark.parametrize("options", [{"arches": 0}, {"arm": -2}, {"tolerance": math.nan}])
def test_trochoids_that_are_none_are_refused(options):
    with pytest.raises(InvalidValue, match=next(iter(options))):
        trochoid((0, 0), 1, **options)
