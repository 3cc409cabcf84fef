import numpy as np
import pytest

from plotlib.text.fonts.contours import Contours, area_of, flattened


def ring(*points):
    return np.array([*points, points[0]], float)


def square(size, at=0.0, clockwise=False):
    points = [(at, at), (at + size, at), (at + size, at + size), (at, at + size)]
    return ring(*(points[::-1] if clockwise else points))


def test_overlapping_ink_is_one_and_its_counter_stays():
    area = area_of([square(10), square(10, 5), square(2, 1, clockwise=True)])
    assert area.area == pytest.approx(100 + 100 - 25 - 4)


def test_ink_over_a_hole_of_other_ink_fills_it():
    assert area_of([square(10), square(4, 2, clockwise=True), square(5, 1)]).area == pytest.approx(
        100
    )


def test_which_way_round_does_not_matter():
    plain = area_of([square(10), square(4, 3, clockwise=True)])
    turned = area_of([square(10, clockwise=True), square(4, 3)])
    assert plain.equals(turned)


def test_rings_without_area_are_nothing():
    assert area_of([ring((0, 0), (5, 0)), ring((1, 1))]).is_empty
    assert area_of([]).is_empty


def test_a_quadratic_and_its_cubic_flatten_alike():
    quadratic = (((0.0, 0.0), (5.0, 10.0), (10.0, 0.0)), ((10.0, 0.0), (0.0, 0.0)))
    cubic = (
        ((0.0, 0.0), (10 / 3, 20 / 3), (20 / 3, 20 / 3), (10.0, 0.0)),
        ((10.0, 0.0), (0.0, 0.0)),
    )
    for contour in (quadratic, cubic):
        points = flattened(contour, 0.001)
        curve = points[:-1]
        np.testing.assert_allclose(curve[:, 1], 2 * curve[:, 0] * (1 - curve[:, 0] / 10), atol=1e-9)
        x = curve[:, 0]
        middle = (x[1:] + x[:-1]) / 2
        gap = np.abs((curve[1:, 1] + curve[:-1, 1]) / 2 - 2 * middle * (1 - middle / 10))
        assert gap.max() <= 0.001


def test_the_drawing_protocol_closes_what_is_left_open():
    pen = Contours()
    pen.moveTo((0, 0))
    pen.lineTo((4, 0))
    pen.lineTo((4, 4))
    pen.closePath()
    pen.moveTo((9, 9))
    pen.closePath()
    assert len(pen.contours) == 1
    assert pen.contours[0][-1] == ((4, 4), (0, 0))
