import numpy as np
import pytest
import shapely

from plotlib.curves import dragon, koch, koch_snowflake, sierpinski_arrowhead
from plotlib.errors import InvalidValue


@pytest.mark.parametrize("make", [koch, dragon, sierpinski_arrowhead])
@pytest.mark.parametrize("depth", [0, 1, 4, 5])
def test_curves_go_from_start_to_end_in_equal_steps(make, depth):
    drawing = make((3.3, 4), (40, -20.1), depth=depth)
    assert drawing[0][[0, -1]].tolist() == [[3.3, 4], [40, -20.1]]
    steps = np.hypot(*np.diff(drawing[0], axis=0).T)
    np.testing.assert_allclose(steps, steps[0], rtol=1e-9)
    side = {koch: 3, dragon: 2**0.5, sierpinski_arrowhead: 2}[make] ** -depth
    assert steps[0] == pytest.approx(side * np.hypot(36.7, 24.1))


@pytest.mark.parametrize("make", [koch, sierpinski_arrowhead])
@pytest.mark.parametrize("depth", [1, 2, 3, 6])
def test_triangles_are_on_the_left(make, depth):
    drawing = make((0, 0), (90, 0), depth=depth)
    assert drawing.bounds[1] > -1e-9
    assert drawing.bounds[3] > 20
    assert shapely.LineString(drawing[0]).is_simple


def test_moved_and_turned_ends_give_the_curve_moved_and_turned():
    there = dragon((10, 20), (10, 60), depth=7)
    np.testing.assert_allclose(
        there[0], dragon((0, 0), (40, 0), depth=7).turned(90).moved(10, 20)[0], atol=1e-12
    )


@pytest.mark.parametrize("depth", [0, 1, 3])
def test_snowflake_is_centred_with_a_corner_on_top(depth):
    drawing = koch_snowflake((5, 6), 40, depth=depth)
    assert drawing.is_closed.all()
    assert drawing[0][0] == pytest.approx((5, 46))
    ring = shapely.Polygon(drawing[0])
    assert ring.is_valid
    assert (ring.centroid.x, ring.centroid.y) == pytest.approx((5, 6))
    assert np.hypot(*(drawing[0] - (5, 6)).T).max() == pytest.approx(40)


@pytest.mark.parametrize(
    ("make", "deepest"), [(koch, 10), (dragon, 20), (sierpinski_arrowhead, 13)]
)
def test_the_greatest_depth_fits_and_more_is_refused(make, deepest):
    assert (
        len(make((0, 0), (1000, 0), depth=deepest)[0])
        == {koch: 4, dragon: 2, sierpinski_arrowhead: 3}[make] ** deepest + 1
    )
    for depth in (deepest + 1, -1):
        with pytest.raises(InvalidValue, match="depth"):
            make((0, 0), (1000, 0), depth=depth)
    with pytest.raises(InvalidValue, match="different"):
        make((1, 1), (1, 1), depth=2)


def test_snowflakes_that_are_none_are_refused():
    for radius, depth in [(0, 1), (5, 10), (5, -1)]:
        with pytest.raises(InvalidValue, match=r"radius|depth"):
            koch_snowflake((0, 0), radius, depth=depth)
