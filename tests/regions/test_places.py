"""Areas of several parts, off the origin, with several pens and limits: exact values of plane
geometry.
"""

from __future__ import annotations

import time

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, affinity, box

from plotlib import regions
from plotlib.drawing import Drawing
from plotlib.errors import UnknownName
from plotlib.pen import DEFAULT_PEN, Pen
from plotlib.regions.offsets import clusters
from plotlib.shapes import circle, line, rectangle

BROAD = Pen("broad", 1.0)
FINE = Pen("fine", 0.2)
PARTS = MultiPolygon([box(100, 50, 110, 60), box(120, 50, 126, 56), box(130, 50, 131, 51)])


def test_each_part_of_an_inset_is_smaller_and_thin_ones_vanish() -> None:
    found = regions.inset(PARTS, 1)
    assert isinstance(found, MultiPolygon)
    assert found.equals(MultiPolygon([box(101, 51, 109, 59), box(121, 51, 125, 55)]))
    assert regions.inset(MultiPolygon(list(PARTS.geoms)[:2]), 4).equals(box(104, 54, 106, 56))
    neck = shapely.union_all([box(0, 0, 10, 10), box(10, 4, 20, 6), box(20, 0, 30, 10)])
    rooms = regions.inset(neck, 2)
    assert isinstance(rooms, MultiPolygon)
    # each room of 6 x 6 reaches into the mouth, as far as circles around its two corners allow
    mouth = 2 * (2 - np.sqrt(3) / 2 - 2 * np.arcsin(0.5))
    assert [room.area for room in rooms.geoms] == pytest.approx([36 + mouth] * 2, abs=0.03)


def test_inset_and_outset_by_nothing_and_by_less_than_nothing() -> None:
    assert regions.inset(PARTS, 0) is PARTS
    assert regions.outset(PARTS, 0) is PARTS
    assert regions.outset(PARTS, -1).equals(regions.inset(PARTS, 1))
    assert regions.inset(PARTS, -1).equals(regions.outset(PARTS, 1))
    for nothing in (Polygon(), MultiPolygon()):
        assert regions.inset(nothing, 2).is_empty
        assert regions.outset(nothing, 2).is_empty
        assert regions.rounded(nothing, 2).is_empty


def test_no_point_of_an_inset_is_nearer_to_the_edge_than_it_says() -> None:
    """Around a dent the inset has a round corner, whose chords would come too near."""
    dent = box(0, 0, 40, 40).difference(box(15, 15, 25, 25))
    parts = MultiPolygon([dent, affinity.translate(dent, 100, 7)])
    for distance in (1.0, 3.0, 4.7):
        for given, found in (
            (part, regions.inset(part, distance)) for part in (dent, *parts.geoms, parts)
        ):
            assert shapely.distance(given.boundary, found.boundary) >= distance - 1.1e-9
            assert found.area == pytest.approx(
                len(shapely.get_parts(given))
                * ((40 - 2 * distance) ** 2 - 100 - 40 * distance - np.pi * distance**2),
                rel=1e-3,
            )


def test_sharp_corners_end_at_five_times_the_distance() -> None:
    """A needle of 10 degrees would reach 1 / sin(5°) = 11.5 times the distance; one of 40 degrees
    reaches 1 / sin(20°) = 2.9 times.
    """
    for angle, reach in ((10, None), (40, 1 / np.sin(np.radians(20)))):
        half = np.tan(np.radians(angle / 2)) * 50
        needle = Polygon([(0, 0), (-50, half), (-50, -half)])
        right = regions.outset(needle, 1, corners="sharp").bounds[2]
        assert right <= 5
        if reach:
            assert right == pytest.approx(reach)
        assert regions.outset(needle, 1).bounds[2] == pytest.approx(1, abs=1e-3)


def test_round_corners_leave_their_arc_by_no_more_than_they_say() -> None:
    ring = shapely.get_coordinates(regions.outset(box(0, 0, 1, 1), 10).boundary)
    middle = (ring[1:] + ring[:-1]) / 2
    away = shapely.distance(shapely.points(middle), box(0, 0, 1, 1))
    assert 10 * (1 - 0.0004) < away.min() < 10 * (1 - 0.0002)


def test_rounding_fills_a_slit_and_takes_a_thorn() -> None:
    slit = box(0, 0, 20, 20).difference(box(9.5, 10, 10.5, 20))
    thorn = box(0, 0, 20, 20).union(box(20, 9.5, 30, 10.5))
    assert regions.rounded(slit, 1, corners="inside").covers(box(9, 11, 11, 19))
    assert not regions.rounded(slit, 1, corners="outside").intersects(box(9.6, 12, 10.4, 19))
    assert regions.rounded(thorn, 1, corners="outside").bounds[2] == pytest.approx(
        21 - np.sqrt(0.75), abs=1e-3
    )  # a disc of radius 1 sinks so far into a mouth 1 mm wide
    assert regions.rounded(thorn, 1, corners="inside").bounds[2] == pytest.approx(30)
    assert 20 < regions.rounded(thorn, 1).bounds[2] < 21  # its root was rounded first


