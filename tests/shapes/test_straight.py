import numpy as np
import pytest

from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.shapes import dots, line, lines, polyline

RED = Pen("red")


def test_line_goes_from_start_to_end_with_its_pen():
    drawing = line((1, 2), (4, 6), pen=RED)
    assert drawing[0].tolist() == [[1, 2], [4, 6]]
    assert drawing.pens == (RED,)


def test_lines_keep_their_order():
    drawing = lines([(0, 0), (1, 1)], [(2, 0), (3, 1)])
    assert [stroke.tolist() for stroke in drawing] == [[[0, 0], [2, 0]], [[1, 1], [3, 1]]]


def test_no_lines_and_no_dots_are_empty_drawings():
    assert len(lines(np.empty((0, 2)), np.empty((0, 2)))) == 0
    assert len(dots(np.empty((0, 2)))) == 0


def test_lines_of_unlike_number_are_refused():
    with pytest.raises(InvalidValue, match="got 2 and 1"):
        lines([(0, 0), (1, 1)], [(2, 0)])


@pytest.mark.parametrize("last", [[], [(0, 0)]])
def test_closed_polyline_closes_once(last):
    drawing = polyline([(0, 0), (3, 0), (3, 4), *last], closed=True)
    assert drawing[0].tolist() == [[0, 0], [3, 0], [3, 4], [0, 0]]
    assert drawing.is_closed.all()


@pytest.mark.parametrize(
    ("points", "closed"), [([(0, 0)], False), ([(0, 0), (1, 1)], True), ([], False)]
)
def test_too_few_points_are_refused(points, closed):
    with pytest.raises(InvalidValue):
        polyline(points, closed=closed)


def test_points_given_are_not_frozen_or_shared():
    given = np.array([[0.0, 0.0], [1.0, 0.0]])
    made = [polyline(given), dots(given)]
    given[0, 0] = 99.0
    assert all(drawing.points[0, 0] == 0.0 for drawing in made)


def test_each_dot_is_a_stroke_of_one_point():
    assert np.diff(dots([(0, 0), (1, 2)], pen=RED).offsets).tolist() == [1, 1]


@pytest.mark.parametrize("bad", [(0, float("nan")), "ab", (1, 2, 3), None])
def test_what_is_no_point_is_refused(bad):
    with pytest.raises(InvalidValue):
        line(bad, (0, 0))
    with pytest.raises(InvalidValue):
        dots([bad])


def test_a_flag_is_no_word() -> None:
    with pytest.raises(InvalidValue, match="closed must be True or False"):
        polyline([(0, 0), (1, 0), (1, 1)], closed="no")  # type: ignore[arg-type]


def test_a_last_point_that_misses_the_first_by_a_hair_is_the_first() -> None:
    corners = [(0, 0), (9, 0), (9, 9), (1e-15, -1e-15)]
    assert polyline(corners, closed=True)[0].tolist() == [[0, 0], [9, 0], [9, 9], [0, 0]]
    assert polyline(corners).is_closed.all()
