import math

import numpy as np
import pytest

from plotlib.curves import parametric
from plotlib.errors import InvalidValue


def test_the_stroke_goes_from_t0_to_t1():
    forth = parametric(lambda t: (t, t**2), -1, 2)
    back = parametric(lambda t: (t, t**2), 2, -1)
    assert forth[0][[0, -1]].tolist() == [[-1, 1], [2, 4]]
    np.testing.assert_array_equal(back[0], forth[0][::-1])


def test_one_number_may_stand_for_a_coordinate():
    assert parametric(lambda t: (t, 5), 0, 10).length == pytest.approx(10)
    assert parametric(lambda t: np.array([t, t]), 0, 10).length == pytest.approx(10 * math.sqrt(2))


def test_a_closed_curve_closes_bit_for_bit():
    drawing = parametric(
        lambda t: (np.cos(t), np.sin(t)), 0.3, 0.3 + 2 * math.pi, closed=True, tolerance=1e-3
    )
    assert drawing.is_closed.all()


def test_an_open_curve_is_not_closed_by_force():
    with pytest.raises(InvalidValue, match="does not close"):
        parametric(lambda t: (t, t), 0, 1, closed=True)


def test_waves_that_are_zero_at_every_even_division_are_seen():
    for waves in (64, 128, 256, 512):
        drawing = parametric(lambda t, n=waves: (t, np.sin(2 * math.pi * n * t)), 0, 1)
        assert drawing.length > 3.9 * waves


@pytest.mark.parametrize(
    ("function", "message"),
    [
        (lambda t: (math.cos(t), math.sin(t)), "numpy"),
        (lambda t: t, "x and y"),
        (lambda t: (t[:3], t[:3]), "arrays"),
        (lambda t: ("a", t), "arrays"),
        (lambda t: (t, np.log(-1 - t)), "not finite"),
        (lambda t: (t, np.floor(3 * t)), r"jumps or is not finite at t = 0\.333333"),
        (lambda t: (t, 1 / (t - 0.3)), "jumps or is not finite at t = 0.3|needs"),
    ],
)
def test_functions_that_cannot_be_drawn_are_refused(function, message):
    with pytest.raises(InvalidValue, match=message):
        parametric(function, 0, 1)


@pytest.mark.parametrize(("t0", "t1"), [(1, 1), (math.nan, 1), (0, math.inf)])
def test_ranges_that_are_none_are_refused(t0, t1):
    with pytest.raises(InvalidValue, match=r"t0|t1"):
        parametric(lambda t: (t, t), t0, t1)


def test_an_error_inside_the_function_is_not_hidden():
    with pytest.raises(ZeroDivisionError):
        parametric(lambda t: (t, t * (1 // 0)), 0, 1)
