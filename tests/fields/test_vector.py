import numpy as np
import pytest
from shapely import box

from plotlib import fields
from plotlib.errors import InvalidValue

X, Y = np.random.default_rng(0).uniform(-40, 40, (2, 100))
SWIRL = fields.vortex((3, 4), speed=2, core=5)


def test_algebra():
    (u, v) = SWIRL(X, Y)
    (a, b) = fields.uniform(30)(X, Y)
    for made, wanted in [
        (SWIRL + fields.uniform(30), (u + a, v + b)),
        (SWIRL - fields.uniform(30), (u - a, v - b)),
        (2 * SWIRL, (2 * u, 2 * v)),
        (-SWIRL, (-u, -v)),
        (SWIRL * fields.ramp(), (u * X, v * X)),
        (fields.ramp() * SWIRL, (u * X, v * X)),
        (SWIRL.turned(90), (-v, u)),
        (sum([SWIRL, SWIRL]), (2 * u, 2 * v)),
    ]:
        np.testing.assert_allclose(made(X, Y), wanted, atol=1e-12)


def test_unit_keeps_directions_and_nought():
    u, v = SWIRL.unit()(X, Y)
    np.testing.assert_allclose(np.hypot(u, v), 1)
    assert SWIRL.unit()(3, 4) == (0, 0)


def test_formulas():
    assert SWIRL(8, 4) == pytest.approx((0, 2))
    assert fields.source((0, 0), speed=-1, core=4)(0, 4) == pytest.approx((0, -1))
    assert fields.saddle((0, 0), angle=90)(2, 3) == pytest.approx((-2, 3))
    assert fields.attractors([(0, 0), (10, 0)])(5, 3)[1] < 0
    assert fields.heading(fields.constant(90))(1, 1) == pytest.approx((0, 1))
    grid = SWIRL(np.arange(4.0)[None, :], np.arange(3.0)[:, None])
    assert grid[0].shape == grid[1].shape == (3, 4)


@pytest.mark.parametrize(
    "make",
    [
        lambda field: fields.streamlines(field, box(0, 0, 9, 9), spacing=1),
        lambda field: fields.streamline(field, (1, 1), box(0, 0, 9, 9)),
        lambda field: fields.particles(field, box(0, 0, 9, 9), count=1, duration=1, lag=1),
        lambda field: fields.around(field, box(0, 0, 9, 9), within=1),
    ],
)
def test_makers_say_what_they_need(make):
    with pytest.raises(
        InvalidValue,
        match=r"field must be a vector field, got ScalarField; a scalar field gives one by "
        r"\.gradient",
    ):
        make(fields.perlin(scale=5))


def test_functions_that_give_the_wrong_shape():
    with pytest.raises(InvalidValue, match=r"must give numbers of shape \(3,\)"):
        fields.from_function(lambda x, y: [1, 2])(np.zeros(3), 0)
    with pytest.raises(InvalidValue, match="must give numbers"):
        fields.flow(lambda x, y: ("a", "b"))(0, 0)


def test_what_does_not_add():
    with pytest.raises(TypeError):
        SWIRL + 1
    with pytest.raises(TypeError):
        SWIRL * SWIRL


@pytest.mark.parametrize(
    "function", [lambda x, y: x, lambda x, y: (x, y, x), lambda x, y: None, lambda x, y: 3]
)
def test_a_flow_has_two_parts(function):
    with pytest.raises(InvalidValue, match="two parts, along x and along y"):
        fields.flow(function)(1, 2)
    with pytest.raises(InvalidValue, match="two parts, along x and along y"):
        fields.streamlines(fields.flow(function), box(0, 0, 20, 20), spacing=2)


def test_fields_say_what_made_them():
    ground = fields.perlin(scale=10)
    assert repr(ground) == "<ScalarField: perlin>"
    assert repr(fields.distance(box(0, 0, 1, 1))) == "<ScalarField: distance>"
    assert repr(ground.gradient()) == "<VectorField: gradient>"
    assert repr(fields.VectorField(np.meshgrid)) == "<VectorField: meshgrid>"
    close = fields.sampled(ground, box(0, 0, 9, 9), step=1)
    assert repr(close) == f"<ScalarField: spline, error {close.error:.2g}>"
