"""The ink model against printed values, and geometry of lines and dots."""

from __future__ import annotations

import math

import numpy as np
import pytest

from plotlib import images
from plotlib.errors import InvalidValue

# Yule-Nielsen with paper 0.85 and ink 0.05, computed independently from the formula: reflectance
# of covered shares 1/4, 1/2 and 3/4 for each n.
REFLECTANCE = {
    1.0: (0.65, 0.45, 0.25),
    1.5: (0.594365525, 0.371218361, 0.186237026),
    2.0: (0.558558230, 0.328077641, 0.158558230),
    4.0: (0.493985503, 0.263591821, 0.125080488),
}


@pytest.mark.parametrize(("n", "expected"), REFLECTANCE.items())
def test_reflectance_is_that_of_the_formula(n, expected):
    ink = images.InkModel(white=0.85, black=0.05, n=n)
    seen = 0.05 + 0.8 * np.asarray(ink.tone([0.25, 0.5, 0.75]))
    assert seen == pytest.approx(expected, abs=1e-9)
    assert ink.coverage(ink.tone([0.1, 0.6])) == pytest.approx([0.1, 0.6], abs=1e-12)


def test_coverage_inverts_it():
    tone = (0.4 - 0.05) / 0.8
    for n, share in ((1.0, 0.5625), (1.5, 0.465382541), (2.0, 0.414548419)):
        assert images.InkModel(white=0.85, black=0.05, n=n).coverage(tone) == pytest.approx(share)


def test_large_n_goes_to_the_geometric_mean():
    ink = images.InkModel(white=0.85, black=0.05, n=100)
    assert 0.05 + 0.8 * ink.tone(0.5) == pytest.approx(math.sqrt(0.85 * 0.05), rel=0.02)


def test_lines_and_dots_cover_what_they_should():
    ink = images.InkModel()
    assert ink.line_spacing(1 - 0.578125, 0.5, directions=3) == pytest.approx(2.0)
    assert ink.line_spacing(1.0, 0.5) == math.inf
    assert ink.dot_density(0.0, 0.5) == math.inf
    assert ink.dot_density(math.exp(-1), 1.0) == pytest.approx(1 / math.pi)
    # one stroke through n random points on an area A is 0.7124 sqrt(n A) long
    assert ink.tour_density(0.7, 0.5) == pytest.approx(0.70934, abs=5e-6)


def test_a_measured_ramp_is_followed():
    ink = images.InkModel.measured([0, 0.25, 0.5, 1], [0.8, 0.5, 0.3, 0.1])
    assert ink.coverage((0.5 - 0.1) / 0.7) == pytest.approx(0.25)
    assert ink.tone(0.75) == pytest.approx((0.2 - 0.1) / 0.7)
    assert ink.coverage([0.0, 1.0]) == pytest.approx([1.0, 0.0])


@pytest.mark.parametrize(
    ("coverage", "reflectance"),
    [
        ([0, 0.5, 1], [0.8, 0.9, 0.1]),
        ([0, 0.5], [0.8, 0.1]),
        ([0.1, 1], [0.8, 0.1]),
        ([0, 0.5, 0.4, 1], [0.8, 0.6, 0.5, 0.1]),
        ([0, 1], [0.8]),
        ([], []),
        ([0, 1], [1.2, 0.1]),
    ],
)
def test_a_ramp_measured_wrongly_is_refused(coverage, reflectance):
    with pytest.raises(InvalidValue):
        images.InkModel.measured(coverage, reflectance)


def test_a_drawing_by_a_measured_ramp_looks_right():
    gain = images.InkModel.measured([0, 0.25, 0.5, 0.75, 1], [0.9, 0.55, 0.32, 0.17, 0.08])
    tone = images.Tone([[0.4]], (0, 0, 40, 40))
    drawing = images.tonal_hatch(tone, ink=gain)
    assert abs(images.judge(drawing, tone, ink=gain).bias) < 0.02
    assert images.judge(drawing, tone).bias > 0.1