# ---- outlines


def test_outlines_come_copy_after_copy_part_after_part() -> None:
    rings = regions.outline(PARTS, distances=(0.0, -1.0), pen=BROAD)
    assert rings.lengths.tolist() == [40, 24, 4, 32, 16]
    assert [tuple(stroke.min(axis=0)) for stroke in rings][3:] == [(101, 51), (121, 51)]
    assert regions.outline(PARTS).lengths.tolist() == [40, 24, 4]
    assert regions.outline(PARTS).pens == (DEFAULT_PEN,)


def test_compensated_needs_no_pen_and_keeps_corners_sharp() -> None:
    half = DEFAULT_PEN.width / 2
    assert regions.compensated(box(0, 0, 5, 5)).bounds == pytest.approx(
        (half, half, 5 - half, 5 - half)
    )
    window = regions.compensated(box(0, 0, 5, 5), pen=BROAD, true="inside")
    assert window.length == pytest.approx(24)
    assert window.pens == (BROAD,)


def test_each_stroke_is_inked_by_its_own_pen_unless_a_width_is_given() -> None:
    drawing = line((0, 0), (10, 0), pen=BROAD) + line((0, 50), (10, 50), pen=FINE)
    assert regions.swept(drawing).bounds == pytest.approx((-0.5, -0.5, 10.5, 50.1))
    assert regions.swept(drawing, width=4).bounds == pytest.approx((-2, -2, 12, 52))
    assert regions.swept(drawing + line((5, -5), (5, 5), pen=BROAD)).area == pytest.approx(
        2 * (10 + np.pi / 4) - 1 + 2 + np.pi / 100, rel=1e-3
    )


def test_clusters_are_what_meets_directly_or_by_others() -> None:
    boxes = [box(x, 0, x + 2, 1) for x in (0, 10, 1, 20, 11, 2.5)]
    found = clusters(np.array([*boxes[:3], Polygon(), *boxes[3:]], dtype=object))
    assert [group.tolist() for group in found] == [[0, 2, 6], [1, 5], [4]]


@pytest.mark.parametrize("area", [box(0, 0, 9, 9), Polygon()])
@pytest.mark.parametrize("distances", [(), (1,), (0,), (-1,)])
def test_a_wrong_word_is_refused_whatever_the_distance(
    area: Polygon, distances: tuple[float, ...]
) -> None:
    with pytest.raises(UnknownName, match="blunt"):
        regions.outline(area, distances=distances, corners="blunt")
    for distance in distances:
        with pytest.raises(UnknownName, match="blunt"):
            regions.outset(area, distance, corners="blunt")


# ---- silhouettes and stacks


def test_a_silhouette_has_no_holes_and_takes_crossed_rings() -> None:
    ring = circle((70, 80), 10) + circle((70, 80), 6)
    assert regions.silhouette(ring).area == pytest.approx(100 * np.pi, rel=3e-3)
    eight = Drawing([[(0, 0), (4, 4), (4, 0), (0, 4), (0, 0)]])
    assert regions.silhouette(eight).area == pytest.approx(8)
    assert regions.silhouette(Drawing([[(0, 0), (4, 0), (0, 0)], [(1, 1)]])).is_empty
    frame = [rectangle((0, 0), 30, 2), rectangle((0, 28), 30, 2)]
    sides = [rectangle((0, 0), 2, 30), rectangle((28, 0), 2, 30)]
    assert regions.silhouette(Drawing([*frame, *sides])).area == pytest.approx(900)
    triangle = Drawing([[(0, 0), (4, 0), (0, 4), (0, 0)]])
    assert regions.silhouette(triangle).area == 8


def test_open_strokes_surround_nothing_and_rings_apart_are_not_joined() -> None:
    bay = Drawing([[(0, 0), (10, 0), (10, 10), (0, 10)]])
    assert regions.silhouette(bay).is_empty
    rings = [rectangle(at, 4, 4) for at in ((0, 0), (20, 0), (0, 20))]
    found = regions.silhouette(rings[0] + rings[1] + rings[2] + bay)
    assert found.equals(MultiPolygon([box(0, 0, 4, 4), box(20, 0, 24, 4), box(0, 20, 4, 24)]))


def test_a_stack_hides_what_lies_below_whatever_the_number_of_masks() -> None:
    base = line((0, 5), (100, 5))
    for count in (1, 2, 3, 4, 5, 12, 13, 25):
        lids = [rectangle((4 * k + 1, 0), 2, 10) for k in range(count)]
        seen = regions.stack([base, *lids])
        assert seen[: len(seen) - count].length == pytest.approx(100 - 2 * count)
        assert regions.stack([*lids, base]) == Drawing([*lids, base])


def test_a_drawing_wholly_covered_is_gone_and_one_beside_the_lid_stays() -> None:
    lid = rectangle((-10, -10), 60, 60)
    covered = [circle((5, 5), 3), line((0, 0), (20, 20)), Drawing([[(1, 1)]])]
    beside = circle((90, 90), 5, pen=FINE)
    assert regions.stack([*covered, beside, lid]) == beside + lid
    halves = [rectangle((-10, -10), 30, 60), rectangle((19, -10), 40, 60)]
    assert regions.stack([line((0, 0), (40, 40)), *halves])[:1].length == pytest.approx(118)


