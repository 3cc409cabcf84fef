import math

import numpy as np
import pytest

from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.shapes import arc, circle, circles, ellipse, sector


def sagitta(radius, count, sweep=2 * math.pi):
    return radius * (1 - math.cos(sweep / count / 2))


@pytest.mark.parametrize("radius", [0.01, 0.3, 5.0, 40.0, 1234.5])
@pytest.mark.parametrize("tolerance", [1e-4, 0.02, 0.5])
def test_circle_keeps_the_chord_error_with_no_more_chords_than_needed(radius, tolerance):
    count = len(circle((0, 0), radius, tolerance=tolerance)[0]) - 1
    assert count % 4 == 0
    assert sagitta(radius, count) <= tolerance * (1 + 1e-9)
    assert count == 4 or sagitta(radius, count - 4) > tolerance * (1 - 1e-9)


def test_circle_has_exact_bounds_and_closes_bit_for_bit():
    drawing = circle((60, 60), 40)
    assert drawing.bounds == (20.0, 20.0, 100.0, 100.0)
    assert drawing.is_closed.all()
    assert drawing[0][0].tolist() == [100.0, 60.0]


@pytest.mark.parametrize("radius", [0.02, 1.0, 7.0, 40.0])
def test_circle_is_the_same_in_both_mirrors_and_the_diagonal(radius):
    points = circle((0, 0), radius)[0][:-1]
    ring = {tuple(p) for p in (points + 0.0).tolist()}
    for image in (points * (-1, 1), points * (1, -1), points[:, ::-1]):
        assert {tuple(p) for p in (image + 0.0).tolist()} == ring


def test_circle_runs_counter_clockwise():
    x, y = circle((5, 5), 3)[0].T
    assert np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) > 0


def test_circles_equal_circle_one_by_one():
    rng = np.random.default_rng(4)
    centres = rng.uniform(-50, 50, (200, 2))
    radii = rng.uniform(0.01, 60, 200)
    pen = Pen("blue")
    drawing = circles(centres, radii, tolerance=0.05, pen=pen)
    assert drawing.pens == (pen,)
    assert len(drawing) == 200
    for centre, radius, stroke in zip(centres, radii, drawing, strict=True):
        np.testing.assert_array_equal(stroke, circle(centre, radius, tolerance=0.05)[0])


def test_circles_take_one_radius_for_all_and_none_at_all():
    np.testing.assert_array_equal(circles([(0, 0), (9, 9)], 2)[1], circle((9, 9), 2)[0])
    assert len(circles(np.empty((0, 2)), 1)) == 0
    assert len(circles(np.empty((0, 2)), [])) == 0


@pytest.mark.parametrize(
    ("radii", "message"),
    [
        (0, "greater than 0"),
        ([1, 2], "one for each of the 3"),
        ([1, -2, 3], "number 1"),
        ([1, 2, math.nan], "number 2"),
        (["a", "b", "c"], "numbers"),
    ],
)
def test_bad_radii_are_named(radii, message):
    with pytest.raises(InvalidValue, match=message):
        circles([(0, 0), (1, 1), (2, 2)], radii)


@pytest.mark.parametrize("radius", [0, -1, math.nan, math.inf, "3", None, True])
def test_a_radius_that_is_not_positive_is_refused(radius):
    for make in (circle, arc, sector):
        with pytest.raises(InvalidValue, match="radius"):
            make((0, 0), radius)
    with pytest.raises(InvalidValue, match="radius_y"):
        ellipse((0, 0), 3, radius)


@pytest.mark.parametrize("tolerance", [0, -0.1, math.nan])
def test_a_tolerance_that_is_not_positive_is_refused(tolerance):
    for make in (circle, arc, sector):
        with pytest.raises(InvalidValue, match="tolerance"):
            make((0, 0), 3, tolerance=tolerance)


def test_a_tolerance_that_asks_for_millions_of_points_is_refused_with_their_number():
    with pytest.raises(InvalidValue, match=r"needs [\d,]+ points"):
        circle((0, 0), 100, tolerance=1e-15)
    with pytest.raises(InvalidValue, match=r"needs [\d,]+ points"):
        circles(np.zeros((100_000, 2)), 100, tolerance=1e-4)


def test_ellipse_is_exact_in_its_bounds_and_turns():
    assert ellipse((1, 2), 50, 30).bounds == (-49.0, -28.0, 51.0, 32.0)
    assert ellipse((0, 0), 50, 30, angle=90).bounds == (-30.0, -50.0, 30.0, 50.0)
    turned = ellipse((0, 0), 5, 3, angle=30)[0]
    np.testing.assert_allclose(turned, ellipse((0, 0), 5, 3).turned(30)[0], atol=1e-12)
    assert ellipse((0, 0), 5, 3, angle=30).is_closed.all()


@pytest.mark.parametrize("sweep", [0.001, 1, 90, 123.4, 270, 359.9, 360, -45, -360])
def test_arc_keeps_the_chord_error_and_its_ends(sweep):
    points = arc((10, -5), 30, start=33, sweep=sweep, tolerance=0.01)[0] - (10, -5)
    np.testing.assert_allclose(np.hypot(*points.T), 30, rtol=1e-12)
    assert sagitta(30, len(points) - 1, math.radians(abs(sweep))) <= 0.01 * (1 + 1e-9)
    angles = np.radians([33, 33 + sweep])
    np.testing.assert_allclose(
        points[[0, -1]], 30 * np.column_stack([np.cos(angles), np.sin(angles)]), atol=1e-12
    )
    turn = np.unwrap(np.arctan2(points[:, 1], points[:, 0]))
    assert (np.diff(turn) * np.sign(sweep) > 0).all()


def test_a_full_arc_closes_bit_for_bit():
    assert arc((1 / 3, 0.1), 7, start=77, sweep=360).is_closed.all()
    assert arc((0, 0), 0.001, sweep=-360).is_closed.all()


@pytest.mark.parametrize("sweep", [0, 361, -400, math.nan])
def test_a_sweep_out_of_range_is_refused(sweep):
    with pytest.raises(InvalidValue, match="sweep"):
        arc((0, 0), 1, sweep=sweep)
    with pytest.raises(InvalidValue, match="sweep"):
        sector((0, 0), 1, sweep=sweep)


def area(points):
    x, y = points.T
    return 0.5 * np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])


@pytest.mark.parametrize(("inner", "sweep"), [(0, 70), (4, 70), (4, -200), (9.99, 359)])
def test_sector_encloses_its_area(inner, sweep):
    drawing = sector((3, 4), 10, start=15, sweep=sweep, inner=inner, tolerance=1e-5)
    assert drawing.is_closed.all()
    assert area(drawing[0]) == pytest.approx(math.radians(sweep) / 2 * (100 - inner**2), rel=1e-4)


def test_sector_corner_cases_are_refused():
    with pytest.raises(InvalidValue, match="inner"):
        sector((0, 0), 5, inner=5)
    with pytest.raises(InvalidValue, match="circle"):
        sector((0, 0), 5, sweep=360)


@pytest.mark.parametrize("radii", [[[1, 2], [3]], ["a"], [1, 2], [0], [float("nan")], None])
def test_radii_that_are_none_are_named(radii: object) -> None:
    with pytest.raises(InvalidValue, match="radii"):
        circles([(0, 0)], radii)  # type: ignore[arg-type]
