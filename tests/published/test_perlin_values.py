"""Perlin noise against printed values.

K. Perlin, *Improving Noise*, SIGGRAPH 2002, and its reference program. The values at (3.14, 42, 7)
and (−4.20, 10, 6) are published test values of that program; the others were computed once from the
published formulae by a plain scalar program. Tolerance 1e−12 (the order of sums may differ).
"""

import hashlib
from functools import partial

import numpy as np
import pytest

from plotlib.fields import lattice
from plotlib.fields.perlin import perlin
from tests.outside import COMPUTED, LIBRARY, READ, published

known = partial(
    published,
    module="fields",
    source="K. Perlin, Improving Noise, SIGGRAPH 2002, and its reference program",
    kind=READ,
)


FIRST = [151, 160, 137, 91, 90, 15, 131, 13, 201, 95, 96, 53, 194, 233, 7, 225]
LAST = [128, 195, 78, 66, 215, 61, 156, 180]
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


@known(
    column="value",
    abs=1e-12,
    claim="values of Perlin noise: two are printed, nine computed from the formulae",
)
@pytest.mark.parametrize(("place", "value"), VALUES)
def test_published_values(place, value, within):
    x, y, z = place
    assert perlin(scale=1, height=z)(x, y) == within.of(value)


@known(printed=0.13691995878400012, abs=1e-12)
def test_scale_is_the_size_of_a_cell_in_mm(within, printed):
    assert perlin(scale=25, height=7)(3.14 * 25, 42 * 25) == within.of(printed)


@known()
def test_nought_at_every_lattice_point():
    x, y = np.meshgrid(np.arange(-300, 300), np.arange(-20, 20))
    assert not perlin(scale=1)(x, y).any()


@known(printed={"first": FIRST, "last": LAST})
def test_permutation_is_the_printed_one(printed):
    table = lattice.PUBLISHED
    assert table[:16].tolist() == printed["first"]
    assert table[-8:].tolist() == printed["last"]
    assert sorted(table.tolist()) == list(range(256))
    assert hashlib.sha256(bytes(table.astype(np.uint8))).hexdigest().startswith("3682c3d0020436c4")


@known(printed=[0.103515625, 0.5, 0.896484375])
def test_fade_is_the_quintic(printed):
    assert [lattice.fade(t) for t in (0.25, 0.5, 0.75)] == printed


@known(kind=COMPUTED, source="maximisation over the gradient set", printed=(1.0, 1.0363538112))
def test_bounds_of_the_gradient_set(printed):
    """1 on a plane of lattice points, 1.0363538112 anywhere: the extremes of the gradient set,
    found by maximisation.
    """
    x, y = np.random.default_rng(1).uniform(0, 256, (2, 400_000))
    assert np.abs(perlin(scale=1)(x, y)).max() <= printed[0]
    assert np.abs(perlin(scale=1, height=0.5)(x, y)).max() <= printed[1]


class TestPackage:
    """The package ``noise`` 1.2.2 has another table of gradients and counts in float32: a twin with
    its table must give its numbers.
    """

    # The sixteen directions of its gradient table, in the plane, read off its slopes at lattice
    # points.
    X = (1, -1, 1, -1, 1, -1, 1, -1, 0, 0, 0, 0, 1, -1, 0, 0)
    Y = (1, 1, -1, -1, 0, 0, 0, 0, 1, -1, 1, -1, 0, 0, -1, 1)
    TABLE = np.array([X, Y, np.zeros(16)], float).T

    @known(source="noise 1.2.2", kind=LIBRARY, against="noise", abs=2e-5)
    def test_twin_gives_the_values_of_the_package(self, within):
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
            twin, theirs, atol=within.abs
        )  # float32 keeps 8e-6 of a place near 100
        ours = perlin(scale=1)(x, y)
        assert (
            np.abs(ours - theirs) > 1e-3
        ).mean() > 0.5  # the published table differs in four of sixteen directions
