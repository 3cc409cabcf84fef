import math
from fractions import Fraction

import numpy as np
import pytest

from plotlib.curves import superformula
from plotlib.errors import InvalidValue

FORMS = [
    {"m": 4, "n1": 1, "n2": 1, "n3": 1},
    {"m": 3, "n1": 4.5, "n2": 10, "n3": 10},
    {"m": 5, "n1": 0.3, "n2": 0.3, "n3": 0.3},
    {"m": 5, "n1": 1, "n2": 4, "n3": 8},
    {"m": 6, "n1": 1, "n2": 7, "n3": 8, "a": 0.9, "b": 1.2},
    {"m": 2.5, "n1": 1, "n2": 4, "n3": 4},
    {"m": Fraction(1, 6), "n1": 0.3, "n2": 0.3, "n3": 0.3},
    {"m": 8, "n1": -2, "n2": 1, "n3": 3},
    {"m": 7, "n1": 2, "n2": -1, "n3": 3},
    {"m": 4, "n1": 0.1, "n2": 0.1, "n3": 0.1},
]


def distance(phi, *, m, n1, n2, n3, a=1.0, b=1.0):
    with np.errstate(divide="ignore"):
        c = np.abs(np.cos(float(m) * phi / 4) / a)
        s = np.abs(np.sin(float(m) * phi / 4) / b)
        return (c**n2 + s**n3) ** (-1 / n1)


@pytest.mark.parametrize("form", FORMS)
def test_points_satisfy_the_formula_in_order_and_close(form):
    drawing = superformula((5, 6), 20, **form)
    assert drawing.is_closed.all()
    x, y = (drawing[0] - (5, 6)).T
    seen = np.hypot(x, y) > 1e-6
    angle = np.unwrap(np.arctan2(y[seen], x[seen]))
    assert (np.diff(angle) > -1e-9).all()
    turns = angle[-1] / (2 * math.pi)
    assert turns == pytest.approx(round(turns), abs=1e-9)
    repeat = float(form["m"]) * round(turns)
    even = form["n2"] == form["n3"] and form.get("a", 1) == form.get("b", 1)
    assert repeat == pytest.approx(round(repeat))  # it ends where the form begins again
    assert even or round(repeat) % 2 == 0
    exact = 20 * distance(angle, **form)
    phase = float(form["m"]) * angle / 4
    plain = (
        np.minimum(np.abs(np.cos(phase)), np.abs(np.sin(phase))) > 1e-6
    )  # small exponents make the last bit of an angle count at corners
    assert plain.sum() > 0.5 * len(angle)
    np.testing.assert_allclose(np.hypot(x, y)[seen][plain], exact[plain], rtol=1e-6)


@pytest.mark.parametrize(
    ("form", "turns"), [(FORMS[0], 1), (FORMS[1], 1), (FORMS[3], 2), (FORMS[5], 2), (FORMS[6], 6)]
)
def test_the_curve_is_drawn_once(form, turns):
    x, y = superformula((0, 0), 20, **form)[0].T
    assert np.unwrap(np.arctan2(y, x))[-1] == pytest.approx(2 * math.pi * turns)


def test_corners_are_points():
    drawing = superformula((0, 0), 20, m=4, n1=0.5, n2=0.5, n3=0.5)
    assert drawing.bounds == pytest.approx((-20, -20, 20, 20), abs=1e-12)


def test_no_repeat_is_a_circle():
    assert superformula((1, 2), 20, m=0, n1=1, n2=1, n3=1).bounds == (-19, -18, 21, 22)


@pytest.mark.parametrize(
    ("form", "message"),
    [
        ({"m": -1, "n1": 1, "n2": 1, "n3": 1}, "m must"),
        ({"m": math.e, "n1": 1, "n2": 1, "n3": 1}, "does not close"),
        ({"m": 4, "n1": 0, "n2": 1, "n3": 1}, "n1"),
        ({"m": 4, "n1": math.nan, "n2": 1, "n3": 1}, "n1"),
        ({"m": 4, "n1": 1, "n2": 1, "n3": 1, "a": 0}, "a must"),
        ({"m": 4, "n1": -1, "n2": -1, "n3": 1}, "not finite"),
        ({"m": 0, "n1": -1, "n2": 1, "n3": -1}, "radius"),
    ],
)
def test_forms_that_are_none_are_refused(form, message):
    with pytest.raises(InvalidValue, match=message):
        superformula((0, 0), 20, **form)
