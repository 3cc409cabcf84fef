"""The single line: one stroke, short, and without a crossing by exact tests."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from plotlib import images
from plotlib.images.single_line import short_path
from plotlib.images.uncrossing import has_crossing, uncrossed
from tests.images.pictures import PEN, photograph
from tests.oracles_images import plain_crossings
from tests.outside import MEMORY, published

PLACES = st.lists(
    st.tuples(st.integers(0, 12), st.integers(0, 12)), min_size=3, max_size=14, unique=True
)


@given(PLACES)
@settings(max_examples=150, deadline=None)
def test_crossings_are_those_of_all_pairs(places):
    path = np.array(places, np.int64)
    assert has_crossing(path) == bool(plain_crossings(path))


@given(st.integers(0, 1_000_000))
@settings(max_examples=20, deadline=None)
def test_crossings_are_taken_out_and_places_stay(seed):
    random = np.random.default_rng(seed)
    path = np.unique(random.integers(0, 100_000, (60, 2)), axis=0)
    random.shuffle(path)
    free = uncrossed(path)
    assert not plain_crossings(free)
    assert sorted(map(tuple, free)) == sorted(map(tuple, path))


def test_three_on_a_line_make_room():
    path = np.array([[0, 0], [30, 0], [10, 0], [40, 0], [20, 0]])
    free = uncrossed(path)
    assert not plain_crossings(free)
    assert np.abs(np.sort(free, axis=0) - np.sort(path, axis=0)).max() <= 2


def test_a_picture_is_one_stroke_without_a_crossing():
    drawing = images.single_line(photograph("coffee", 30.0), effort=0.1, pen=PEN)
    assert len(drawing) == 1
    # shapely's test of simple lines is another program's exact one
    assert shapely.LineString(drawing.points).is_simple
    assert not has_crossing(np.rint(drawing.points * 1000).astype(np.int64))


@published(
    module="images",
    source="J. Beardwood, J. H. Halton, J. M. Hammersley, 1959",
    kind=MEMORY,
    printed=0.7124,
    rel=0.08,
    claim="a tour of n points, over sqrt(n A)",
)
def test_the_line_is_nearly_as_short_as_can_be(within, printed):
    # J. Beardwood, J. H. Halton, J. M. Hammersley 1959: a shortest tour through many random points
    # is 0.7124 sqrt(n A) long; of few it is longer, by some hundredths at 1,000 (the constant and
    # that it is approached from above are from memory)
    n = 1_000
    places = np.unique(np.random.default_rng(2).integers(0, 1_000_000, (n, 2)), axis=0)
    path = short_path(places, 0.3, 0)
    length = np.hypot(*np.diff(path, axis=0).T).sum()
    share = length / np.sqrt(n * 1e12)
    assert printed < share < printed * (1 + within.rel)


def test_as_many_points_as_asked():
    drawing = images.single_line(photograph("coins", 40.0), count=400, effort=0.01)
    assert abs(len(drawing.points) - 400) <= 4
