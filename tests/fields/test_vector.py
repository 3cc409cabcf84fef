import numpy as np
import pytest

from plotlib import fields

X, Y = np.random.default_rng(0).uniform(-40, 40, (2, 100))
SWIRL = fields.vortex((3, 4), speed=2, core=5)


def test_algebra():
    (u, v), (a, b) = SWIRL(X, Y), fields.uniform(30)(X, Y)
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
    assert fields.along(fields.constant(90))(1, 1) == pytest.approx((0, 1))
    grid = SWIRL(np.arange(4.0)[None, :], np.arange(3.0)[:, None])
    assert grid[0].shape == grid[1].shape == (3, 4)


def test_what_does_not_add():
    with pytest.raises(TypeError):
        SWIRL + 1
    with pytest.raises(TypeError):
        SWIRL * SWIRL
