"""Areas from rings, and the door for whatever has an area."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import affinity

from plotlib.arrays import areas
from plotlib.arrays.areas import as_area, evenodd, is_rectangle
from plotlib.errors import InvalidValue
from tests.oracles_cutting import ragged

UNIT = [(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)]


def ring(x, y, width, height):
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)]


def area_of(*rings):
    found = evenodd(*ragged(rings))
    assert found.is_valid
    return found


def test_one_ring_keeps_its_corners_exactly():
    corners = np.random.default_rng(0).uniform(0, 1, (50, 2))
    corners = corners[np.argsort(np.arctan2(*(corners - 0.5).T))]
    found = area_of(np.concatenate((corners, corners[:1])))
    assert {tuple(corner) for corner in shapely.get_coordinates(found)} == {
        tuple(corner) for corner in corners
    }


def test_nested_rings_alternate():
    found = area_of(UNIT, ring(1, 1, 8, 8), ring(2, 2, 6, 6), ring(3, 3, 1, 1), ring(20, 20, 1, 1))
    assert found.area == 100 - 64 + 36 - 1 + 1
    assert found.equals(
        shapely.MultiPolygon(
            [
                shapely.Polygon(UNIT, [ring(1, 1, 8, 8)]),
                shapely.Polygon(ring(2, 2, 6, 6), [ring(3, 3, 1, 1)]),
                shapely.box(20, 20, 21, 21),
            ]
        )
    )


def test_direction_of_rings_means_nothing():
    assert area_of(UNIT, ring(1, 1, 8, 8)).equals(area_of(UNIT[::-1], ring(1, 1, 8, 8)))


def test_a_figure_of_eight_has_both_loops():
    assert area_of([(0, 0), (2, 2), (2, 0), (0, 2), (0, 0)]).equals(
        shapely.MultiPolygon(
            [shapely.Polygon([(0, 0), (1, 1), (0, 2)]), shapely.Polygon([(2, 0), (1, 1), (2, 2)])]
        )
    )


def test_a_pentagram_is_hollow():
    tips = [(np.sin(angle), np.cos(angle)) for angle in np.radians(np.arange(6) % 5 * 144)]
    found = area_of(tips)
    assert not found.covers(shapely.Point(0, 0))
    # Five triangles on the sides of the inner pentagon, whose circumradius is 1 / golden ratio
    # squared.
    inner = (3 - np.sqrt(5)) / 2
    side = 2 * inner * np.sin(np.pi / 5)
    apothem = inner * np.cos(np.pi / 5)
    assert found.area == pytest.approx(5 * side * (1 - apothem) / 2, rel=1e-12)


def test_a_loop_drawn_twice_around_is_a_hole():
    spiral = [*ring(0, 0, 10, 10), *ring(0, 0, 5, 5)]
    assert area_of(spiral).equals(shapely.box(0, 0, 10, 10).difference(shapely.box(0, 0, 5, 5)))


def test_overlapping_rings_leave_the_overlap_out():
    found = area_of(UNIT, ring(5, 5, 10, 10))
    assert found.equals(
        shapely.symmetric_difference(shapely.box(0, 0, 10, 10), shapely.box(5, 5, 15, 15))
    )


def test_a_ring_drawn_twice_cancels_and_thrice_counts():
    assert area_of(UNIT, UNIT).is_empty
    assert area_of(UNIT, UNIT, UNIT).equals(shapely.box(0, 0, 10, 10))
    assert area_of(UNIT, UNIT[::-1], ring(2, 2, 1, 1)).equals(shapely.box(2, 2, 3, 3))


def test_neighbours_with_a_common_edge_are_one_area():
    assert area_of(UNIT, ring(10, 2, 5, 5)).equals(
        shapely.union(shapely.box(0, 0, 10, 10), shapely.box(10, 2, 15, 7))
    )


def test_rings_that_touch_in_a_point():
    assert area_of(UNIT, ring(10, 10, 5, 5)).area == 125
    assert area_of(UNIT, [(5, 0), (7, 2), (5, 4), (3, 2), (5, 0)]).area == 92


def test_spikes_without_width_add_nothing():
    assert area_of([(0, 0), (10, 0), (15, 0), (10, 0), (10, 10), (0, 10), (0, 0)]).equals(
        shapely.box(0, 0, 10, 10)
    )


@pytest.mark.parametrize(
    "strokes",
    [
        [],
        [[(0, 0)]],
        [[(0, 0), (1, 1)]],
        [[(0, 0), (1, 1), (0, 0)]],
        [[(0, 0), (1, 0), (1, 1), (0, 1)]],
        [[(1, 1)] * 9],
        [[(0, 0), (1, 0), (2, 0), (0, 0)]],
        [[(0, 0), (0, 0), (1, 1), (0, 0)]],
    ],
)
def test_what_surrounds_nothing_is_empty(strokes):
    assert area_of(*strokes).is_empty


def test_open_strokes_and_dots_are_left_out():
    assert area_of([(0, 0), (50, 50)], UNIT, [(3, 3)], [(0, 0), (99, 0), (99, 99)]).equals(
        shapely.box(0, 0, 10, 10)
    )


def test_repeated_points_do_no_harm():
    assert (
        area_of(
            [point for point in UNIT for _ in range(3)],
            [point for point in ring(2, 2, 1, 1) for _ in range(2)],
        ).area
        == 99
    )


def test_rings_so_flat_that_their_crossings_round_into_new_ones_have_a_valid_area():
    found = area_of(
        [(0, 1), (0, 2), (1, 0), (1.5e-174, 1), (0, 1)],
        [(0, 0), (1, 1e-16), (1, 0), (0, 1e-16), (0, 0)],
    )
    assert found.area == pytest.approx(0.5, abs=1e-9)


def test_a_face_that_is_a_hair_wide_half_way_up_is_sorted_by_its_body():
    # A corner of the first ring lies on its own opposite edge, but for rounding.
    sheet = [
        (17.82375718362964, 131.2988079771191),
        (65.85459923820844, 46.930933691179575),
        (102.1916314695692, 179.32965003169792),
    ]
    sheet += [(84.02311535388881, 113.13029186143875), sheet[0]]
    sail = [
        (61.39999999999386, 153.4999999999969),
        (30.700000000009208, -6.14e-12),
        (61.39999999999693, 92.09999999999692),
    ]
    sail += [(92.10000000000922, 61.4), (6.14e-12, 61.39999999999386), sail[0]]
    assert area_of(sheet, sail).covers(shapely.Point(73.6, 113.5))
    expected = shapely.symmetric_difference(area_of(sheet), area_of(sail))
    assert area_of(sheet, sail).area == pytest.approx(expected.area, rel=1e-9)


def test_coordinates_next_to_nothing_do_not_hide_crossings():
    fish = [
        (-2e-300, -2e-300),
        (2e-300, -3e-300),
        (3, 4),
        (2, 2),
        (3, 4),
        (0, 0),
        (2, 1),
        (1, 4),
        (-2e-300, -2e-300),
    ]
    assert area_of(fish).area == pytest.approx(
        area_of([(0, 0), (2, 1), (1, 4), (0, 0)]).area, rel=1e-9
    )


def test_many_rings_that_overlap_are_their_symmetric_difference():
    rng = np.random.default_rng(3)
    polygons = [
        affinity.translate(shapely.Point(0, 0).buffer(2, quad_segs=5), *shift)
        for shift in rng.uniform(0, 20, (60, 2))
    ]
    found = area_of(*(shapely.get_coordinates(polygon) for polygon in polygons))
    expected = shapely.Polygon()
    for polygon in polygons:
        expected = shapely.symmetric_difference(expected, polygon)
    assert shapely.symmetric_difference(found, expected).area < 1e-9


class WithArea:
    def __init__(self, area):
        self.area = area

    def __area__(self):
        return self.area


def test_valid_areas_are_taken_as_they_are():
    for area in (
        shapely.box(0, 0, 1, 1),
        shapely.MultiPolygon([shapely.box(0, 0, 1, 1)]),
        shapely.Polygon(),
        shapely.MultiPolygon(),
    ):
        assert as_area(area) is area
        assert as_area(WithArea(area)) is area


def test_a_bow_tie_is_mended_by_the_even_odd_rule():
    found = as_area(shapely.Polygon([(0, 0), (2, 2), (2, 0), (0, 2)]))
    assert found.is_valid
    assert found.area == 2
    pentagram = shapely.Polygon(
        [(np.sin(angle), np.cos(angle)) for angle in np.radians(np.arange(5) * 144)]
    )
    assert not as_area(pentagram).covers(shapely.Point(0, 0))


def test_holes_take_away_wherever_they_lie():
    crossing = shapely.Polygon(UNIT, [ring(5, 5, 10, 2), ring(20, 0, 1, 1)])
    assert as_area(crossing).equals(shapely.box(0, 0, 10, 10).difference(shapely.box(5, 5, 15, 7)))


def test_parts_that_overlap_are_united():
    parts = [shapely.box(0, 0, 10, 10), shapely.box(5, 5, 15, 15)]
    for thing in (
        shapely.MultiPolygon(parts),
        shapely.GeometryCollection(
            [*parts, shapely.Point(90, 90), shapely.LineString([(0, 0), (50, 50)])]
        ),
    ):
        assert as_area(thing).equals(shapely.union(*parts))
    nested = shapely.GeometryCollection(
        [shapely.GeometryCollection(parts[:1]), shapely.MultiPolygon(parts[1:])]
    )
    assert as_area(nested).area == 175
    assert as_area(shapely.GeometryCollection()).is_empty


def test_heights_are_left_out():
    found = as_area(shapely.Polygon([(0, 0, 5), (1, 0, np.nan), (1, 1, 7)]))
    assert not found.has_z
    assert found.area == 0.5


@pytest.mark.parametrize(
    "thing",
    [
        None,
        "square",
        3,
        [shapely.box(0, 0, 1, 1)],
        shapely.Point(0, 0),
        shapely.LineString([(0, 0), (1, 1)]),
        shapely.LinearRing([(0, 0), (1, 1), (1, 0)]),
        shapely.GeometryCollection([shapely.Point(0, 0)]),
        WithArea(None),
        WithArea,
        WithArea(WithArea(shapely.Polygon())),
        np.zeros((4, 2)),
    ],
)
def test_what_has_no_area_is_refused_with_what_is_accepted(thing):
    with pytest.raises(
        InvalidValue,
        match=r"keep-out must be an area: a Drawing \(its closed strokes\), a Sheet, a shapely "
        r"Polygon or MultiPolygon; got ",
    ):
        as_area(thing, "keep-out")


@pytest.mark.parametrize("bad", [np.nan, np.inf])
def test_corners_that_are_not_finite_are_refused(bad):
    with np.errstate(invalid="ignore"):
        polygon = shapely.Polygon([(0, 0), (1, 0), (1, bad), (0, 1)])
    with pytest.raises(InvalidValue, match="region: corner 2 of the area is not finite"):
        as_area(polygon)


def test_rectangles_are_known():
    assert is_rectangle(shapely.box(1, 2, 3, 5)) == (1, 2, 3, 5)
    assert is_rectangle(shapely.MultiPolygon([shapely.box(1, 2, 3, 5)])) == (1, 2, 3, 5)
    assert is_rectangle(shapely.Polygon([(0, 0), (0, 1), (0, 2), (2, 2), (2, 0), (1, 0)])) == (
        0,
        0,
        2,
        2,
    )


@pytest.mark.parametrize(
    "area",
    [
        shapely.Polygon(),
        shapely.MultiPolygon(),
        shapely.Polygon([(0, 0), (2, 0), (2, 2)]),
        shapely.Polygon([(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)]),
        shapely.Polygon([(1, 0), (2, 1), (1, 2), (0, 1)]),
        shapely.Polygon(UNIT, [ring(1, 1, 1, 1)]),
        shapely.Polygon([(0, 0), (2, 0), (2, 2), (0, 2 + 1e-12)]),
        shapely.MultiPolygon([shapely.box(0, 0, 1, 1), shapely.box(2, 2, 3, 3)]),
        shapely.Polygon([(0, 0), (2, 0), (2, 1), (1, 2), (0, 2)]),
        shapely.Point(0, 0).buffer(1),
    ],
)
def test_other_areas_are_no_rectangles(area):
    assert is_rectangle(area) is None


# ---- parts, by hand


@pytest.mark.parametrize(
    ("most", "middles"),
    [
        (16, [(5, 5.5, 0), (5, 0.5, 0), (5, 10.25, 0), (21, 2.0, 1), (21, 5.0, 1)]),
        (1, [(5, 5.5, 0), (21, 2.0, 1)]),
    ],
)
def test_middles_of_level_chords_between_the_corners_farthest_apart(most, middles, monkeypatch):
    """Corners at heights of 0, 1, 10 and 10.5; and of 0, 4 and 6, symmetric about x = 5 and 21."""
    monkeypatch.setattr(areas, "_CHORDS", most)
    one = shapely.Polygon([(4, 0), (6, 0), (9, 1), (9, 10), (5, 10.5), (1, 10), (1, 1)])
    other = shapely.Polygon([(20, 0), (22, 0), (23, 4), (21, 6), (19, 4)])
    found, owner = areas._middles(np.array([one, other]))
    made = {
        (round(x, 9), round(y, 9), face)
        for (x, y), face in zip(shapely.get_coordinates(found), owner.tolist(), strict=True)
    }
    assert made == set(middles)
    assert len(found) == len(middles)
