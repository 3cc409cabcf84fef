import itertools
import math

import numpy as np
import pytest
import shapely

from plotlib.errors import InvalidValue
from plotlib.shapes import rectangle, regular_polygon, star, star_polygon


def test_rectangle_is_five_points_counter_clockwise():
    assert rectangle((1, 2), 30, 20)[0].tolist() == [[1, 2], [31, 2], [31, 22], [1, 22], [1, 2]]


@pytest.mark.parametrize("radius", [0.01, 2.5, 9.99, 10])
def test_round_corners_keep_bounds_area_and_closure(radius):
    drawing = rectangle((0.1, 0.2), 30, 20, radius=radius, tolerance=1e-4)
    assert drawing.bounds == rectangle((0.1, 0.2), 30, 20).bounds
    assert drawing.is_closed.all()
    ring = shapely.Polygon(drawing[0])
    assert ring.is_valid
    assert ring.exterior.is_ccw
    assert ring.area == pytest.approx(600 - (4 - math.pi) * radius**2, abs=0.01)


@pytest.mark.parametrize("tolerance", [0.001, 0.05])
def test_round_corners_keep_the_chord_error(tolerance):
    exact = shapely.box(5, 5, 25, 15).buffer(5, quad_segs=2000)
    ring = shapely.Polygon(rectangle((0, 0), 30, 20, radius=5, tolerance=tolerance)[0])
    assert exact.exterior.hausdorff_distance(ring.exterior) <= tolerance + 1e-6
    assert (
        shapely.distance(shapely.points(exact.exterior.coords), ring.exterior).max()
        <= tolerance + 1e-6
    )


def test_a_rectangle_as_round_as_it_gets_is_a_circle():
    points = rectangle((-7, -7), 14, 14, radius=7)[0]
    np.testing.assert_allclose(np.hypot(*points.T), 7, rtol=1e-12)
    assert (np.abs(np.diff(points, axis=0)).max(axis=1) > 0).all()


@pytest.mark.parametrize(
    ("arguments", "name"),
    [
        ({"width": 0, "height": 1}, "width"),
        ({"width": 1, "height": -1}, "height"),
        ({"width": 4, "height": 2, "radius": 1.01}, "radius"),
        ({"width": 4, "height": 2, "radius": -1}, "radius"),
    ],
)
def test_a_rectangle_of_wrong_size_is_refused(arguments, name):
    with pytest.raises(InvalidValue, match=name):
        rectangle((0, 0), **arguments)


@pytest.mark.parametrize("sides", [3, 4, 5, 6, 12])
def test_regular_polygon_has_its_corners_on_the_circle_and_the_first_on_top(sides):
    points = regular_polygon((2, 3), 7, sides=sides)[0]
    assert len(points) == sides + 1
    assert points[0].tolist() == [2.0, 10.0]
    assert points[0].tolist() == points[-1].tolist()
    np.testing.assert_allclose(np.hypot(*(points - (2, 3)).T), 7, rtol=1e-12)
    np.testing.assert_allclose(
        np.hypot(*np.diff(points, axis=0).T), 14 * math.sin(math.pi / sides), rtol=1e-12
    )


def test_square_on_its_side_is_exact_at_quarter_turns():
    assert regular_polygon((0, 0), 1, sides=4, angle=0)[0].tolist() == [
        [1, 0],
        [0, 1],
        [-1, 0],
        [0, -1],
        [1, 0],
    ]


def test_star_alternates_between_its_radii():
    points = star((0, 0), 10, tips=6, inner=4)[0]
    np.testing.assert_allclose(np.hypot(*points[:-1].T), [10, 4] * 6, rtol=1e-12)
    assert star((0, 0), 10).is_closed.all()


@pytest.mark.parametrize("tips", [5, 6, 8, 11])
def test_sides_of_a_star_lie_on_one_line_by_default(tips):
    points = star((0, 0), 1, tips=tips)[0]
    first = points[0]
    one = points[1]
    other = points[3]
    far = points[4]
    for corner in (one, other):
        (ax, ay) = far - first
        (bx, by) = corner - first
        assert ax * by - ay * bx == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    ("arguments", "name"),
    [({"tips": 4}, "tips"), ({"tips": 1, "inner": 1}, "tips"), ({"inner": 0}, "inner")],
)
def test_a_star_that_is_none_is_refused(arguments, name):
    with pytest.raises(InvalidValue, match=name):
        star((0, 0), 3, **arguments)


@pytest.mark.parametrize(
    ("corners", "step", "laps"), [(5, 2, 1), (6, 2, 2), (9, 3, 3), (7, 3, 1), (12, 4, 4), (5, 1, 1)]
)
def test_star_polygon_draws_each_side_once(corners, step, laps):
    drawing = star_polygon((1, 1), 5, corners=corners, step=step)
    assert len(drawing) == laps
    assert drawing.is_closed.all()
    sides = {
        frozenset(map(tuple, np.round(pair, 9).tolist()))
        for stroke in drawing
        for pair in itertools.pairwise(stroke)
    }
    assert len(sides) == corners


@pytest.mark.parametrize(("corners", "step"), [(2, 1), (4, 2), (5, 3), (5, 0), (5, 1.5)])
def test_a_star_polygon_that_is_none_is_refused(corners, step):
    with pytest.raises(InvalidValue):
        star_polygon((0, 0), 3, corners=corners, step=step)
