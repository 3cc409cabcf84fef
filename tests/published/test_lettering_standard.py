"""ISO 3098-0:1997, lettering: heights, strokes and distances.

The standard itself was not read. The series of heights, the strokes and the distances of type B
were taken from an encyclopaedic text that reports it (which edition was not written down); the
distances of type A are from memory. Both follow from one rule that can be checked by hand: type A
counts in fourteenths, type B in tenths of the height. Tolerance: as printed.
"""

from __future__ import annotations

import math
import warnings
from functools import partial

import numpy as np
import pytest

from plotlib import text
from plotlib.pen import Pen
from tests.outside import MEMORY, SECONDARY, published

known = partial(
    published,
    module="text",
    source="ISO 3098-0:1997 as an encyclopaedic text reports it",
    kind=SECONDARY,
)


_SERIES = [1.8, 2.5, 3.5, 5, 7, 10, 14, 20]


@known(printed=[1.8, 2.5, 3.5, 5, 7, 10, 14, 20])
def test_the_series_of_heights(printed):
    assert list(text.HEIGHTS) == printed == _SERIES


@known(abs=1e-6, claim="strokes are a tenth (B) and a fourteenth (A) of the height")
@pytest.mark.parametrize("height", _SERIES)
def test_strokes_are_a_tenth_and_a_fourteenth(height, within):
    assert text.practice(height, kind="B").stroke == within.of(height / 10)
    assert text.practice(height, kind="A").stroke == within.of(height / 14)


@known(column="stroke")
@pytest.mark.parametrize(
    ("height", "stroke"),
    [(1.8, 0.18), (2.5, 0.25), (3.5, 0.35), (5, 0.5), (7, 0.7), (10, 1.0), (14, 1.4), (20, 2.0)],
)
def test_type_b_strokes_are_the_series_of_line_widths(height, stroke):
    assert text.practice(height).stroke == stroke


@known(printed=[(7, 2, 6), (19, 15, 13)])
def test_type_b_distances_at_ten_millimetres(printed):
    figures = text.practice(10)
    assert (figures.small_letters, figures.letter_gap, figures.word_gap) == printed[0]
    assert (figures.leading_accented, figures.leading, figures.leading_capitals) == printed[1]


@known(source="ISO 3098-0:1997", kind=MEMORY, printed=[(10, 2, 6), (25, 21, 17)])
def test_type_a_distances_at_fourteen_millimetres(printed):
    figures = text.practice(14, kind="A")
    assert (figures.small_letters, figures.letter_gap, figures.word_gap) == printed[0]
    assert (figures.leading_accented, figures.leading, figures.leading_capitals) == printed[1]


@known(printed=15, abs=1e-9)
def test_inclined_lettering_leans_fifteen_degrees(within, printed):
    assert text.practice(5).slant == printed
    stem = text.lettering("I", height=10, slant=text.practice(10).slant)[0]
    run, rise = np.abs(stem[-1] - stem[0])
    assert math.degrees(math.atan2(run, rise)) == within.of(printed)


@known()
def test_a_height_between_two_of_the_series_takes_the_larger():
    assert text.practice(3.6).height == 5
    assert text.practice(3.5).height == 3.5


@known()
def test_a_pen_of_the_standard_width_fits_and_the_next_ones_do_not():
    for height in _SERIES:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            assert text.check_pen(height, Pen("b", width=height / 10))
            assert text.check_pen(height, Pen("a", width=height / 14))
        with pytest.warns(text.LetteringWarning, match="too wide"):
            assert not text.check_pen(height, Pen("wide", width=height / 10 * math.sqrt(2)))
        with pytest.warns(text.LetteringWarning, match="too fine"):
            assert not text.check_pen(height, Pen("fine", width=height / 14 / math.sqrt(2)))
