import numpy as np
import pytest
import shapely
from shapely import Point, box

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.fills import cross_hatch, hatch
from plotlib.pen import Pen

ISLAND = (
    Point(50, 50).buffer(40).difference(Point(40, 50).buffer(10)).difference(box(55, 40, 70, 62))
)
PEN = Pen("broad", 0.8)


def lines(drawing):
    return shapely.MultiLineString(
        [stroke for stroke in drawing.to_shapely() if stroke.geom_type == "LineString"]
    )


def test_rows_lie_on_odd_halves_of_the_spacing_and_run_there_and_back():
    drawing = hatch(box(0, 0, 10, 5), spacing=2)
    assert [stroke.tolist() for stroke in drawing] == [[[0, 1], [10, 1]], [[10, 3], [0, 3]]]
    assert [stroke.tolist() for stroke in hatch(box(0, 0, 10, 5), spacing=2, alternate=False)][
        1
    ] == [[0, 3], [10, 3]]


def test_gaps_of_a_backward_row_are_met_in_drawing_order():
    drawing = hatch(box(0, 0, 9, 4).difference(box(3, 2, 6, 5)), spacing=2)
    assert [stroke[:, 0].tolist() for stroke in drawing] == [[0, 9], [9, 6], [3, 0]]


@pytest.mark.parametrize("angle", [0, 17, 45, 90, 211])
def test_neighbours_line_up_bit_for_bit_and_share_no_ink(angle):
    left = shapely.Polygon([(0, 0), (7, 1), (9, 12), (1, 10)])
    right = shapely.Polygon([(7, 1), (16, 3), (14, 11), (9, 12)])
    both = hatch(shapely.union(left, right), spacing=0.7, angle=angle)
    apart = hatch(left, spacing=0.7, angle=angle) + hatch(right, spacing=0.7, angle=angle)
    assert both.length == pytest.approx(apart.length, abs=1e-9)
    ends = {tuple(np.round(point, 9)) for point in both.points}
    cut = [tuple(point) for point in apart.points if tuple(np.round(point, 9)) not in ends]
    assert cut
    assert all(cut.count(point) == 2 for point in cut)


def test_an_edge_on_a_row_is_drawn_by_the_area_above_it_only():
    assert [stroke[0, 1] for stroke in hatch(box(0, 0.5, 4, 1.5), spacing=1)] == [0.5]
    assert [stroke[0, 1] for stroke in hatch(box(0, -0.5, 4, 0.5), spacing=1)] == [-0.5]


def test_the_origin_moves_with_the_area():
    moved = hatch(
        shapely.affinity.translate(ISLAND, 3.3, -1.7), spacing=1.3, angle=30, origin=(3.3, -1.7)
    )
    np.testing.assert_allclose(
        moved.points, hatch(ISLAND, spacing=1.3, angle=30).moved(3.3, -1.7).points, atol=1e-9
    )


def test_a_pen_keeps_half_its_width_from_the_edge_unless_told_otherwise():
    assert hatch(box(0, 0, 10, 10), spacing=2, pen=PEN).bounds == (0.4, 1.0, 9.6, 9.0)
    assert hatch(box(0, 0, 10, 10), spacing=2, pen=PEN, inset=False).bounds == (0, 1, 10, 9)
    assert hatch(box(0, 0, 10, 10), spacing=2, inset=2).bounds == (2, 3, 8, 7)
    assert hatch(box(0, 0, 10, 10), spacing=2, pen=PEN).pens == (PEN,)
    with pytest.raises(InvalidValue, match="no pen is given"):
        hatch(box(0, 0, 1, 1), spacing=1, inset=True)


@pytest.mark.parametrize("angle", [0, 13, 45, 90, 200])
def test_joined_rows_have_the_same_chords_in_few_strokes_along_the_edge(angle):
    plain = hatch(ISLAND, spacing=1, angle=angle)
    joined = hatch(ISLAND, spacing=1, angle=angle, joined=True)
    assert len(joined) * 20 <= len(plain)
    assert ISLAND.buffer(1e-9).covers(lines(joined))
    assert joined.length <= plain.length + ISLAND.length
    assert lines(plain).difference(lines(joined).buffer(1e-6)).length < 1e-6
    extra = lines(joined).difference(lines(plain).buffer(1e-6))
    assert ISLAND.boundary.buffer(1e-5).covers(extra)


def test_joined_rows_of_a_rectangle_are_a_meander():
    drawing = hatch(box(0, 0, 4, 3), spacing=1, joined=True)
    assert [stroke.tolist() for stroke in drawing] == [
        [[0, 0.5], [4, 0.5], [4, 1.5], [0, 1.5], [0, 2.5], [4, 2.5]]
    ]


def test_long_ways_along_the_edge_are_lifts():
    plateau = shapely.Polygon([(0, 0), (40, 0), (40, 1), (20, 1.9), (20, 9), (0, 9)])
    assert len(hatch(plateau, spacing=1, joined=True)) <= 2


def test_cross_hatching_is_its_layers():
    crossed = cross_hatch(ISLAND, spacing=2, angles=(10, 70, 130), pen=PEN)
    assert crossed == Drawing(
        [hatch(ISLAND, spacing=2, angle=angle, pen=PEN) for angle in (10, 70, 130)]
    )
    with pytest.raises(InvalidValue, match="at least one direction"):
        cross_hatch(ISLAND, spacing=2, angles=())


@pytest.mark.parametrize("spacing", [0, -1, np.nan, np.inf, "wide", True])
def test_spacing_must_be_positive(spacing):
    with pytest.raises(InvalidValue, match="spacing"):
        hatch(ISLAND, spacing=spacing)


@pytest.mark.parametrize("spacing", [1e-6, 1e-300])
def test_spacing_that_would_take_for_ever_is_refused(spacing):
    with pytest.raises(InvalidValue, match="wider spacing"):
        hatch(ISLAND, spacing=spacing)


@pytest.mark.parametrize(
    "area",
    [
        shapely.Polygon(),
        shapely.Polygon([(0, 0), (5, 5), (10, 10)]),
        Drawing([[(0, 0), (3, 3), (0, 0)]]),
        Drawing(),
        box(0, 0.6, 10, 1.4),
    ],
)
def test_nothing_to_fill_gives_nothing(area):
    assert len(hatch(area, spacing=1)) == 0
    assert len(hatch(area, spacing=1, joined=True)) == 0


def test_self_crossing_and_doubled_outlines_count_by_even_odd():
    bow_tie = Drawing([[(0, 0), (4, 4), (4, 4), (4, 0), (0, 4), (0, 0)]])
    assert hatch(bow_tie, spacing=0.5).length == pytest.approx(8 / 0.5)
    twice = Drawing([[(0, 0), (4, 0), (4, 4), (0, 4), (0, 0)]] * 2)
    assert len(hatch(twice, spacing=0.5)) == 0


def test_turns_beyond_a_full_one_are_turns():
    assert hatch(ISLAND, spacing=1, angle=390).length == pytest.approx(
        hatch(ISLAND, spacing=1, angle=30).length
    )
