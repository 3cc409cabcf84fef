"""What every maker that claims tone must do: photographs, greys, a ramp, odd pictures."""

from __future__ import annotations

import inspect

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plotlib import images
from plotlib.drawing import Drawing
from plotlib.pen import Pen
from tests.images.pictures import GREYS, NAMES, PEN, grey, photograph, ramp, steps_of

# Least correlation and greatest RMSE at a blur of 2 mm.
FINE = (0.97, 0.06)
FAIR = (0.92, 0.10)
MAKERS = {
    "stipple": FINE,
    "tonal_hatch": FINE,
    "modulated_lines": FINE,
    "cells": FAIR,
    "dithered": FAIR,
    "flow_strokes": FAIR,
    "halftone": FAIR,
    "modulated_spiral": FAIR,
    "scribbled": FAIR,
    "single_line": FAIR,
    "tone_bands": FAIR,
}
NAMED = sorted(MAKERS)
# Less work for what takes long: the thicker the pen, the fewer points.
SLOW = {"single_line": {"effort": 0.05, "pen": Pen("thick", width=0.8)}}


def drawn(name, tone, **options):
    return getattr(images, name)(tone, **{"pen": PEN, **SLOW.get(name, {}), **options})


@pytest.mark.parametrize("name", NAMED)
@pytest.mark.parametrize("photo", NAMES)
def test_a_photograph_has_its_tones(name, photo):
    tone = photograph(photo, 60.0)
    judged = images.judge(drawn(name, tone), tone)
    least, most = MAKERS[name]
    assert judged.correlation >= least
    assert judged.rmse <= most


@pytest.mark.parametrize("name", NAMED)
@pytest.mark.parametrize("coverage", GREYS)
def test_a_grey_is_met(name, coverage):
    tone = grey(coverage)
    assert abs(images.judge(drawn(name, tone), tone).bias) <= 0.02


@pytest.mark.parametrize("name", NAMED)
def test_a_ramp_rises(name):
    tone = ramp()
    steps = steps_of(drawn(name, tone), tone)
    assert (np.diff(steps) > -0.01).all()
    assert steps[0] < 0.12
    assert steps[-1] > 0.88


@pytest.mark.parametrize("name", NAMED)
def test_white_stays_white(name):
    assert len(drawn(name, images.Tone([[1.0]], (0, 0, 30, 20)))) == 0
    half = images.Tone([[1.0] * 30 + [0.4] * 30], (0, 0, 60, 20))
    bounds = drawn(name, half).bounds
    assert bounds is not None
    assert bounds[0] >= 29.0


@pytest.mark.parametrize("name", NAMED)
@pytest.mark.parametrize(
    "values",
    [[[0.0]], [[0.5]], [[0.3, 0.9, 0.1, 0.6]], [[0.2], [0.8]], np.zeros((5, 5))],
    ids=["black", "one pixel", "one row", "one column", "all black"],
)
def test_odd_pictures_are_drawn_inside_their_rectangle(name, values):
    tone = images.Tone(values, (5.0, -3.0, 21.0, 8.0))
    drawing = drawn(name, tone)
    assert len(drawing)
    left, bottom, right, top = drawing.bounds
    assert left >= 5.0 - 1e-9
    assert bottom >= -3.0 - 1e-9
    assert right <= 21.0 + 1e-9
    assert top <= 8.0 + 1e-9


@pytest.mark.parametrize("name", NAMED)
def test_rectangles_thinner_than_the_pen_are_no_trouble(name):
    for extent in ((0, 0, 30, 0.1), (0, 0, 0.1, 30), (0, 0, 0.05, 0.05)):
        drawing = drawn(name, images.Tone([[0.4]], extent))
        assert isinstance(drawing, Drawing)


@pytest.mark.parametrize("name", NAMED)
@given(
    values=st.lists(st.lists(st.floats(0, 1), min_size=3, max_size=3), min_size=1, max_size=4),
    seed=st.integers(0, 5),
)
@settings(max_examples=12, deadline=None)
def test_the_same_seed_gives_the_same_bytes_inside_the_rectangle(name, values, seed):
    tone = images.Tone(values, (2.0, 3.0, 12.0, 10.0))
    takes_seed = "seed" in inspect.signature(getattr(images, name)).parameters
    options = {"seed": seed} if takes_seed else {}
    one = drawn(name, tone, **options)
    two = drawn(name, tone, **options)
    assert one == two
    assert one.points.tobytes() == two.points.tobytes()
    if len(one):
        left, bottom, right, top = one.bounds
        assert min(left - 2.0, bottom - 3.0) >= -1e-9
        assert max(right - 12.0, top - 10.0) <= 1e-9
