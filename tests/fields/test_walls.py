import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Point, Polygon, box

from plotlib.fields.walls import walls_of
from plotlib.fields.walls_kernel import free_share, is_inside

AREAS = {
    "box": box(1, 2, 40, 30),
    "ring": Point(20, 20).buffer(18).difference(Point(18, 21).buffer(9)),
    "parts": MultiPolygon([box(0, 0, 10, 10), Polygon([(12, 3), (30, 1), (20, 25)])]),
    "comb": shapely.union_all(
        [box(0, 0, 40, 2)] + [box(x, 0, x + 0.4, 30) for x in range(0, 40, 2)]
    ),
}


@pytest.mark.parametrize("name", AREAS)
@pytest.mark.parametrize("cell", [0.5, 7.0])
def test_inside_and_free_way(name, cell):
    area = AREAS[name]
    walls = walls_of(area, cell)
    spots = np.random.default_rng(0).uniform(-2, 42, (3000, 2))
    inside = np.array([is_inside(walls, x, y) for x, y in spots])
    np.testing.assert_array_equal(inside, shapely.contains_xy(area, *spots.T))
    starts = spots[inside][:300]
    ends = starts + np.random.default_rng(1).normal(scale=0.4 * cell, size=starts.shape)
    for (px, py), (qx, qy) in zip(starts, ends, strict=True):
        share = free_share(walls, px, py, qx, qy)
        way = shapely.LineString([(px, py), (qx, qy)])
        assert (share == 1) == area.contains(way)
        if 0 < share < 1:
            end = Point(px + share * (qx - px), py + share * (qy - py))
            assert area.covers(shapely.LineString([(px, py), end]))
            assert area.boundary.distance(end) < 2e-7
