"""Geometries of shapely as strokes and back."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from plotlib.arrays.fromshapely import to_lines, unpack
from plotlib.errors import InvalidValue

HOLED = shapely.Polygon([(0, 0), (9, 0), (9, 9), (0, 0)], [[(5, 1), (6, 1), (6, 2), (5, 1)]])
LINE = shapely.LineString([(1, 1), (2, 2)])
DOT = shapely.Point(7, 8)


def strokes(*geometries: Any) -> list[Any]:
    points, offsets = unpack(geometries)
    return [part.tolist() for part in np.split(points, offsets[1:-1])] if len(points) else []


def test_all_kinds_in_the_order_given() -> None:
    """A polygon between two others, its hole after its outline; collections in collections."""
    shell = [[0, 0], [9, 0], [9, 9], [0, 0]]
    hole = [[5, 1], [6, 1], [6, 2], [5, 1]]
    line = [[1, 1], [2, 2]]
    assert strokes(LINE, HOLED, DOT) == [line, shell, hole, [[7, 8]]]
    assert strokes(HOLED, LINE, HOLED) == [shell, hole, line, shell, hole]
    nested = shapely.GeometryCollection(
        [shapely.MultiPolygon([HOLED]), shapely.GeometryCollection([shapely.MultiPoint([DOT])])]
    )
    assert strokes(nested, shapely.MultiLineString([LINE])) == [shell, hole, [[7, 8]], line]
    assert strokes(shapely.LinearRing(shell)) == [shell]


def test_empty_ones_give_nothing() -> None:
    empty = [shapely.Point(), shapely.Polygon(), shapely.GeometryCollection()]
    assert strokes(*empty) == []
    assert unpack([])[1].tolist() == [0]
    assert strokes(empty[0], LINE, empty[1]) == [[[1, 1], [2, 2]]]


def test_heights_are_refused() -> None:
    with pytest.raises(InvalidValue, match="has z"):
        unpack([LINE, shapely.Point(1, 2, 3)])


def test_strokes_as_geometries() -> None:
    points = np.array([(7, 8), (1, 1), (2, 2), (3, 3), (4, 5), (6, 7), (8, 9)], float)
    offsets = np.array([0, 1, 4, 5, 7])
    made = to_lines(points, offsets)
    assert [line.geom_type for line in made] == ["Point", "LineString", "Point", "LineString"]
    parts = [shapely.get_coordinates(line).tolist() for line in made]
    assert parts == [part.tolist() for part in np.split(points, offsets[1:-1])]
    dots = to_lines(points, np.arange(8))
    assert [line.geom_type for line in dots] == ["Point"] * 7
    assert len(to_lines(np.zeros((0, 2)), np.zeros(1, np.int64))) == 0
