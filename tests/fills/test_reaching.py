"""A closed line reaches into its corners and hollows, and stays simple and inside."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from plotlib.fills.closed import crossings, fits, is_simple
from plotlib.fills.evening_cells import laid_out
from plotlib.fills.hollows_kernel import beside, clearance, climbed, feet, nearest
from plotlib.fills.reaching import reaching

# A square and another one within, 1 mm apart, as one line: a corridor around, open on the left.
OUTER = [(0, 4), (0, 0), (10, 0), (10, 10), (0, 10), (0, 6)]
INNER = [(1, 6), (1, 9), (9, 9), (9, 1), (1, 1), (1, 4)]
AROUND = np.array([*OUTER, *INNER, OUTER[0]], dtype=float)
# In a right corner a disc of the radius r has its middle r √2 from the tip; that it touches the
# corner of the inner square, √2 from the tip, r is √2 / (1 + √2).
IN_CORNER = np.sqrt(2) / (1 + np.sqrt(2))


def dense(line: np.ndarray) -> np.ndarray:
    return shapely.get_coordinates(shapely.segmentize(shapely.linestrings(line), 0.3))


def ragged_ring(seed: int, count: int = 40) -> np.ndarray:
    """A closed line that most seeds let cross itself."""
    rng = np.random.default_rng(seed)
    angle = np.sort(rng.uniform(0, 2 * np.pi, count)) + rng.normal(0, 0.1, count)
    ring = rng.uniform(2, 5, count)[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    return np.concatenate([ring, ring[:1]])


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000))
def test_crossings_are_those_of_every_pair_of_segments(seed: int) -> None:
    line = ragged_ring(seed)
    pieces = [shapely.LineString(line[k : k + 2]) for k in range(40)]
    wished = [
        (k, j)
        for k in range(40)
        for j in range(k + 2, 40)
        if j - k != 39 and pieces[k].intersects(pieces[j])
    ]
    assert [tuple(pair) for pair in crossings(line).tolist()] == wished
    assert is_simple(line) == (not wished)


def test_distances_are_those_of_shapely() -> None:
    line = dense(AROUND)
    segments, cells = laid_out(line[:-1], np.empty((0, 4)), 1.5)
    points = np.random.default_rng(1).uniform(-1, 11, (200, 2))
    far, which, shares = nearest(points, segments, cells)
    wished = shapely.distance(shapely.linestrings(line), shapely.points(points))
    assert far == pytest.approx(np.minimum(wished, 1.5))
    ends = segments[which].reshape(-1, 2, 2)
    foot = ends[:, 0] + shares[:, None] * (ends[:, 1] - ends[:, 0])
    near = wished < 1.5
    assert near.sum() > 100
    assert np.hypot(*(foot - points).T)[near] == pytest.approx(wished[near])
    assert clearance(*points[0], segments, cells) == pytest.approx(far[0])


def test_a_corner_has_the_hollow_of_a_disc_between_both_sides_and_the_next_corner() -> None:
    line = dense(AROUND)
    segments, cells = laid_out(line[:-1], np.empty((0, 4)), 1.1)
    begin = beside(0.565, 0.1, segments, cells)
    begin = begin[shapely.contains_xy(box(0, 0, 10, 10), begin)]
    begin = begin[~shapely.contains_xy(box(0.9, 0.9, 9.1, 9.1), begin)]
    corner = np.array([10.0, 10.0])
    begin = begin[np.hypot(*(begin - corner).T) < 2]
    middles, radii = climbed(begin, segments, cells)
    assert len(radii) > 1
    assert radii == pytest.approx(IN_CORNER, abs=0.004)
    assert np.hypot(*(middles - corner).T) == pytest.approx(np.sqrt(2) * IN_CORNER, abs=0.02)
    which, shares, lengths = feet(middles, radii, 0.565, segments, cells)
    foot = segments[which, :2] + shares[:, None] * (segments[which, 2:] - segments[which, :2])
    assert foot == pytest.approx(np.full((len(foot), 2), 9.0), abs=0.06)
    assert lengths == pytest.approx((radii - 0.565) * (1 + np.sqrt(2)), abs=0.01)


def bare(line: np.ndarray, area: shapely.Polygon, width: float) -> float:
    """What a pen of a width leaves of an area, in mm²."""
    return float(
        shapely.difference(area, shapely.buffer(shapely.linestrings(line), width / 2)).area
    )


def test_corners_are_reached_into_as_far_as_a_wider_pen_leaves_nothing_bare() -> None:
    """The corners of the area 0.5 mm outside of the line are 0.707 mm away from it."""
    area = shapely.Polygon(AROUND).buffer(0.5, join_style="mitre")
    line = dense(AROUND)
    assert bare(line, area, 1.15) > 0.05
    further = reaching(line, area, 1.0)
    assert fits(further, area)
    assert (further[0] == further[-1]).all()
    assert bare(further, area, 1.15) < 0.002
    assert np.abs(further).max() < 10.5
    assert shapely.length(shapely.linestrings(further)) < 1.05 * 76


def test_passes_too_far_apart_on_their_whole_length_get_no_noses() -> None:
    """Two straight ones 1.3 spacings apart: noses would make a comb of them."""
    line = dense(np.array([(0, 0), (20, 0), (20, 1.3), (0, 1.3), (0, 0)], dtype=float))
    further = reaching(line, box(-0.5, -0.5, 20.5, 1.8), 1.0)
    middle = (further[:, 0] > 2) & (further[:, 0] < 18)
    assert middle.any()
    assert np.unique(np.round(further[middle, 1], 9)).tolist() == [0, 1.3]


def test_what_nothing_is_bare_beside_stays_as_it_is() -> None:
    angle = np.linspace(0, 2 * np.pi, 40)
    ring = 0.5 * np.column_stack([np.cos(angle), np.sin(angle)])
    ring[-1] = ring[0]
    assert reaching(ring, shapely.Point(0, 0).buffer(1.0), 1.0) is ring


def test_no_nose_leaves_an_area_that_bends_between() -> None:
    """The corner of the area lies behind a spike that points inward beside it."""
    area = shapely.Polygon([(0, 0), (6, 0), (6, 6), (0.4, 6), (1.2, 4.6), (0, 6)])
    line = dense(np.array([(0.8, 0.8), (5.2, 0.8), (5.2, 4), (0.8, 4), (0.8, 0.8)]))
    assert fits(line, area)
    assert fits(reaching(line, area, 1.0), area)


def test_a_band_that_is_too_wide_for_its_passes_gets_no_comb_along_its_edge() -> None:
    disc = shapely.Point(0, 0).buffer(10, 64)
    area = disc - shapely.Point(0, 0).buffer(7.4, 64)
    ring = shapely.get_coordinates(shapely.Point(0, 0).buffer(9.4, 64).exterior)
    inner = shapely.get_coordinates(shapely.Point(0, 0).buffer(8.0, 64).exterior)[::-1]
    line = np.concatenate([ring[:-2], inner[2:], ring[:1]])
    assert fits(line, area)
    far = np.hypot(*reaching(line, area, 1.0).T)
    assert far.max() < 9.6
    assert far.min() > 7.8


def test_noses_keep_from_the_edge_so_that_hardly_any_ink_leaves_the_area() -> None:
    """In a corner of 40 degrees the line lies 1.46 spacings from the tip: a nose that left no disc
    bare would come within 0.19 of both sides.
    """
    half = np.radians(20)
    tip = np.array([[0, 0], [20 * np.cos(half), 20 * np.sin(half)]])
    area = shapely.Polygon([*tip, tip[1] * [1, -1]])
    ring = shapely.get_coordinates(area.buffer(-0.5, join_style="mitre", mitre_limit=10).exterior)
    line = dense(ring)
    further = reaching(line, area, 1.0)
    assert not np.array_equal(further, line)
    assert shapely.distance(area.exterior, shapely.linestrings(further)) >= 0.3
    assert 0.9 < further[:, 0].min() < 1.1
