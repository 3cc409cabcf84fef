"""Error diffusion: the published weights, worked cases, and the kernel against exact fractions."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from plotlib.images.diffusing import WEIGHTS, diffused
from tests.oracles_images import plain_diffusion
from tests.outside import COMPUTED, MEMORY, published

QUARTER = np.full((4, 4), 0.25)
RAMP = np.arange(16).reshape(4, 4) / 15

# 4 x 4 pixels from left to right, full from 1/2 on, errors over the edge lost; worked out in exact
# fractions. Weights: Floyd & Steinberg 1976, Jarvis, Judice & Ninke 1976, and Atkinson's.
WORKED = [
    ("floyd-steinberg", QUARTER, "0000 0101 0000 0100"),
    ("floyd-steinberg", RAMP, "0000 0101 1011 1111"),
    ("jarvis-judice-ninke", QUARTER, "0000 0000 0100 0010"),
    ("jarvis-judice-ninke", RAMP, "0000 0010 1111 1111"),
    ("atkinson", QUARTER, "0000 0000 0010 0000"),
    ("atkinson", RAMP, "0000 0011 1111 1111"),
]


def text(full):
    return " ".join("".join(str(int(pixel)) for pixel in row) for row in full)


@published(
    module="images",
    source="Floyd, Steinberg 1976; Jarvis, Judice, Ninke 1976; Atkinson; in fractions",
    kind=COMPUTED,
    column="expected",
    claim="error diffusion of 4 x 4 pixels",
)
@pytest.mark.parametrize(("kind", "values", "expected"), WORKED)
def test_worked_cases(kind, values, expected):
    assert text(diffused(values, kind=kind, serpentine=False)) == expected


def test_a_serpentine_runs_back_in_odd_rows():
    assert text(diffused(QUARTER, serpentine=True)) == "0000 1010 0000 0010"


def test_the_first_row_before_its_thresholds():
    right = {(0, 1): Fraction(7, 16), (1, -1): Fraction(3, 16)}
    right |= {(1, 0): Fraction(5, 16), (1, 1): Fraction(1, 16)}
    _, rest = plain_diffusion(QUARTER, right, serpentine=False)
    expected = [Fraction(1, 4), Fraction(23, 64), Fraction(417, 1024), Fraction(7015, 16384)]
    assert rest[0] == expected


@published(
    module="images", source="weights of error diffusion", kind=MEMORY, column="total", abs=1e-15
)
@pytest.mark.parametrize(
    ("kind", "total"),
    [("floyd-steinberg", 1), ("jarvis-judice-ninke", 1), ("stucki", 1), ("atkinson", 0.75)],
)
def test_nothing_is_lost_between_pixels(kind, total, within):
    assert WEIGHTS[kind].sum() == within.of(total)


@pytest.mark.parametrize("serpentine", [False, True])
@pytest.mark.parametrize("kind", ["floyd-steinberg", "atkinson"])
def test_pixels_are_those_of_exact_fractions(kind, serpentine):
    # all numbers are multiples of a power of two, so that floats are exact as well
    values = np.random.default_rng(5).integers(0, 17, (6, 7)) / 16
    weights = {
        (down, across - 2): Fraction(WEIGHTS[kind][down, across])
        for down in range(3)
        for across in range(5)
        if WEIGHTS[kind][down, across]
    }
    full, _ = plain_diffusion(values, weights, serpentine)
    assert (diffused(values, kind=kind, serpentine=serpentine) == full).all()
