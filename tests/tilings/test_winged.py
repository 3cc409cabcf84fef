"""Tiles of several sizes run into each other without a corner."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely import Point, box

from plotlib import tilings
from plotlib.errors import InvalidValue

SHEET = box(0, 0, 120, 90)


def turns(area: shapely.Geometry, within: shapely.Geometry) -> np.ndarray:
    """Degrees by which the outline turns at each of its points inside of an area."""
    found = []
    for part in shapely.get_parts(area):
        for ring in (part.exterior, *part.interiors):
            points = np.array(ring.simplify(1e-4).coords)[:-1]
            ahead = np.roll(points, -1, axis=0) - points
            back = points - np.roll(points, 1, axis=0)
            cross = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0]
            turn = np.degrees(np.arctan2(cross, (ahead * back).sum(axis=1)))
            inside = shapely.contains_xy(within, points[:, 0], points[:, 1])
            found.append(np.abs(turn)[inside])
    return np.concatenate(found)


def test_ink_of_one_size():
    """Two quarter rings from a third to two thirds of the side: π s² / 6 a tile (by hand)."""
    dark = tilings.multiscale_truchet(
        box(0, 0, 70, 50), side=10, levels=1, variety=0, tolerance=0.0005, seed=4
    )
    assert dark.area == pytest.approx(35 * 100 * math.pi / 6, rel=1e-3)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("levels", [1, 2, 3])
def test_outlines_have_no_corners(levels, seed):
    """Bands leave squarely through the middles of edges, wings take them up (C. Carlson, 2018).
    Arcs of radius 2.5 / 2 and more turn by less than 12 degrees between chords.
    """
    dark = tilings.multiscale_truchet(
        SHEET, side=30, levels=levels, share=0.6, variety=0.0, tolerance=0.003, seed=seed
    )
    assert dark.is_valid
    assert turns(dark, SHEET.buffer(-1e-3)).max() < 12


def test_a_straight_cross_has_corners_where_bands_cross():
    dark = tilings.multiscale_truchet(SHEET, side=30, levels=1, variety=1, seed=1)
    sharp = turns(dark, SHEET.buffer(-1e-3))
    assert np.allclose(sharp[sharp > 15], 90, atol=6)


def test_smaller_tiles_are_light_on_dark():
    """All tiles divided once: the large ones are hidden, and light bands leave the rest dark."""
    light = tilings.multiscale_truchet(
        SHEET, side=30, levels=2, share=1, variety=0, tolerance=0.0005
    )
    inner = SHEET.buffer(-15)
    bands = inner.difference(light).area / inner.area
    assert bands == pytest.approx(math.pi / 6, rel=1e-3)


def test_it_stays_in_its_area_and_comes_again():
    area = Point(50, 40).buffer(33)
    dark = tilings.multiscale_truchet(area, side=20, seed=7)
    assert area.buffer(1e-6).contains(dark)
    assert dark.equals_exact(tilings.multiscale_truchet(area, side=20, seed=7))
    assert not dark.equals(tilings.multiscale_truchet(area, side=20, seed=8))


def test_refusals_and_nothing():
    assert tilings.multiscale_truchet(shapely.Polygon(), side=3).is_empty
    with pytest.raises(InvalidValue, match="fewer levels"):
        tilings.multiscale_truchet(SHEET, side=2, levels=6, share=1)
    with pytest.raises(InvalidValue, match="tolerance = 1e-09"):
        tilings.multiscale_truchet(SHEET, side=20, tolerance=1e-9)
