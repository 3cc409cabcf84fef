import numpy as np
import pytest

from plotlib.curves import bezier
from plotlib.errors import InvalidValue
from plotlib.pen import Pen

RED = Pen("red")


def test_a_path_goes_through_the_ends_of_its_curves():
    control = np.random.default_rng(1).uniform(0, 50, (10, 2))
    drawing = bezier(control, pen=RED)
    assert len(drawing) == 1
    assert drawing.pens == (RED,)
    points = {tuple(point) for point in drawing[0].tolist()}
    assert {tuple(point) for point in control[::3].tolist()} <= points


def test_a_quadratic_path_equals_its_cubic_twin():
    a, b, c = np.array([(0, 0), (20, 40), (50, 10)], float)
    twin = bezier([a, a + (b - a) * 2 / 3, c + (b - c) * 2 / 3, c])
    np.testing.assert_allclose(bezier([a, b, c], degree=2)[0], twin[0], atol=1e-12)


def test_a_path_that_returns_is_closed():
    assert bezier([(0.1, 0.2), (9, 3), (4, 8), (7, 7), (1, 9), (0, 3), (0.1, 0.2)]).is_closed.all()


@pytest.mark.parametrize(("count", "degree"), [(3, 3), (5, 3), (6, 3), (2, 2), (4, 2), (0, 3)])
def test_a_number_of_points_that_does_not_fit_is_refused(count, degree):
    with pytest.raises(InvalidValue, match=f"got {count}|shape"):
        bezier([(k, k) for k in range(count)], degree=degree)


@pytest.mark.parametrize("options", [{"degree": 1}, {"degree": 4}, {"tolerance": 0}])
def test_wrong_options_are_refused(options):
    with pytest.raises(InvalidValue, match=next(iter(options))):
        bezier([(0, 0), (1, 1), (2, 0), (3, 3)], **options)
