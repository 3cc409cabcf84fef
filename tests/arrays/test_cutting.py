"""Cutting strokes by areas: the cases that a pen meets."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from plotlib.arrays import cutting_outline
from plotlib.arrays.areas import evenodd
from plotlib.arrays.cutting import cut
from plotlib.errors import UnknownName
from tests.oracles_cutting import length_of, ragged, strokes_of

SQUARE = shapely.box(0, 0, 10, 10)
# The same square and one far away: no single rectangle, so that the way for all areas is taken.
SQUARES = shapely.MultiPolygon([SQUARE, shapely.box(900, 900, 901, 901)])
CORNER = shapely.Polygon([(0, 0), (10, 0), (10, 4), (4, 4), (4, 10), (0, 10)])
FRAME = shapely.Polygon(SQUARE.exterior, [shapely.box(4, 4, 6, 6).exterior.coords])
both_ways = pytest.mark.parametrize("square", [SQUARE, SQUARES], ids=["rectangle", "any area"])


def parts(strokes, area, keep):
    """Pieces as lists."""
    points, offsets, _ = cut(*ragged(strokes), area, keep=keep)
    return [piece.tolist() for piece in strokes_of(points, offsets)]


def split(strokes, area):
    """Pieces inside and pieces outside."""
    return parts(strokes, area, "inside"), parts(strokes, area, "outside")


@both_ways
def test_a_stroke_across_is_cut_exactly_on_the_edges(square):
    inside, outside = split([[(-5, 5), (15, 6)]], square)
    assert inside == [[[0, pytest.approx(5.25)], [10, pytest.approx(5.75)]]]
    assert outside == [[[-5, 5], inside[0][0]], [inside[0][1], [15, 6]]]


@both_ways
@pytest.mark.parametrize("edge", [[(0, 0), (0, 10)], [(10, 10), (0, 10)], [(2, 0), (7, 0)]])
def test_a_stroke_on_the_edge_is_inside(square, edge):
    assert split([edge], square) == ([[list(map(float, point)) for point in edge]], [])


@both_ways
def test_a_stroke_that_goes_on_beyond_the_edge_it_lies_on_is_cut_at_the_corner(square):
    assert split([[(0, -5), (0, 15)]], square) == (
        [[[0, 0], [0, 10]]],
        [[[0, -5], [0, 0]], [[0, 10], [0, 15]]],
    )


@both_ways
@pytest.mark.parametrize(
    "touch",
    [
        [(-5, 5), (0, 5), (-5, 6)],
        [(-1, 1), (1, -1)],
        [(5, 15), (10, 10), (15, 5)],
        [(-3, 4), (0, 4)],
    ],
)
def test_a_touch_from_outside_cuts_nothing_and_leaves_no_dot(square, touch):
    assert split([touch], square) == ([], [[list(map(float, point)) for point in touch]])


@both_ways
def test_a_touch_from_inside_cuts_nothing(square):
    stroke = [[5.0, 5.0], [10.0, 5.0], [5.0, 6.0]]
    assert split([stroke], square) == ([stroke], [])


@both_ways
def test_dots_belong_to_the_closed_area(square):
    dots = [[(5, 5)], [(0, 3)], [(10, 10)], [(-1e-6, 3)], [(11, 11)], [(10, -0.5)]]
    inside, outside = split(dots, square)
    assert inside == [[[5, 5]], [[0, 3]], [[10, 10]]]
    assert outside == [[[-1e-6, 3]], [[11, 11]], [[10, -0.5]]]


@both_ways
def test_strokes_without_length_go_to_one_side_whole(square):
    strokes = [[(0, 0), (0, 0)], [(3, 3), (3, 3), (3, 3)], [(11, 5), (11, 5)]]
    assert split(strokes, square) == (
        [[[0, 0], [0, 0]], [[3, 3], [3, 3], [3, 3]]],
        [[[11, 5], [11, 5]]],
    )


@both_ways
def test_repeated_points_stay_with_the_link_before_them(square):
    inside, outside = split([[(5, 5), (5, 5), (10, 5), (10, 5), (15, 5), (15, 5)]], square)
    assert inside == [[[5, 5], [5, 5], [10, 5], [10, 5]]]
    assert outside == [[[10, 5], [15, 5], [15, 5]]]


@both_ways
def test_pieces_that_meet_at_the_start_of_a_closed_stroke_are_one(square):
    inside, outside = split([[(5, 5), (15, 5), (15, 15), (5, 15), (5, 5)]], square)
    assert inside == [[[5, 10], [5, 5], [10, 5]]]
    assert outside == [[[10, 5], [15, 5], [15, 15], [5, 15], [5, 10]]]


@both_ways
def test_a_closed_stroke_that_starts_outside_keeps_its_start_in_one_piece(square):
    inside, outside = split([[(15, 15), (5, 15), (5, 5), (15, 5), (15, 15)]], square)
    assert inside == [[[5, 10], [5, 5], [10, 5]]]
    assert outside == [[[10, 5], [15, 5], [15, 15], [5, 15], [5, 10]]]


def test_the_stitched_piece_is_the_last_of_its_stroke():
    points, offsets, source = cut(
        *ragged([[(5, 5), (12, 5), (12, 8), (5, 8), (-2, 8), (-2, 5), (5, 5)], [(1, 1), (2, 2)]]),
        SQUARE,
        keep="inside",
    )
    assert [piece.tolist() for piece in strokes_of(points, offsets)] == [
        [[10, 8], [5, 8], [0, 8]],
        [[0, 5], [5, 5], [10, 5]],
        [[1, 1], [2, 2]],
    ]
    assert source.tolist() == [0, 0, 1]


@both_ways
def test_retraced_strokes_keep_all_their_ink(square):
    inside, outside = split([[(5, 5), (15, 5), (5, 5), (15, 5)]], square)
    assert inside == [[[5, 5], [10, 5]], [[10, 5], [5, 5], [10, 5]]]
    assert outside == [[[10, 5], [15, 5], [10, 5]], [[10, 5], [15, 5]]]


@both_ways
def test_a_stroke_that_crosses_itself_stays_one(square):
    loop = [[2.0, 2.0], [8.0, 8.0], [8.0, 2.0], [2.0, 8.0]]
    assert split([loop], square) == ([loop], [])


@pytest.mark.parametrize("area", [SQUARE, SQUARES, CORNER])
def test_untouched_strokes_come_back_bit_for_bit(area):
    rng = np.random.default_rng(5)
    strokes = [rng.uniform(0.5, 3.5, (9, 2)) for _ in range(20)] + [
        rng.uniform(20, 30, (4, 2)) for _ in range(20)
    ]
    strokes = [
        np.concatenate((stroke, stroke[:1])) if i % 2 else stroke
        for i, stroke in enumerate(strokes)
    ]
    points, offsets = ragged(strokes)
    for keep, low, high in (("inside", 0, 20), ("outside", 20, 40)):
        found, bounds, source = cut(points, offsets, area, keep=keep)
        assert found.tobytes() == np.concatenate(strokes[low:high]).tobytes()
        assert source.tolist() == list(range(low, high))
        assert np.diff(bounds).tolist() == [len(stroke) for stroke in strokes[low:high]]


def test_nothing_is_copied_when_nothing_is_cut():
    points, offsets = ragged([[(1, 1), (2, 2)], [(3, 3)]])
    for area in (SQUARE, SQUARES, FRAME):
        found, bounds, source = cut(points, offsets, area, keep="inside")
        assert found is points
        assert bounds is offsets
        assert source.tolist() == [0, 1]


@both_ways
def test_a_zero_keeps_its_sign(square):
    points, offsets = ragged([[(-0.0, 1), (2, 2)]])
    assert cut(points, offsets, square, keep="inside")[0].tobytes() == points.tobytes()


@pytest.mark.parametrize("area", [SQUARE, SQUARES])
def test_ink_outside_by_a_hair_is_on_the_edge(area):
    stroke = [(0, -1e-10), (10, -1e-10), (10 + 1e-10, 10), (5, 5)]
    assert parts([stroke], area, "outside") == []
    assert np.abs(np.array(parts([stroke], area, "inside")[0]) - stroke).max() < 1.1e-10


def test_inside_pieces_never_leave_a_rectangle_by_a_bit():
    rng = np.random.default_rng(1)
    low = np.array([0.1, 0.7])
    high = np.array([215.9, 279.3])
    strokes = [rng.uniform(-50, 330, (20, 2)) for _ in range(200)]
    strokes += [
        np.column_stack(
            (rng.choice([0.1, 215.9, 0.1 - 1e-10, 215.9 + 1e-10], 20), rng.uniform(-50, 330, 20))
        )
        for _ in range(50)
    ]
    points, _, _ = cut(*ragged(strokes), shapely.box(*low, *high), keep="inside")
    assert (points >= low).all()
    assert (points <= high).all()
    on_edge = ((points == low) | (points == high)).any(axis=1)
    assert on_edge.sum() > 400


def test_cut_points_lie_exactly_on_edges_that_are_parallel_to_an_axis():
    corners = np.array([(0.1, 0.3), (10.7, 0.3), (10.7, 4.9), (4.3, 4.9), (4.3, 9.1), (0.1, 9.1)])
    strokes = np.random.default_rng(4).uniform(-3, 15, (300, 2, 2))
    points, offsets, _ = cut(*ragged(strokes), shapely.Polygon(corners), keep="inside")
    ends = points[np.concatenate((offsets[:-1], offsets[1:] - 1))]
    drawn = (ends[:, None] == strokes.reshape(-1, 2)).all(axis=2).any(axis=1)
    assert (~drawn).sum() > 100
    assert all(x in corners[:, 0] or y in corners[:, 1] for x, y in ends[~drawn])


@both_ways
def test_strokes_past_a_corner_of_any_place_leave_no_sliver(square):
    rng = np.random.default_rng(6)
    for x, y in rng.uniform(0, 300, (100, 2)):
        way = rng.uniform(1, 50, (20, 2)) * (1, -1)
        share = rng.uniform(0.2, 3, (20, 1))
        strokes = np.stack(((x, y) - way, (x, y) + way * share), axis=1)
        assert (
            parts(
                strokes, shapely.transform(square, lambda corner, at=(x, y): corner + at), "inside"
            )
            == []
        )


def test_holes_and_inward_corners():
    assert split([[(-5, 5), (15, 5)]], FRAME) == (
        [[[0, 5], [4, 5]], [[6, 5], [10, 5]]],
        [[[-5, 5], [0, 5]], [[4, 5], [6, 5]], [[10, 5], [15, 5]]],
    )
    assert split([[(-1, 9), (9, -1)]], CORNER) == (
        [[[0, 8], [8, 0]]],
        [[[-1, 9], [0, 8]], [[8, 0], [9, -1]]],
    )
    assert split([[(4, 12), (4, -1)]], CORNER) == (
        [[[4, 10], [4, 0]]],
        [[[4, 12], [4, 10]], [[4, 0], [4, -1]]],
    )


def test_the_edge_of_a_hole_is_inside_and_a_dot_in_it_outside():
    hole = [[4.0, 4.0], [6.0, 4.0], [6.0, 6.0], [4.0, 6.0], [4.0, 4.0]]
    assert split([hole, [(5, 5)], [(4, 5)]], FRAME) == ([hole, [[4, 5]]], [[[5, 5]]])


def test_a_hole_that_touches_the_shell_lets_the_stroke_through_at_the_touch():
    area = shapely.Polygon([(0, 0), (10, 0), (10, 10), (0, 10)], [[(5, 0), (7, 2), (5, 4), (3, 2)]])
    assert area.is_valid
    assert split([[(0, 0), (10, 0)]], area) == ([[[0, 0], [10, 0]]], [])
    assert split([[(5, -2), (5, 6)]], area) == ([[[5, 4], [5, 6]]], [[[5, -2], [5, 4]]])


def test_parts_that_touch_in_a_corner_are_passed_through_in_one_piece():
    area = shapely.MultiPolygon([shapely.box(0, 0, 5, 5), shapely.box(5, 5, 10, 10)])
    assert split([[(1, 1), (9, 9)]], area) == ([[[1, 1], [9, 9]]], [])
    assert split([[(1, 9), (9, 1)]], area) == ([], [[[1, 9], [9, 1]]])


def test_neighbouring_areas_cut_at_the_very_same_points():
    left = shapely.Polygon([(0, 0), (7, 0), (3, 9.3), (0, 10)])
    right = shapely.Polygon([(3, 9.3), (7, 0), (15, 0), (15, 10)])
    strokes = [[(-1, y), (16, y + 0.37)] for y in np.linspace(0.1, 9, 50)]
    ends = {tuple(piece[-1]) for piece in parts(strokes, left, "inside")}
    starts = {tuple(piece[0]) for piece in parts(strokes, right, "inside")}
    assert len(ends) == 50
    assert ends == starts


def test_empty_areas_and_empty_drawings():
    points, offsets = ragged([[(0, 0), (1, 1)]])
    assert cut(points, offsets, shapely.Polygon(), keep="outside")[0] is points
    assert [
        len(array) for array in cut(points, offsets, shapely.MultiPolygon(), keep="inside")
    ] == [0, 1, 0]
    for area in (SQUARE, SQUARES, shapely.Polygon()):
        for keep in ("inside", "outside"):
            found, bounds, source = cut(*ragged([]), area, keep=keep)
            assert found.shape == (0, 2)
            assert bounds.tolist() == [0]
            assert source.tolist() == []
            assert bounds.dtype == source.dtype == np.int64


def test_an_unknown_side_is_refused():
    with pytest.raises(UnknownName, match=r"keep must be one of 'inside', 'outside'; got 'within'"):
        cut(*ragged([[(0, 0)]]), SQUARE, keep="within")  # type: ignore[arg-type]


@pytest.mark.parametrize("area", [SQUARE, FRAME, SQUARE.buffer(3)])
def test_many_portions_give_what_one_stroke_at_a_time_gives(area):
    rng = np.random.default_rng(2)
    points = rng.uniform(-5, 15, (150_000, 2))
    offsets = np.append(np.arange(0, 150_000, 7), 150_000)
    for keep in ("inside", "outside"):
        found, bounds, source = cut(points, offsets, area, keep=keep)
        assert (np.diff(source) >= 0).all()
        for stroke in (0, 9_362, 9_363, 15_000, 21_428):
            alone, _, _ = cut(
                points[offsets[stroke] : offsets[stroke + 1]],
                np.array([0, offsets[stroke + 1] - offsets[stroke]]),
                area,
                keep=keep,
            )
            low, high = np.searchsorted(source, [stroke, stroke + 1])
            assert found[bounds[low] : bounds[high]].tobytes() == alone.tobytes()


def test_a_large_outline_with_long_slanting_strokes():
    angle = np.linspace(0, 2 * np.pi, 20_000, endpoint=False)
    outline = (100 + 4 * np.sin(211 * angle))[:, None] * np.column_stack(
        (np.cos(angle), np.sin(angle))
    )
    area = shapely.Polygon(outline)
    row = np.arange(-120, 120, 2.5)[:, None, None] * np.array([-0.6, 0.8])
    hatch = row + np.array([[-150.0], [150.0]]) * np.array([0.8, 0.6])
    points, offsets = ragged(hatch)
    expected = shapely.length(shapely.intersection(area, shapely.linestrings(hatch))).sum()
    inside, outside = (
        length_of(*cut(points, offsets, area, keep=keep)[:2]) for keep in ("inside", "outside")
    )
    assert inside == pytest.approx(expected, rel=1e-12)
    assert inside + outside == pytest.approx(300 * len(row), rel=1e-12)


@pytest.mark.parametrize("scale", [1e-3, 1e6, 1e9])
def test_the_tolerance_grows_with_the_distance_from_the_origin(scale):
    ring = np.array([(0.1, 0.1), (0.7, 0.3), (0.9, 0.8), (0.3, 0.9), (0.1, 0.1)]) * scale
    area = evenodd(ring, np.array([0, 5]))
    assert len(cut(ring, np.array([0, 5]), area, keep="inside")[1]) == 2
    assert len(cut(ring, np.array([0, 5]), area, keep="outside")[1]) == 1
    midway = np.stack((ring[:-1], ring[:-1] * 0.3 + ring[1:] * 0.7, ring[1:]), axis=1).reshape(
        -1, 2
    )
    assert length_of(*cut(midway, np.array([0, 12]), area, keep="outside")[:2]) == 0


def test_edges_of_an_area_are_those_of_its_rings():
    """A square with a hole, a corner of which is said twice, and a triangle beside it; each edge
    from its lesser end to its greater one.
    """
    hole = [(2, 2), (2, 4), (2, 4), (4, 4), (2, 2)]
    area = shapely.MultiPolygon(
        [
            shapely.Polygon([(0, 0), (9, 0), (9, 9), (0, 9)], [hole]),
            shapely.Polygon([(20, 0), (22, 0), (20, 5)]),
        ]
    )
    start, end = cutting_outline._edges(area)
    made = sorted(map(tuple, np.hstack([start, end]).tolist()))
    square = [(0, 0, 0, 9), (0, 0, 9, 0), (0, 9, 9, 9), (9, 0, 9, 9)]
    inner = [(2, 2, 2, 4), (2, 2, 4, 4), (2, 4, 4, 4)]
    triangle = [(20, 0, 20, 5), (20, 0, 22, 0), (20, 5, 22, 0)]
    assert made == sorted(square + inner + triangle)
