"""Perlin noise against printed values.

K. Perlin, *Improving Noise*, SIGGRAPH 2002, and its reference program. The values at (3.14, 42, 7)
and (−4.20, 10, 6) are published test values of that program; the others were computed once from the
published formulae by a plain scalar program. Tolerance 1e−12 (the order of sums may differ).
"""

import hashlib

import numpy as np
import pytest

from plotlib.fields import lattice
from plotlib.fields.perlin import perlin

VALUES = [
    ((3.14, 42, 7), 0.13691995878400012),
    ((-4.20, 10, 6), 0.14208000000000043),
    ((0.5, 0.5, 0.5), -0.25),
    ((-0.5, -0.5, -0.5), -0.875),
    ((1.5, 2.5, 3.5), 0.125),
    ((0, 0.5, 0), -0.25),
    ((0, 0, 0.5), 0.5),
    ((0.1, 0.2, 0.3), 0.35122924878110723),
    ((10.25, -3.75, 0), 0.07688426971435547),
    ((12.34, 56.78, 0), -0.41035227340799985),
    ((100.7, 200.3, 50.9), 0.23824236393208822),
]


@pytest.mark.parametrize(("place", "value"), VALUES)
def test_published_values(place, value):
    x, y, z = place
    assert perlin(scale=1, height=z)(x, y) == pytest.approx(value, abs=1e-12)


def test_scale_is_the_size_of_a_cell_in_mm():
    assert perlin(scale=25, height=7)(3.14 * 25, 42 * 25) == pytest.approx(
        0.13691995878400012, abs=1e-12
    )


def test_nought_at_every_lattice_point():
    x, y = np.meshgrid(np.arange(-300, 300), np.arange(-20, 20))
    assert not perlin(scale=1)(x, y).any()


def test_permutation_is_the_printed_one():
    table = lattice.PUBLISHED
    assert table[:16].tolist() == [
        151,
        160,
        137,
        91,
        90,
        15,
        131,
        13,
        201,
        95,
        96,
        53,
        194,
        233,
        7,
        225,
    ]
    assert table[-8:].tolist() == [128, 195, 78, 66, 215, 61, 156, 180]
    assert sorted(table.tolist()) == list(range(256))
    assert hashlib.sha256(bytes(table.astype(np.uint8))).hexdigest().startswith("3682c3d0020436c4")


def test_fade_is_the_quintic():
    assert [lattice.fade(t) for t in (0.25, 0.5, 0.75)] == [0.103515625, 0.5, 0.896484375]


def test_bounds_of_the_gradient_set():
    """1 on a plane of lattice points, 1.0363538112 anywhere: the extremes of the gradient set,
    found by maximisation.
    """
    x, y = np.random.default_rng(1).uniform(0, 256, (2, 400_000))
    assert np.abs(perlin(scale=1)(x, y)).max() <= 1.0
    assert np.abs(perlin(scale=1, height=0.5)(x, y)).max() <= 1.0363538112


class TestPackage:
    """The package ``noise`` 1.2.2 has another table of gradients and counts in float32: a twin with
    its table must give its numbers.
    """

    # The sixteen directions of its gradient table, in the plane, read off its slopes at lattice
    # points.
    X = (1, -1, 1, -1, 1, -1, 1, -1, 0, 0, 0, 0, 1, -1, 0, 0)
    Y = (1, 1, -1, -1, 0, 0, 0, 0, 1, -1, 1, -1, 0, 0, -1, 1)
    TABLE = np.array([X, Y, np.zeros(16)], float).T

    def test_twin_gives_the_values_of_the_package(self):
        noise = pytest.importorskip("noise")
        layer = lattice.plane(lattice.PUBLISHED, self.TABLE, 0, 0.0, (256, 256))
        x, y = (
            np.random.default_rng(2)
            .uniform(-100, 100, (2, 5_000))
            .astype(np.float32)
            .astype(np.float64)
        )
        twin = lattice.noise((layer,), 0.0, x, y, slopes=False)[0]
        theirs = np.array([noise.pnoise2(a, b) for a, b in zip(x, y, strict=True)])
        np.testing.assert_allclose(
            twin, theirs, atol=2e-5
        )  # float32 keeps 8e-6 of a place near 100
        ours = perlin(scale=1)(x, y)
        assert (
            np.abs(ours - theirs) > 1e-3
        ).mean() > 0.5  # the published table differs in four of sixteen directions
