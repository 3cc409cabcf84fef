"""The tone is a field with exact slopes, and its changes do what they say."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plotlib import fields, images
from plotlib.errors import InvalidValue

EXTENT = (0.0, 0.0, 40.0, 20.0)
SOME = np.random.default_rng(3).random((5, 8))


def test_it_has_the_pixels_numbers_in_their_middles():
    tone = images.Tone(SOME, EXTENT)
    x = (np.arange(8) + 0.5) * 5
    y = (np.arange(5) + 0.5) * 4
    assert tone(x[None, :], y[:, None]) == pytest.approx(SOME, abs=1e-12)


@given(st.floats(-5, 45), st.floats(-5, 25))
def test_slopes_are_those_of_small_differences(x, y):
    tone = images.Tone(SOME, EXTENT)
    h = 1e-6
    cells = np.array([(x / 5 - 0.5) % 1, (y / 4 - 0.5) % 1])
    if (np.abs(cells - np.rint(cells)) < 1e-3).any():
        return  # a kink, where slopes are one-sided
    along = (tone(x + h, y) - tone(x - h, y)) / (2 * h)
    up = (tone(x, y + h) - tone(x, y - h)) / (2 * h)
    assert tone.slopes(x, y) == pytest.approx((along, up), abs=1e-6)


def test_it_goes_where_fields_go():
    tone = images.Tone(np.linspace(0, 1, 50)[None, :], EXTENT)
    lines = fields.isolines(tone, tone.area, levels=[0.5])
    assert lines.points[:, 0] == pytest.approx(20.0, abs=0.02)
    assert (1 - tone)(10, 10) == pytest.approx(1 - tone(10, 10))


def test_a_blur_keeps_the_mean_and_evens_out():
    tone = images.Tone(SOME, EXTENT)
    soft = tone.blurred(8)
    assert soft.values.mean() == pytest.approx(SOME.mean(), abs=0.02)
    assert soft.values.std() < 0.5 * SOME.std()
    assert tone.blurred(0).values == pytest.approx(SOME)
    assert tone.blurred(1e7).values.std() < 1e-3


def test_a_stretch_reaches_black_and_white():
    tone = images.Tone(0.3 + 0.2 * SOME, EXTENT).stretched(0, 100)
    assert tone.values.min() == 0
    assert tone.values.max() == 1


@pytest.mark.parametrize(
    "values",
    [[[np.nan]], [[0.2, np.inf]], [[1.5]], [[-0.1]], [], [[]], [0.5], "a", [[None]], [["a"]]],
)
def test_numbers_that_are_no_tone_are_refused(values):
    with pytest.raises(InvalidValue):
        images.Tone(values, EXTENT)


def test_nobody_can_write_into_a_tone():
    given_values = SOME.copy()
    tone = images.Tone(given_values, EXTENT)
    given_values[:] = 0
    assert tone.values == pytest.approx(SOME)
    with pytest.raises(ValueError, match="read-only"):
        tone.values[0, 0] = 0.5
