import numpy as np
import pytest
from shapely import MultiPolygon, Point, Polygon, box

from plotlib import Drawing, fields
from plotlib.errors import InvalidValue


def test_signed_distance_to_a_disc():
    field = fields.distance(Point(10, 20).buffer(15, quad_segs=512))
    x, y = np.random.default_rng(0).uniform(-30, 50, (2, 500))
    far = np.hypot(x - 10, y - 20)
    np.testing.assert_allclose(field(x, y), far - 15, atol=1e-4)
    along_x, along_y = field.slopes(x, y)
    apart = (np.abs(far - 15) > 0.5) & (far > 1)
    np.testing.assert_allclose(along_x[apart], ((x - 10) / far)[apart], atol=0.02)
    np.testing.assert_allclose(along_y[apart], ((y - 20) / far)[apart], atol=0.02)


def test_hole_and_parts():
    area = MultiPolygon([box(0, 0, 10, 10).difference(box(4, 4, 6, 6)), box(20, 0, 30, 10)])
    field = fields.distance(area)
    assert field(5, 5) == 1
    assert field(15, 5) == 5
    assert field(25, 5) == -5
    assert field(np.zeros((2, 1)), np.zeros((1, 3))).shape == (2, 3)


def test_strokes():
    field = fields.distance_to_strokes(Drawing([[(0, 0), (10, 0)], [(0, 5)]]))
    assert field(0, 4) == 1
    assert field(5, -2) == 2
    assert field.slopes(5, -2) == (0, -1)


def test_nothing_has_no_distance():
    with pytest.raises(InvalidValue, match="empty area"):
        fields.distance(Polygon())
    with pytest.raises(InvalidValue, match="without strokes"):
        fields.distance_to_strokes(Drawing())
