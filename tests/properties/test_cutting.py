"""Laws of cutting and of the even-odd rule, against exact arithmetic."""

from __future__ import annotations

from fractions import Fraction
from functools import reduce
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely import affinity

from plotlib.arrays.areas import as_area, evenodd
from plotlib.arrays.cutting import cut
from plotlib.arrays.ragged import meet
from tests.oracles_cutting import cut_exactly, exact, length_of, odd, on_edge, ragged, strokes_of


def only_areas(thing: shapely.Geometry) -> shapely.Polygon | shapely.MultiPolygon:
    return as_area(
        shapely.union_all(
            [part for part in shapely.get_parts(thing) if part.geom_type == "Polygon"]
        )
    )


whole = st.integers(-2, 10)
corner = st.tuples(whole, whole)
stroke = st.one_of(
    st.lists(corner, min_size=1, max_size=8),
    st.lists(corner, min_size=1, max_size=6).map(lambda points: [*points, points[0]]),
    st.lists(corner, min_size=1, max_size=4).map(
        lambda points: [point for point in points for _ in range(2)]
    ),
    st.lists(corner, min_size=2, max_size=4).map(lambda points: points + points[::-1]),
)
strokes = st.lists(stroke, max_size=5)
rectangle = st.tuples(
    st.integers(0, 6), st.integers(0, 6), st.integers(1, 4), st.integers(1, 4)
).map(lambda box: shapely.box(box[0], box[1], box[0] + box[2], box[1] + box[3]))
diamond = st.tuples(st.integers(2, 6), st.integers(2, 6), st.integers(1, 3)).map(
    lambda box: shapely.Polygon(
        [
            (box[0] - box[2], box[1]),
            (box[0], box[1] - box[2]),
            (box[0] + box[2], box[1]),
            (box[0], box[1] + box[2]),
        ]
    )
)
# Boxes and diamonds on a grid meet on the half grid, so all corners of their combinations are
# exact.
combined = st.tuples(
    st.lists(st.one_of(rectangle, diamond), min_size=1, max_size=4),
    st.sampled_from([shapely.union, shapely.symmetric_difference, shapely.difference]),
).map(lambda drawn: only_areas(reduce(drawn[1], drawn[0])))
ring = (
    st.lists(corner, min_size=3, max_size=6, unique=True)
    .map(shapely.Polygon)
    .filter(lambda polygon: polygon.is_valid)
)
area = st.one_of(combined, ring)
sides = pytest.mark.parametrize("keep", ["inside", "outside"])


def pieces_exactly(drawn: list, area: shapely.Polygon, keep: str) -> tuple[list, list[int]]:
    """What the exact cut gives for several strokes, with the source of each piece."""
    found = [
        (piece, index)
        for index, points in enumerate(drawn)
        for piece in cut_exactly(points, area, keep)
    ]
    return [[(float(x), float(y)) for x, y in piece] for piece, _ in found], [
        index for _, index in found
    ]


def same_pieces(found: tuple, expected: tuple[list, list[int]], tolerance: float) -> None:
    """The same pieces of the same strokes, in the same order."""
    points, offsets, source = found
    assert source.tolist() == expected[1]
    pieces = strokes_of(points, offsets)
    assert [len(piece) for piece in pieces] == [len(piece) for piece in expected[0]]
    for piece, wanted in zip(pieces, expected[0], strict=True):
        np.testing.assert_allclose(piece, np.array(wanted), atol=tolerance, rtol=0)


@sides
@settings(deadline=None)
@given(drawn=strokes, area=area)
def test_cut_equals_exact_arithmetic(drawn, area, keep):
    same_pieces(cut(*ragged(drawn), area, keep=keep), pieces_exactly(drawn, area, keep), 1e-12)


@sides
@settings(deadline=None)
@given(drawn=strokes, area=rectangle)
def test_cut_by_rectangles_equals_exact_arithmetic_and_never_leaves_them(drawn, area, keep):
    points, offsets, source = cut(*ragged(drawn), area, keep=keep)
    same_pieces((points, offsets, source), pieces_exactly(drawn, area, keep), 1e-12)
    if keep == "inside":
        x0, y0, x1, y1 = area.bounds
        assert ((points >= (x0, y0)) & (points <= (x1, y1))).all()


@sides
@settings(deadline=None)
@given(
    drawn=strokes,
    area=area,
    angle=st.floats(0, 360),
    shift=st.tuples(st.floats(-300, 300), st.floats(-300, 300)),
)
def test_rounding_of_turned_strokes_and_areas_changes_no_piece(drawn, area, keep, angle, shift):
    def turned(thing):
        return affinity.translate(affinity.rotate(thing, angle, origin=(0, 0)), *shift)

    points, offsets = ragged(drawn)
    placed = shapely.get_coordinates(turned(shapely.MultiPoint(points))) if len(points) else points
    expected, source = pieces_exactly(drawn, area, keep)
    expected = [
        shapely.get_coordinates(turned(shapely.MultiPoint(np.array(piece)))) for piece in expected
    ]
    same_pieces(cut(placed, offsets, turned(area), keep=keep), (expected, source), 2e-9)


@settings(deadline=None)
@given(drawn=strokes, area=rectangle, shift=st.floats(-50, 50), scale=st.floats(0.01, 30))
def test_the_way_for_rectangles_equals_the_way_for_all_areas(drawn, area, shift, scale):
    points, offsets = ragged(drawn)
    points = points * scale + shift
    area = shapely.box(*(np.array(area.bounds) * scale + shift))
    elsewhere = shapely.MultiPolygon([area, shapely.box(5000, 5000, 5001, 5001)])
    for keep in ("inside", "outside"):
        one, two = (cut(points, offsets, region, keep=keep) for region in (area, elsewhere))
        same_pieces(one, (strokes_of(two[0], two[1]), two[2].tolist()), 3e-9)


