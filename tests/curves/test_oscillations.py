import math

import numpy as np
import pytest

from plotlib.curves import Swing, lissajous, pendulum
from plotlib.errors import InvalidValue


@pytest.mark.parametrize(
    ("x", "y", "phase"),
    [(1, 1, 90), (3, 2, 90), (3, 2, 17), (5, 4, 45), (1, 2, 0), (9, 8, 33.3), (12, 1, 5)],
)
def test_lissajous_closes_and_fills_its_box(x, y, phase):
    drawing = lissajous((10, 20), 80, 60, x=x, y=y, phase=phase)
    assert drawing.is_closed.all()
    assert drawing.bounds == pytest.approx((-30, -10, 50, 50), abs=1e-12)


def test_a_common_divisor_is_taken_out():
    assert lissajous((0, 0), 9, 9, x=6, y=4) == lissajous((0, 0), 9, 9, x=3, y=2)


@pytest.mark.parametrize(
    ("options", "name"),
    [
        ({"x": 0, "y": 1}, "x"),
        ({"x": 1, "y": 1.5}, "y"),
        ({"x": 1, "y": 2, "phase": math.inf}, "phase"),
    ],
)
def test_lissajous_figures_that_are_none_are_refused(options, name):
    with pytest.raises(InvalidValue, match=name):
        lissajous((0, 0), 10, 10, **options)


def test_pendulums_add_up_and_die_away():
    swings = (
        [Swing(30, 2, phase=20, damping=0.1), Swing(10, 3.3, damping=0.4)],
        Swing(25, 2.5, phase=90, damping=0.2),
    )
    points = pendulum((100, 50), *swings, duration=12)[0]
    assert points[0] == pytest.approx((100 + 30 * math.sin(math.radians(20)), 50 + 25))
    end = 30 * math.exp(-1.2) * math.sin(2 * math.pi * 24 + math.radians(20)) + 10 * math.exp(
        -4.8
    ) * math.sin(2 * math.pi * 3.3 * 12)
    assert points[-1, 0] == pytest.approx(100 + end)
    assert points[-1, 1] == pytest.approx(50 + 25 * math.exp(-2.4))


def test_one_swing_without_damping_is_a_lissajous_figure():
    drawing = pendulum((0, 0), Swing(40, 3, phase=90), Swing(30, 2), duration=1, tolerance=1e-4)
    assert drawing.length == pytest.approx(
        lissajous((0, 0), 80, 60, x=3, y=2, tolerance=1e-4).length, rel=1e-5
    )


def test_swings_are_values():
    assert Swing(40, 2) == Swing(40.0, 2.0, 0.0, 0.0)
    assert Swing(-3, 1).at(np.array([0.25])) == pytest.approx(-3)


@pytest.mark.parametrize(
    ("values", "name"),
    [
        ((math.nan, 1), "amplitude"),
        ((1, 0), "frequency"),
        ((1, 1, math.inf), "phase"),
        ((1, 1, 0, -1), "damping"),
    ],
)
def test_swings_that_are_none_are_refused(values, name):
    with pytest.raises(InvalidValue, match=name):
        Swing(*values)


@pytest.mark.parametrize("bad", [[], [1, 2], None, "ab"])
def test_what_is_no_swing_is_refused(bad):
    with pytest.raises(InvalidValue, match="x must be a Swing"):
        pendulum((0, 0), bad, Swing(1, 1), duration=1)


def test_a_duration_of_ages_is_refused():
    with pytest.raises(InvalidValue, match=r"frequency = .* duration = .* pieces of curve"):
        pendulum((0, 0), Swing(1, 1), Swing(1, 1), duration=1e12)


@pytest.mark.parametrize("times", ["ab", [0.0, math.nan], None])
def test_times_that_are_none_are_refused(times):
    with pytest.raises(InvalidValue, match="t must"):
        Swing(1, 1).at(times)
