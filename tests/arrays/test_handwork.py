"""Strokes as a hand would draw them: bounded, closed where they were, the same each time."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import BSpline

from plotlib import shapes
from plotlib.arrays.handwork import _spline, wobbled
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from tests.outside import LIBRARY, Within, published

LINE = Drawing([[(0, 0), (40, 0), (100, 0)]])


@settings(max_examples=25, deadline=None)
@given(
    amplitude=st.floats(0, 3),
    wavelength=st.floats(0.5, 40),
    overshoot=st.sampled_from([0.0, 0.4]),
    seed=st.integers(0, 99),
)
def test_no_point_leaves_its_stroke_by_more_than_is_said(
    amplitude: float, wavelength: float, overshoot: float, seed: int
) -> None:
    drawing = LINE + shapes.rectangle((3, 4), 20, 9) + shapes.circle((50, 20), 15)
    drawn = drawing.by_hand(
        amplitude=amplitude, wavelength=wavelength, overshoot=overshoot, seed=seed
    )
    assert len(drawn) == 3
    assert (drawn.is_closed == drawing.is_closed).all()
    for one, other in zip(drawing, drawn, strict=True):
        far = shapely.distance(shapely.linestrings(one), shapely.points(other))
        assert far.max() <= amplitude + overshoot + 1e-9


@published(
    module="arrays",
    source="BSpline, uniform knots, degree 3",
    kind=LIBRARY,
    against="scipy",
    abs=1e-12,
    claim="the wobble of a hand is a cubic B-spline",
)
def test_the_wobble_is_a_cubic_b_spline(within: Within) -> None:
    """Against scipy's B-splines: uniform knots, degree 3."""
    values = np.random.default_rng(5).uniform(-1, 1, (2, 12))
    at = np.linspace(0, 9, 50)
    knots = np.arange(-3, 13)
    expected = BSpline(knots, values.T, 3)(at).T
    assert _spline(values, at, False) == within.of(expected)


def test_a_ring_has_no_seam() -> None:
    ring = shapes.circle((0, 0), 20).by_hand(amplitude=1, wavelength=6, seed=3)[0]
    around = np.concatenate([ring[:-1], ring[:3]])
    ways = np.diff(around, axis=0)
    angle = np.unwrap(np.arctan2(ways[:, 1], ways[:, 0]))
    turns = np.abs(np.diff(angle))
    assert turns[-3:].max() <= turns[:-3].max() * 1.5


def test_the_wobble_is_true_to_arc_length() -> None:
    """Points of a stroke that lie closer in one half do not make that half waver more quickly."""
    even = LINE.by_hand(amplitude=1, seed=4)
    crowded = Drawing([np.column_stack([np.append(np.linspace(0, 40, 300), 100), np.zeros(301)])])
    other = crowded.by_hand(amplitude=1, seed=4)
    far = shapely.distance(shapely.linestrings(other[0]), shapely.points(even[0]))
    assert far.max() < 0.02


def test_waves_are_no_shorter_than_asked_for() -> None:
    drawn = LINE.by_hand(amplitude=1, wavelength=10, seed=2)[0]
    rows = np.interp(np.linspace(5, 95, 2_000), drawn[:, 0], drawn[:, 1])
    turns = int((np.diff(np.sign(np.diff(rows))) != 0).sum())
    assert turns <= 2 * 90 / 10 + 2


def test_the_hand_runs_on_at_corners_and_ends() -> None:
    bent = Drawing([[(0, 0), (10, 0), (10, 8)]]).by_hand(amplitude=0, overshoot=0.5)
    assert bent.bounds == pytest.approx((-0.5, 0.0, 10.5, 8.5))
    assert bent.length == pytest.approx(18 + 4 * 0.5)
    gentle = Drawing([[(0, 0), (10, 0), (20, 5)]]).by_hand(amplitude=0, overshoot=0.5)
    assert gentle.length == pytest.approx(10 + np.hypot(10, 5) + 1)


def test_seeds_differ_and_one_seed_is_one_hand() -> None:
    assert LINE.by_hand(seed=1) == LINE.by_hand(seed=1)
    assert LINE.by_hand(seed=1) != LINE.by_hand(seed=2)


def test_dots_and_nothing_stay() -> None:
    dot = Drawing([[(3, 4)]])
    assert dot.by_hand(amplitude=5) == dot
    assert len(Drawing().by_hand()) == 0
    twice = Drawing([[(3, 4), (3, 4)]])
    assert twice.by_hand(amplitude=5, overshoot=1) == twice


def test_a_hand_far_too_nervous_is_refused() -> None:
    with pytest.raises(InvalidValue, match="wavelength"):
        LINE.by_hand(wavelength=1e-9)