def test_a_gap_is_as_wide_as_it_says_on_all_sides() -> None:
    lid = rectangle((8, -5), 4, 10)
    above = regions.stack([line((0, 7), (20, 7)), lid], gap=1)
    assert above[0].tolist() == [[0, 7], [20, 7]]
    beside = regions.stack([line((0, 0), (20, 0)), lid], gap=2.5)
    assert beside[:2].lengths.tolist() == pytest.approx([5.5, 5.5])


# ---- medial axis


@pytest.mark.parametrize("at", [(0.0, 0.0), (250.0, 140.0), (-3_000.0, 40.0)])
def test_a_middle_lies_in_the_middle_wherever_the_area_is(at: tuple[float, float]) -> None:
    strip = affinity.translate(box(0, 0, 40, 1), *at)
    drawing = regions.medial_axis(strip, step=0.2, branch=1, pen=FINE)
    assert len(drawing) == 1
    assert drawing.pens == (FINE,)
    local = drawing[0] - at
    assert np.abs(local[:, 1] - 0.5).max() <= 0.1
    assert local[:, 0].min() == pytest.approx(0.5, abs=0.35)
    assert local[:, 0].max() == pytest.approx(39.5, abs=0.35)


def test_branches_longer_than_the_limit_are_drawn_after_the_longest_line() -> None:
    """A T of bars 1 mm wide: 40 mm across, a stem of 15 mm, and a stub of 3 mm."""
    shape = shapely.union_all([box(0, 0, 40, 1), box(20, -15, 21, 0), box(9, 1, 10, 4)])
    place = affinity.translate(shape, 100, 200)
    both = regions.medial_axis(place, step=0.2, branch=2)
    assert both.lengths.round().tolist() == pytest.approx([39, 15, 3], abs=1.5)
    assert len(regions.medial_axis(place, step=0.2, branch=8)) == 2
    assert len(regions.medial_axis(place, step=0.2, branch=30)) == 1
    assert regions.medial_axis(place, step=0.2, branch=8)[1][:, 1].min() == pytest.approx(
        185.5, abs=0.5
    )


def test_every_part_has_a_middle_and_a_small_one_is_a_dot_inside() -> None:
    parts = MultiPolygon([box(0, 0, 20, 1), box(50, 50, 51, 70), box(80, 80, 80.5, 80.5)])
    drawing = regions.medial_axis(parts, step=0.2, branch=1)
    assert np.diff(drawing.offsets).tolist()[2:] == [1]
    assert box(80, 80, 80.5, 80.5).contains(shapely.Point(drawing[2][0]))
    assert shapely.covers(parts, shapely.points(drawing.points)).all()
    assert len(regions.medial_axis(Polygon(), step=0.2)) == 0
    assert len(regions.medial_axis(Polygon([(0, 0), (5, 5), (9, 9)]), step=0.2)) == 0


@pytest.mark.parametrize(
    "area",
    [
        Polygon([(0, 0), (30, 0), (30, 8), (10, 8), (10, 25), (0, 25)]),
        box(0, 0, 30, 12).difference(box(10, 4, 18, 6)),
        Polygon([(0, 0), (20, 1), (5, 4), (22, 9), (0, 8)]),
    ],
)
def test_a_middle_never_leaves_its_area(area: Polygon) -> None:
    lines = regions.medial_axis(area, step=0.5, branch=0.5)
    assert len(lines)
    assert shapely.covers(area, shapely.union_all(lines.to_shapely()))
    assert shapely.distance(shapely.points(lines.points), area.exterior).min() > 0


def test_a_ring_has_a_middle_all_around() -> None:
    ring = shapely.Point(30, 40).buffer(10, 64).difference(shapely.Point(30, 40).buffer(9, 64))
    drawing = regions.medial_axis(ring, step=0.25)
    assert drawing.length == pytest.approx(2 * np.pi * 9.5, rel=0.05)
    away = np.hypot(*(drawing.points - (30, 40)).T)
    assert np.abs(away - 9.5).max() <= 0.125


def test_thousands_of_points_on_one_circle_have_a_middle_soon() -> None:
    """To a Voronoi diagram points on one circle are one point of equal distance to all: qhull takes
    time that grows with their square (over 150 s of the processor for these), and hears no signal.
    The limit is a guard against that, no measure of speed.
    """
    centre = shapely.Point(30, 40)
    ring = centre.buffer(10, 4_000).difference(centre.buffer(9, 4_000))
    begun = time.process_time()
    drawing = regions.medial_axis(ring, step=0.05)
    assert time.process_time() - begun < 20
    assert drawing.length == pytest.approx(2 * np.pi * 9.5, rel=0.05)
    away = np.hypot(*(drawing.points - (30, 40)).T)
    assert np.abs(away - 9.5).max() <= 0.025
