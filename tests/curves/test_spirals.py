import math

import numpy as np
import pytest

from plotlib.curves import archimedean_spiral, logarithmic_spiral
from plotlib.errors import InvalidValue


def polar(drawing, centre):
    x, y = (drawing[0] - centre).T
    return np.hypot(x, y), np.unwrap(np.arctan2(y, x))


def test_archimedean_spiral_grows_by_its_pitch_each_turn():
    far, angle = polar(archimedean_spiral((5, 6), 40, pitch=3, inner=10, angle=30), (5, 6))
    assert (far[0], far[-1]) == pytest.approx((10, 40))
    assert angle[0] == pytest.approx(math.radians(30))
    np.testing.assert_allclose(far, 10 + 3 * (angle - angle[0]) / (2 * math.pi), atol=1e-9)


def test_archimedean_spiral_may_begin_in_the_centre():
    assert archimedean_spiral((5, 6), 4, pitch=2)[0][0].tolist() == [5, 6]


def test_a_spiral_shorter_than_a_turn_ends_where_it_should():
    far, angle = polar(archimedean_spiral((0, 0), 11, pitch=8, inner=10), (0, 0))
    assert far[-1] == pytest.approx(11)
    assert angle[-1] - angle[0] == pytest.approx(2 * math.pi / 8)


def test_logarithmic_spiral_multiplies_by_the_same_factor_each_turn():
    far, angle = polar(logarithmic_spiral((1, 2), 80, inner=0.5, turns=4.25, angle=200), (1, 2))
    assert (far[0], far[-1]) == pytest.approx((0.5, 80))
    assert angle[-1] - angle[0] == pytest.approx(4.25 * 2 * math.pi)
    np.testing.assert_allclose(
        np.log(far / 0.5), math.log(160) * (angle - angle[0]) / (angle[-1] - angle[0]), atol=1e-9
    )


@pytest.mark.parametrize(
    ("make", "options", "name"),
    [
        (archimedean_spiral, {"pitch": 0}, "pitch"),
        (archimedean_spiral, {"pitch": 1, "inner": 10}, "inner"),
        (archimedean_spiral, {"pitch": 1, "inner": -1}, "inner"),
        (archimedean_spiral, {"pitch": 1, "tolerance": 0}, "tolerance"),
        (archimedean_spiral, {"pitch": 1e-7}, "pitch = 1e-07 makes"),
        (logarithmic_spiral, {"inner": 0, "turns": 1}, "inner"),
        (logarithmic_spiral, {"inner": 11, "turns": 1}, "inner"),
        (logarithmic_spiral, {"inner": 1, "turns": 0}, "turns"),
        (logarithmic_spiral, {"inner": 1, "turns": 1e9}, "turns = 1e.09 makes"),
    ],
)
def test_spirals_that_are_none_are_refused(make, options, name):
    with pytest.raises(InvalidValue, match=name):
        make((0, 0), 10, **options)
