import math
from fractions import Fraction

import numpy as np
import pytest

from plotlib.curves import lemniscate, rose, superellipse
from plotlib.errors import InvalidValue


@pytest.mark.parametrize(
    ("k", "tips"),
    [
        (1, 1),
        (2, 4),
        (3, 3),
        (4, 8),
        (Fraction(7, 3), 7),
        (7 / 3, 7),
        (0.5, 2),
        (Fraction(1, 3), 1),
        (Fraction(5, 4), 10),
    ],
)
def test_roses_close_and_have_their_petals(k, tips):
    drawing = rose((3, 4), 20, k=k)
    assert drawing.is_closed.all()
    points = drawing[0][:-1] - (3, 4)
    far = np.hypot(*points.T)
    assert far.max() == pytest.approx(20)
    assert points[0].tolist() == [20, 0]
    assert len(np.unique(np.round(points[far > 20 - 1e-9], 6), axis=0)) == tips


@pytest.mark.parametrize(
    ("k", "message"),
    [
        (0, "k"),
        (-2, "k"),
        (math.pi, "does not close"),
        (1e-5, "does not close"),
        (1e9, "close|points"),
    ],
)
def test_roses_that_are_none_are_refused(k, message):
    with pytest.raises(InvalidValue, match=message):
        rose((0, 0), 20, k=k)


def test_lemniscate_satisfies_its_equation():
    drawing = lemniscate((5, 5), 30)
    x, y = (drawing[0] - (5, 5)).T
    np.testing.assert_allclose((x**2 + y**2) ** 2, 900 * (x**2 - y**2), atol=1e-6)
    assert drawing.is_closed.all()
    assert drawing.bounds[0::2] == (-25, 35)
    assert drawing[0].tolist()[0] == [35, 5]


@pytest.mark.parametrize("power", [0.1, 0.5, 1, 2, 2.5, 4, 30, 1000])
def test_superellipse_satisfies_its_equation_and_mirrors_bit_for_bit(power):
    drawing = superellipse((0, 0), 40, 30, power=power)
    assert drawing.is_closed.all()
    assert drawing.bounds == (-40, -30, 40, 30)
    x, y = drawing[0].T / [[40], [30]]
    norm = np.maximum(np.abs(x), np.abs(y))
    assert (
        norm * ((np.abs(x) / norm) ** power + (np.abs(y) / norm) ** power) ** (1 / power)
    ) == pytest.approx(np.ones(len(x)), rel=1e-9)
    ring = {tuple(point) for point in (drawing[0] + 0.0).tolist()}
    for sides in [(-1, 1), (1, -1)]:
        assert {tuple(point) for point in (drawing[0] * sides + 0.0).tolist()} == ring


def test_superellipse_of_power_1_is_a_rhombus():
    points = superellipse((0, 0), 4, 3, power=1)[0]
    assert np.abs(points[:, 0]) / 4 + np.abs(points[:, 1]) / 3 == pytest.approx(
        np.ones(len(points))
    )


@pytest.mark.parametrize("power", [0, 0.05, 1e4, math.nan])
def test_powers_out_of_range_are_refused(power):
    with pytest.raises(InvalidValue, match="power"):
        superellipse((0, 0), 4, 3, power=power)