floats = st.floats(-2, 10, allow_subnormal=False)
loose = st.lists(st.lists(st.tuples(floats, floats), min_size=1, max_size=8), max_size=4)
wild_ring = st.lists(st.tuples(floats, floats), min_size=3, max_size=9).map(
    lambda points: [*points, points[0]]
)
wild = st.lists(wild_ring, min_size=1, max_size=3).map(lambda rings: evenodd(*ragged(rings)))


# Whole numbers off by a hair, about as large as what counts as on the edge.
hair = st.sampled_from([0.0, 1e-13, 4e-10, 9e-10, 1.1e-9, 2.3e-9, 3.2e-9, 1e-8])
blurred = st.lists(
    st.lists(
        st.tuples(whole, whole, hair, hair).map(
            lambda drawn: (drawn[0] + drawn[2], drawn[1] - drawn[3])
        ),
        min_size=1,
        max_size=8,
    ),
    max_size=4,
)
any_strokes = st.one_of(loose, strokes, blurred)


@settings(deadline=None)
@given(drawn=any_strokes, area=st.one_of(wild, area, rectangle))
@example(drawn=[[(0.0, -1.0), (3.0000000009, 1.0)]], area=shapely.box(3, 0, 4, 1))
def test_both_sides_are_the_ink_exactly_once(drawn, area):
    points, offsets = ragged(drawn)
    inside, outside = (cut(points, offsets, area, keep=keep) for keep in ("inside", "outside"))
    total = length_of(points, offsets)
    assert length_of(*inside[:2]) + length_of(*outside[:2]) == pytest.approx(
        total, rel=1e-9, abs=1e-8
    )
    for index, given_points in enumerate(strokes_of(points, offsets)):
        both = [
            [piece for piece, source in zip(strokes_of(p, o), s, strict=True) if source == index]
            for p, o, s in (inside, outside)
        ]
        if len(given_points) == 1 or not meet(given_points[0], given_points[-1]):
            assert reassembled(given_points, *both) or reassembled(given_points, *both[::-1])


def reassembled(stroke: np.ndarray, first: list[np.ndarray], second: list[np.ndarray]) -> bool:
    """Whether pieces that take turns make up the stroke: its points bit for bit, and cut points on
    the segments between.
    """
    turns = [None] * (len(first) + len(second))
    if not 0 <= len(first) - len(second) <= 1:
        return False
    turns[::2] = first
    turns[1::2] = second
    if any(np.abs(one[-1] - two[0]).max() > 1e-8 for one, two in pairwise(turns)):
        return False
    way = np.concatenate(turns)
    next_point = 0
    for x, y in way:
        if next_point < len(stroke) and np.hypot(*(stroke[next_point] - (x, y))) <= 1e-9:
            next_point += 1
        elif (
            next_point == 0
            or shapely.LineString(
                stroke[next_point - 1 : next_point + 1].repeat(2, axis=0)
            ).distance(shapely.Point(x, y))
            > 1e-9
        ):
            return False
    return next_point == len(stroke)


@sides
@settings(deadline=None)
@given(drawn=any_strokes, area=st.one_of(wild, area, rectangle))
def test_cutting_again_changes_nothing(drawn, area, keep):
    points, offsets, _ = cut(*ragged(drawn), area, keep=keep)
    again, same, source = cut(points, offsets, area, keep=keep)
    assert again.tobytes() == points.tobytes()
    assert same.tolist() == offsets.tolist()
    assert source.tolist() == list(range(len(offsets) - 1))


@settings(deadline=None)
@given(drawn=any_strokes, area=st.one_of(wild, area, rectangle))
def test_pieces_lie_where_they_belong(drawn, area):
    points, offsets = ragged(drawn)
    for keep, forbidden in (
        ("inside", shapely.difference(shapely.box(-9, -9, 19, 19), area)),
        ("outside", area),
    ):
        for piece in strokes_of(*cut(points, offsets, area, keep=keep)[:2]):
            links = (
                shapely.linestrings(np.stack((piece[:-1], piece[1:]), axis=1))
                if len(piece) > 1
                else shapely.points(piece)
            )
            # Ink in the interior of the other side is a hair: it may not reach further in than the
            # tolerance.
            for part in shapely.get_parts(shapely.intersection(links, forbidden)):
                assert (
                    part.is_empty or forbidden.boundary.distance(shapely.centroid(part)) <= 2.1e-9
                )


@settings(deadline=None)
@given(
    rings=st.lists(
        st.lists(corner, min_size=1, max_size=8).map(lambda points: [*points, points[0]]),
        min_size=1,
        max_size=4,
    )
)
def test_evenodd_holds_what_an_odd_number_of_crossings_surrounds(rings):
    found = evenodd(*ragged(rings))
    assert found.is_valid
    edges = [
        edge
        for ring in rings
        if len(ring) >= 4
        for edge in pairwise(exact(ring))
        if edge[0] != edge[1]
    ]
    for x in range(-3, 11):
        for y in range(-3, 11):
            probe = (Fraction(x) + Fraction(3, 7), Fraction(y) + Fraction(5, 11))
            if not any(on_edge(probe, edge) for edge in edges):
                assert found.covers(shapely.Point(float(probe[0]), float(probe[1]))) == odd(
                    probe, edges
                )


@settings(deadline=None)
@given(area=area)
def test_evenodd_of_the_rings_of_an_area_is_the_area(area):
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.get_parts(area))]
    assert evenodd(*ragged(rings)).equals(area)
