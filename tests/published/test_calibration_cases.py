"""Readings of calibration sheets: worked cases, each beside its source, and general libraries."""

from __future__ import annotations

import math
from functools import partial
from typing import Any

import numpy as np
import pytest

from plotlib import calibration
from tests.outside import COMPUTED, Within, published

known = partial(published, module="calibration", source="by hand", kind=COMPUTED)


# Plane geometry (cosine law: cos of the angle is (d1² - d2²) / 4wh), worked by hand.
CASES = [
    ((100, 100), (142.0, 140.8), 89.513897),
    ((200, 150), (250.6, 249.4), 89.713520),
    ((200, 100), (225.162378, 222.040321), 89.0),
]


@known(source="law of cosines, by hand: (d1^2 - d2^2) / 4wh", column="angle", abs=2e-6)
@pytest.mark.parametrize(("size", "diagonals", "angle"), CASES)
def test_the_angle_between_the_sides(
    size: tuple[float, float], diagonals: tuple[float, float], angle: float, within: Within
) -> None:
    width, height = size
    rising, falling = diagonals
    sides = {"measured_width": width, "measured_height": height}
    made = calibration.from_frame(width, height, **sides, rising=rising, falling=falling)
    assert 90 - made.skew == within.of(angle)


@known(source="Euclid, a corollary of II 12 and II 13", printed=200**2 + 100**2, abs=1e-3)
def test_the_parallelogram_law_holds_for_an_exact_frame(within: Within, printed: Any) -> None:
    """The squares of both diagonals are twice those of both sides (Euclid, a corollary of II 12
    and II 13): the third case is 200 x 100 at 89 degrees.
    """
    _, (rising, falling), _ = CASES[2]
    assert (rising**2 + falling**2) / 2 == within.of(printed)


@known(source="by hand, d / 2wh", printed=0.0405, abs=2e-4)
def test_a_tenth_on_a_diagonal_is_worth_four_hundredths_of_a_degree(
    within: Within, printed: Any
) -> None:
    """Of a square of 100 mm, whose diagonals are 141.42 mm; by hand, the derivative is d / 2wh."""
    sides = {"measured_width": 100, "measured_height": 100}
    whole = math.hypot(100, 100)
    made = calibration.from_frame(100, 100, **sides, rising=whole + 0.1, falling=whole)
    assert made.skew == within.of(printed)


@known(
    source="by hand, and numpy's QR decomposition",
    printed={"across": 1.010001980, "up": 0.995007950, "lean": 0.003044897, "turn": -0.113457},
    abs=1e-9,
)
def test_an_affine_map_of_four_marks_is_found_exactly(within: Within, printed: Any) -> None:
    """Worked by hand, and by numpy's QR decomposition of the map [1.01 0.005; -0.002 0.995]."""
    wanted = np.array([(10, 10), (190, 10), (190, 140), (10, 140)])
    linear = np.array([[1.01, 0.005], [-0.002, 0.995]])
    measured = wanted @ linear.T + [0.3, -0.2]
    fit = calibration.from_marks(wanted, measured)
    lean = math.radians(fit.corrections.skew)
    across = fit.corrections.scale_x
    up = fit.corrections.scale_y * math.cos(lean)
    assert across == within.of(printed["across"])
    assert up == within.of(printed["up"])
    assert math.tan(lean) == pytest.approx(printed["lean"], abs=1e-8)
    assert fit.turn == pytest.approx(printed["turn"], abs=1e-6)
    assert fit.shift == pytest.approx((0.3, -0.2), abs=1e-9)
    assert fit.residual == pytest.approx(0, abs=1e-9)
    triangle = np.abs(np.linalg.qr(linear)[1])
    assert np.abs(np.array(fit.corrections.matrix)) == pytest.approx(triangle, abs=1e-12)


@known(printed=0.1, abs=1e-9)
def test_errors_that_cancel_leave_the_map_and_stand_in_the_residual(
    within: Within, printed: Any
) -> None:
    """+0.1, -0.1, +0.1, -0.1 mm in x at the corners of a rectangle, worked by hand."""
    wanted = np.array([(10, 10), (190, 10), (190, 140), (10, 140)])
    pushed = wanted + np.array([[0.1, 0], [-0.1, 0], [0.1, 0], [-0.1, 0]])
    fit = calibration.from_marks(wanted, pushed)
    assert fit.corrections.scale_x == pytest.approx(1, abs=1e-12)
    assert fit.residual == within.of(printed)
