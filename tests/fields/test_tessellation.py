import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point, Polygon, box

from plotlib import fields

SPOTS = np.random.default_rng(0).uniform(0, 50, (80, 2))
REGION = box(0, 0, 50, 50)


def test_cells_are_what_is_nearest():
    cells = fields.voronoi_cells(SPOTS, REGION)
    assert sum(cell.area for cell in cells) == pytest.approx(REGION.area)
    probes = np.random.default_rng(1).uniform(0, 50, (2000, 2))
    nearest = np.hypot(*(probes[:, None] - SPOTS[None]).transpose(2, 0, 1)).argmin(axis=1)
    assert all(
        shapely.distance(cells[k], Point(spot)) < 1e-9
        for k, spot in zip(nearest, probes, strict=True)
    )


def test_borders_are_the_edges_of_the_cells_drawn_once():
    """Their length is half the cells' outlines without the region's edge: Euler's counting of a
    planar map.
    """
    borders = fields.voronoi(SPOTS, REGION)
    outlines = sum(cell.length for cell in fields.voronoi_cells(SPOTS, REGION))
    assert borders.length == pytest.approx((outlines - REGION.length) / 2)


def test_agrees_with_the_library_of_geometry():
    theirs = shapely.get_parts(
        shapely.voronoi_polygons(shapely.multipoints(SPOTS), extend_to=REGION.buffer(9))
    )
    ours = {round(cell.area, 6) for cell in fields.voronoi_cells(SPOTS, REGION)}
    assert ours == {round(cell.intersection(REGION).area, 6) for cell in theirs}


def test_triangles():
    """Euler: n points, h of them on the hull, have 3n − 3 − h sides."""
    sides = fields.delaunay(SPOTS, box(-1, -1, 51, 51))
    hull = len(shapely.get_coordinates(shapely.multipoints(SPOTS).convex_hull)) - 1
    assert len(sides) == 3 * 80 - 3 - hull
    theirs = shapely.get_parts(
        shapely.delaunay_triangles(shapely.multipoints(SPOTS), only_edges=True)
    )
    assert sides.length == pytest.approx(sum(edge.length for edge in theirs))


def test_areas_with_holes_and_parts():
    area = MultiPolygon(
        [Point(15, 15).buffer(12).difference(Point(15, 15).buffer(5)), box(30, 30, 48, 48)]
    )
    for drawing in (fields.voronoi(SPOTS, area), fields.delaunay(SPOTS, area)):
        assert shapely.covers(area.buffer(1e-9), shapely.union_all(drawing.to_shapely()))
    assert sum(cell.area for cell in fields.voronoi_cells(SPOTS, area)) == pytest.approx(area.area)


@pytest.mark.parametrize(
    "spots",
    [
        np.empty((0, 2)),
        [(5, 5)],
        [(5, 5), (5, 5)],
        [(1, 1), (2, 2), (3, 3)],
        [(1e6, 0), (0, 1e6)],
        [(0, 0), (1e-9, 0)],
    ],
)
def test_few_and_odd_points(spots):
    fields.voronoi(spots, REGION)
    fields.delaunay(spots, REGION)
    cells = fields.voronoi_cells(spots, REGION)
    assert len(cells) == len(spots)
    assert sum(cell.area for cell in cells) == pytest.approx(REGION.area if len(spots) else 0)
    assert len(fields.voronoi(spots, Polygon())) == 0


def test_points_on_a_line_are_joined_in_a_row():
    assert fields.delaunay([(3, 3), (1, 1), (2, 2)], REGION).length == pytest.approx(2 * np.sqrt(2))


def test_no_points_are_no_drawing():
    assert len(fields.voronoi([], REGION)) == 0
    assert len(fields.delaunay([], REGION)) == 0
    assert fields.voronoi_cells([], REGION) == []
    assert fields.lloyd([], REGION).shape == (0, 2)