@pytest.mark.parametrize("is_closed", [False, True])
@pytest.mark.parametrize("wavelength", [10, 100])
def test_a_stroke_is_moved_by_a_spline_of_random_numbers(
    is_closed: bool, wavelength: float
) -> None:
    """Against scipy's B-splines and numpy's linear interpolation: numbers from -1 to 1 every half
    wavelength, four at least, and points every eighth of one and at each corner.
    """
    stroke = np.array([(0, 0), (20, 0), (20, 15), (0, 0)], float)[: 4 if is_closed else 3]
    if not is_closed:
        stroke[2] = (20, 30)
    long = 60.0 if is_closed else 50.0
    knots = max(round(long / (wavelength / 2)), 4)
    made, offsets = wobbled(
        stroke,
        np.array([0, len(stroke)]),
        np.random.default_rng(5),
        amplitude=2.0,
        wavelength=wavelength,
        overshoot=0.0,
    )
    corners = [0, 20, 35, 60] if is_closed else [0, 20, 50]
    even = np.linspace(0, long, int(np.ceil(long / (wavelength / 8))) + 1)
    places = np.union1d(even, corners)
    random = np.random.default_rng(5)
    values = random.uniform(-1, 1, (2, knots if is_closed else knots + 3))
    if is_closed:
        values = np.hstack([values, values[:, :3]])
    wobble = BSpline(np.arange(-3, knots + 4), values.T, 3)(places / long * knots)
    path = np.column_stack([np.interp(places, corners, stroke[:, axis]) for axis in (0, 1)])
    assert offsets.tolist() == [0, len(places)]
    assert made == pytest.approx(path + 2 * np.sqrt(0.5) * wobble, abs=1e-9)


def test_the_hand_runs_on_by_half_a_side_at_most() -> None:
    """Corners of 90 degrees and sides of 4, 1 and 6 mm: 0.5 mm beyond both ends of the short one,
    where 2 were asked for, and 2 beyond the free ends.
    """
    drawn = Drawing([[(0, 0), (4, 0), (4, 0), (4, 1), (10, 1)]]).by_hand(amplitude=0, overshoot=2)
    expected = [(-2, 0), (4, 0), (4.5, 0), (4, 0), (4, 1), (4, 1.5), (4, 1), (10, 1), (12, 1)]
    at = [int(np.hypot(*(drawn[0] - place).T).argmin()) for place in expected]
    assert drawn[0][at] == pytest.approx(np.array(expected))
    assert drawn.length == pytest.approx(2 + 4 + 1 + 1 + 1 + 6 + 2)
    ring = Drawing([[(0, 0), (8, 0), (8, 8), (0, 0)]]).by_hand(amplitude=0, overshoot=1)
    assert ring.bounds == pytest.approx((0, 0, 9, 9))
    assert ring.is_closed.all()


def test_a_stroke_without_length_stays() -> None:
    same = Drawing([[(3, 3), (3, 3)], [(1, 1), (2, 2)]])
    drawn = same.by_hand(amplitude=1, overshoot=1)
    assert drawn[0].tolist() == [[3, 3], [3, 3]]
    assert len(drawn[1]) > 2


def test_a_stroke_that_begins_twice_at_one_place_is_drawn() -> None:
    twice = Drawing([[(3, 3), (3, 3), (3, 9)]]).by_hand(amplitude=1, wavelength=2, seed=1)
    assert len(twice[0]) > 20


def test_the_hand_stops_short_of_a_long_overshoot_at_both_ends() -> None:
    """Sides of 4 and 6 mm: 2 mm before the one and 3 beyond the other, where 5 were asked for; a
    turn of 39 degrees is no corner, one of 41 is.
    """
    for turn, corners in ((39, 0), (41, 1), (-41, 1)):
        way = np.radians(turn)
        end = (4 + 6 * np.cos(way), 6 * np.sin(way))
        drawn = Drawing([[(0, 0), (4, 0), end]]).by_hand(amplitude=0, overshoot=5)
        assert drawn[0][0] == pytest.approx((-2, 0))
        assert drawn[0][-1] == pytest.approx((4 + 9 * np.cos(way), 9 * np.sin(way)))
        assert drawn.length == pytest.approx(2 + 4 + 6 + 3 + corners * 2 * 2)


def test_a_hand_is_refused_above_so_many_points(monkeypatch: pytest.MonkeyPatch) -> None:
    """100 mm of line are 80 points of an eighth of 10 mm."""
    monkeypatch.setattr("plotlib.arrays.handwork._MOST", 80)
    LINE.by_hand(wavelength=10)
    with pytest.raises(InvalidValue, match="wavelength"):
        LINE.by_hand(wavelength=9.9)
