import numpy as np
import pytest
from scipy.interpolate import RectBivariateSpline
from shapely import Polygon, box

from plotlib import fields
from plotlib.errors import InvalidValue
from tests.outside import LIBRARY, published


def test_goes_through_the_numbers_and_keeps_the_edge():
    numbers = np.random.default_rng(0).normal(size=(12, 17))
    field = fields.from_array(numbers, (10, 20, 90, 75))
    x = np.linspace(10, 90, 17)
    y = np.linspace(20, 75, 12)
    np.testing.assert_allclose(field(x[None, :], y[:, None]), numbers, atol=1e-4)
    assert field(0, 20) == pytest.approx(numbers[0, 0], abs=1e-4)
    assert field.slopes(0, 30)[0] == 0


@published(
    module="fields",
    source="RectBivariateSpline, away from the edge; ten times as far for slopes",
    kind=LIBRARY,
    against="scipy",
    abs=1e-6,
    claim="values between the numbers of an array",
)
def test_agrees_with_scipy_inside(within):
    x = np.linspace(0, 40, 81)
    y = np.linspace(0, 30, 61)
    numbers = fields.perlin(scale=12, octaves=2)(x[None, :], y[:, None])
    ours = fields.from_array(numbers, (0, 0, 40, 30))
    theirs = RectBivariateSpline(y, x, numbers)
    px, py = np.random.default_rng(1).uniform((6, 6), (34, 24), (2000, 2)).T
    np.testing.assert_allclose(ours(px, py), theirs.ev(py, px), atol=within.abs)
    np.testing.assert_allclose(
        ours.slopes(px, py)[0], theirs.ev(py, px, dy=1), atol=10 * within.abs
    )


def test_cubics_are_kept_exactly_away_from_the_edge():
    """A cubic spline holds every cubic: the classic check of its weights."""
    cubic = fields.from_function(lambda x, y: x**3 - 2 * x * y**2 + y**3 - x)
    made = fields.sampled(cubic, box(0, 0, 10, 10), step=0.5)
    assert made.error < 1.2e-4  # in the corner where the cubic is steepest
    x, y = np.random.default_rng(2).uniform(1, 9, (2, 500))
    np.testing.assert_allclose(made(x, y), cubic(x, y), atol=1e-4)


def test_error_is_the_one_that_shows():
    noise = fields.perlin(scale=10, seed=2)
    region = box(0, 0, 60, 40)
    coarse, fine = (fields.sampled(noise, region, step=step) for step in (2, 0.5))
    x, y = np.random.default_rng(3).uniform((0, 0), (60, 40), (20_000, 2)).T
    for made in (coarse, fine):
        assert np.abs(made(x, y) - noise(x, y)).max() < 1.6 * made.error
    assert fine.error < coarse.error / 20


def test_vectors():
    u, v = np.random.default_rng(4).normal(size=(2, 6, 9))
    field = fields.from_arrays(u, v, (0, 0, 8, 5))
    assert field(3, 2) == pytest.approx((u[2, 3], v[2, 3]), abs=1e-4)
    with pytest.raises(InvalidValue, match="same shape"):
        fields.from_arrays(u, v[:-1], (0, 0, 8, 5))


@pytest.mark.parametrize(
    "values",
    [[1, 2, 3], [[1]], [[1, 2], [3]], [[1, 2], [3, float("nan")]], [["a", "b"], ["c", "d"]]],
)
def test_refuses_what_is_no_grid(values):
    with pytest.raises(
        InvalidValue, match=r"values must (be finite numbers|have shape|hold numbers)"
    ):
        fields.from_array(values, (0, 0, 1, 1))


def test_refuses_odd_extents_and_areas():
    with pytest.raises(InvalidValue, match="left < right"):
        fields.from_array([[1, 2], [3, 4]], (5, 0, 1, 1))
    with pytest.raises(InvalidValue, match="empty area"):
        fields.sampled(fields.ramp(), Polygon(), step=1)
    with pytest.raises(InvalidValue, match=r"step = 0\.001 makes .* take 0\.15 mm or more"):
        fields.sampled(fields.ramp(), box(0, 0, 1000, 1000), step=1e-3)


@pytest.mark.parametrize("extent", [box(0, 0, 1, 1), None, 5, "abcd", (0, 0, 1), {}, [[0] * 4]])
def test_an_extent_is_four_numbers(extent):
    with pytest.raises(InvalidValue, match=r"extent must be .*\(left, bottom, right, top\)"):
        fields.from_array([[1, 2], [3, 4]], extent)


def test_the_error_looks_at_the_last_row_of_cells_too():
    peak = fields.from_function(lambda x, y: np.exp(-20 * ((x - 9.5) ** 2 + (y - 9.5) ** 2)))
    assert fields.sampled(peak, box(0, 0, 10, 10), step=1).error > 0.5
