"""Maps that keep angles, against circles in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plotlib import Drawing, shapes, symmetry
from plotlib.errors import InvalidValue


@pytest.mark.parametrize(("middle", "radius"), [((20, 0), 5), ((0, 9), 3), ((7, -8), 4)])
def test_inversion_turns_circles_into_circles(middle: tuple[float, float], radius: float) -> None:
    """The image of a circle at distance d: middle scaled by k / (d² - r²), radius r k / |d² - r²|,
    k the square of the inverting radius (H. S. M. Coxeter, *Introduction to Geometry*, from
    memory).
    """
    k = 12.0**2
    image = symmetry.inversion(shapes.circle(middle, radius, tolerance=1e-4), (0, 0), 12)
    share = k / (middle[0] ** 2 + middle[1] ** 2 - radius**2)
    away = np.hypot(*(image.points - share * np.array(middle)).T)
    assert np.abs(away - abs(share) * radius).max() < 0.03


def test_inversion_twice_is_nothing() -> None:
    hatch = Drawing([[(5, y), (25, y)] for y in range(-10, 11, 2)])
    once = symmetry.inversion(hatch, (0, 3), 15, tolerance=1e-4)
    twice = symmetry.inversion(once, (0, 3), 15, tolerance=1e-4)
    assert len(once.points) > 2 * len(hatch)
    assert np.abs(np.subtract(twice.bounds, hatch.bounds)).max() < 1e-3


@settings(max_examples=30, deadline=None)
@given(st.complex_numbers(max_magnitude=3), st.floats(-3, 3))
def test_mobius_maps_keep_cross_ratios(shift: complex, turn: float) -> None:
    """The cross ratio of four points is what every Möbius map keeps (its defining invariant)."""
    spots = np.array([2 + 1j, -1 + 3j, 4 - 2j, -3 - 3j])
    a, b, c, d = np.exp(1j * turn), shift, 0.05, 2.0
    if abs(a * d - b * c) < 0.1:
        return
    drawing = Drawing([[(z.real, z.imag)] for z in spots])
    image = symmetry.mobius(drawing, a, b, c, d).points
    w = image[:, 0] + 1j * image[:, 1]

    def ratio(z: np.ndarray) -> complex:
        return (z[0] - z[2]) * (z[1] - z[3]) / ((z[1] - z[2]) * (z[0] - z[3]))

    assert ratio(w) == pytest.approx(ratio(spots), rel=1e-6)


def test_conformal_maps_keep_angles() -> None:
    """The images of crossing lines under z² cross at right angles."""
    corner = Drawing([[(3, 2), (4, 2)], [(3, 2), (3, 3)]])
    image = symmetry.conformal(corner, lambda z: z**2, tolerance=1e-4)
    starts = [image.points[k + 1] - image.points[k] for k in image.offsets[:2]]
    cosine = starts[0] @ starts[1] / np.hypot(*starts[0]) / np.hypot(*starts[1])
    assert abs(cosine) < 0.02


def test_refusals() -> None:
    line = Drawing([[(-5, 0), (5, 0)]])
    with pytest.raises(InvalidValue, match=r"stroke 0 runs through \(0, 0\)") as told:
        symmetry.inversion(line, (0, 0), 5)
    assert "erased" in str(told.value)
    with pytest.raises(InvalidValue, match="one point"):
        symmetry.mobius(line, 1, 2, 2, 4)
    with pytest.raises(InvalidValue, match="complex"):
        symmetry.mobius(line, "x", 2, 2, 4)
    with pytest.raises(InvalidValue, match="must be a Drawing"):
        symmetry.conformal([[0, 0]], np.exp)
    with pytest.raises(InvalidValue):
        symmetry.conformal(line, lambda z: z / 0 * np.nan)
