import math

import numpy as np
import pytest
from shapely import box

from plotlib import fields
from plotlib.errors import InvalidValue

X, Y = np.random.default_rng(0).uniform(-40, 40, (2, 400))
NOISE = fields.perlin(scale=15, seed=1, octaves=2)
HILL = fields.from_function(lambda x, y: np.exp(-(x * x + y * y) / 900))
MADE = {
    "sum": NOISE + HILL,
    "number first": 3 + NOISE,
    "difference": NOISE - HILL,
    "from number": 1 - NOISE,
    "product": NOISE * HILL,
    "quotient": NOISE / (HILL + 0.5),
    "negative": -NOISE,
    "absolute": abs(NOISE),
    "higher": NOISE.maximum(HILL * 0.2),
    "lower": NOISE.minimum(0.1),
    "shaped": NOISE.shaped(lambda f: np.sin(3 * f)),
    "warped": NOISE.warped(HILL * 5, fields.ramp(30) * 0.1),
    "ramp": fields.ramp(37, centre=(2, 3)),
    "distance to point": fields.distance_to_point((1, 2)),
    "ridge": fields.ridge((-10, 5), (20, -8), width=12),
    "high noise": fields.perlin(scale=15, height=0.37, octaves=3),
}


@pytest.mark.parametrize("name", MADE)
def test_slopes_are_those_of_the_numbers(name):
    field = MADE[name]
    h = 1e-5
    along_x, along_y = field.slopes(X, Y)
    smooth = np.abs(np.abs(NOISE(X, Y)) - 0) > 1e-3  # not at the kink of abs
    wanted_x = (field(X + h, Y) - field(X - h, Y)) / (2 * h)
    wanted_y = (field(X, Y + h) - field(X, Y - h)) / (2 * h)
    assert np.abs(along_x - wanted_x)[smooth].max() < 2e-6
    assert np.abs(along_y - wanted_y)[smooth].max() < 2e-6


@pytest.mark.parametrize("name", MADE)
def test_a_grid_is_the_same_as_its_points(name):
    field = MADE[name]
    x = np.linspace(-30, 30, 17)
    y = np.linspace(-20, 20, 11)
    grid = field(x[None, :], y[:, None])
    assert grid.shape == (11, 17)
    np.testing.assert_array_equal(grid, field(*np.meshgrid(x, y)))
    assert field(x[3], y[5]) == grid[5, 3]
    np.testing.assert_array_equal(field.jet(x[None, :], y[:, None])[0], grid)


def test_numbers():
    assert (NOISE + HILL)(3, 4) == NOISE(3, 4) + HILL(3, 4)
    assert (2 - NOISE)(3, 4) == pytest.approx(2 - NOISE(3, 4))
    assert NOISE.warped(2, -1)(3, 4) == NOISE(5, 3)
    assert fields.constant(4)(np.zeros((2, 3)), 0).tolist() == [[4] * 3] * 2


def test_gradient_points_uphill_and_curl_along():
    (gx, gy) = HILL.gradient()(10, 5)
    (cx, cy) = HILL.curl()(10, 5)
    assert gx < 0
    assert gy < 0
    assert (cx, cy) == (gy, -gx)


def test_what_is_no_field():
    with pytest.raises(TypeError):
        NOISE + "1"
    with pytest.raises(TypeError):
        NOISE + fields.uniform()
    with pytest.raises(InvalidValue, match="must be a finite number"):
        fields.constant(float("nan"))


def test_a_number_by_a_field():
    inverse = 2 / (HILL + 50)
    number = HILL(10, 5) + 50
    along_x, along_y = HILL.slopes(10, 5)
    assert inverse(10, 5) == pytest.approx(2 / number)
    assert inverse.slopes(10, 5) == pytest.approx(
        (-2 * along_x / number**2, -2 * along_y / number**2)
    )


@pytest.mark.parametrize("number", [np.float64(3), np.int64(3)])
def test_numpys_numbers_are_numbers(number):
    for made, wanted in (
        (number / NOISE, 3 / NOISE),
        (number * NOISE, 3 * NOISE),
        (number - NOISE, 3 - NOISE),
    ):
        assert made(3, 4) == wanted(3, 4)
    assert (number * NOISE.curl())(3, 4) == (3 * NOISE.curl())(3, 4)


@pytest.mark.parametrize("name", ["maximum", "minimum", "warped"])
@pytest.mark.parametrize("value", ["a", None, [1], object(), float("nan")])
def test_the_other_field_is_a_field_or_a_number(name, value):
    arguments = (value, 0) if name == "warped" else (value,)
    with pytest.raises(InvalidValue, match=r"(other|dx) must be"):
        getattr(NOISE, name)(*arguments)


def test_coordinates_are_numbers():
    for field in (NOISE, NOISE.curl()):
        with pytest.raises(InvalidValue, match="x must be numbers in mm"):
            field("a", 1)
        with pytest.raises(InvalidValue, match="y must be numbers in mm"):
            field(1, [1, [2, 3]])
        with pytest.raises(InvalidValue, match="do not broadcast"):
            field([1, 2], [1, 2, 3])


def test_a_function_that_takes_no_arrays_is_explained():
    hill = fields.from_function(lambda x, y: math.sin(x) * y)
    with pytest.raises(InvalidValue, match="written with numpy's functions; TypeError"):
        fields.isolines(hill, box(0, 0, 9, 9), levels=[0])
    slopes = fields.from_function(lambda x, y: x, lambda x, y: x)
    with pytest.raises(InvalidValue, match="slopes must give a pair"):
        slopes.slopes(1, 2)
