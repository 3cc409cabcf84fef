"""Affine maps against shapely's, and exact quarter turns."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
import shapely.affinity

from plotlib.arrays import affine

POINTS = np.array([(3, 4), (-1, 0.5), (0, 0), (7, -2)], float)
CORNERS = shapely.MultiPoint(POINTS)


@pytest.mark.parametrize("angle", [0, 30, 90, 135, 180, 250, 270, 300, 360, -45, -90, 450])
def test_turns_are_those_of_shapely(angle: float) -> None:
    made = affine.apply(affine.about(affine.turn(angle), (2.0, 5.0)), POINTS)
    turned = shapely.affinity.rotate(CORNERS, angle, origin=(2, 5))
    assert made == pytest.approx(shapely.get_coordinates(turned))
    mirrored = affine.apply(affine.about(affine.mirror(angle), (0.0, 0.0)), POINTS)
    way = math.radians(angle)
    along = POINTS @ np.array([math.cos(way), math.sin(way)])
    foot = along[:, None] * np.array([math.cos(way), math.sin(way)])
    assert mirrored == pytest.approx(2 * foot - POINTS)  # as far beyond the line as before it


@pytest.mark.parametrize(
    ("angle", "expected"),
    [(0, (1, 0)), (90, (0, 1)), (180, (-1, 0)), (270, (0, -1)), (-90, (0, -1)), (720, (1, 0))],
)
def test_quarter_turns_are_exact(angle: float, expected: tuple[float, float]) -> None:
    made = affine.cosine_sine(angle)
    assert made == expected
    assert all(math.copysign(1, part) > 0 for part in made if part == 0)


def test_any_matrix() -> None:
    matrix = np.array([(2, 0.5, 3), (-1, 4, 0)], float)
    made = affine.apply(matrix, POINTS)
    there = shapely.affinity.affine_transform(CORNERS, [2, 0.5, -1, 4, 3, 0])
    assert made == pytest.approx(shapely.get_coordinates(there))
    swapped = affine.apply(np.array([(0, 2, 0), (3, 0, 1)], float), POINTS)
    assert swapped.tolist() == [[2 * y, 3 * x + 1] for x, y in POINTS.tolist()]


def test_a_zero_keeps_its_sign_where_nothing_is_added() -> None:
    made = affine.apply(np.array([(2, 0, 0), (0, 3, 0)], float), np.array([(-0.0, 5.0)]))
    assert math.copysign(1, made[0, 0]) == -1
