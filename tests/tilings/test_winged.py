"""Tiles of several sizes run into each other without a corner."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from plotlib import tilings
from plotlib.errors import InvalidValue
from plotlib.tilings.truchet import squares
from plotlib.tilings.winged import _laid

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


def painted(area: shapely.Geometry, side: float, levels: int, share: float, seed: int) -> Any:
    """The same by unions and differences of polygons, tile upon tile: slow and obvious."""
    random = np.random.default_rng(seed)
    columns, rows = squares(area.bounds, side)
    leaves = _laid((columns, rows), levels, share, 0.5, random)
    dark: Any = shapely.Polygon()
    for level in range(levels):
        mine = leaves.level == level
        length = side / 2**level
        for place, motif in zip(leaves.place[mine], leaves.motif[mine], strict=True):
            low = np.array(area.bounds[:2]) + length * place
            ground, bands = tile(*low, length, motif)
            dark = dark.union(ground) if level % 2 else dark.difference(ground)
            dark = dark.difference(bands) if level % 2 else dark.union(bands)
    return dark.intersection(area)


def tile(x: float, y: float, side: float, motif: int) -> tuple[Any, Any]:
    """The ground of a tile with its wings, and its bands with their ends."""
    square = box(x, y, x + side, y + side)
    corners = [Point(x + side * i, y + side * j) for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))]
    middles = [(0.5, 0), (1, 0.5), (0.5, 1), (0, 0.5)]
    ends = [Point(x + side * i, y + side * j).buffer(side / 6, quad_segs=40) for i, j in middles]
    wings = [corner.buffer(side / 3, quad_segs=40) for corner in corners]
    rings = [corner.buffer(2 * side / 3, quad_segs=80) for corner in corners]
    arcs = [ring.difference(wing) & square for ring, wing in zip(rings, wings, strict=True)]
    flat = box(x, y + side / 3, x + side, y + 2 * side / 3)
    steep = box(x + side / 3, y, x + 2 * side / 3, y + side)
    bands = [arcs[0::2], arcs[1::2], [flat], [steep], [flat, steep], []][motif]
    return shapely.union_all([square, *wings]), shapely.union_all([*ends, *bands])


@pytest.mark.parametrize("seed", range(3))
def test_outlines_arc_by_arc_are_those_of_painted_tiles(seed):
    """Four levels side by side, so that small discs lie on discs on bands of large tiles."""
    area = [box(2, 3, 70, 50), Point(40, 30).buffer(24)][seed % 2]
    made = tilings.multiscale_truchet(
        area, side=30, levels=4, share=0.55, variety=0.5, seed=seed, tolerance=0.001
    )
    wanted = painted(area, 30, 4, 0.55, seed)
    assert made.is_valid
    assert made.area == pytest.approx(wanted.area, rel=1e-3)
    assert made.symmetric_difference(wanted).area < 2e-3 * wanted.length


@settings(max_examples=30, deadline=None)
@given(
    st.integers(1, 6),
    st.floats(0, 0.6),
    st.floats(0, 1),
    st.sampled_from([0.01, 0.1, 3.0]),
    st.integers(0, 10_000),
)
def test_the_dark_area_is_valid(levels, share, variety, tolerance, seed):
    """However coarse its chords; and its islands lie in holes."""
    dark = tilings.multiscale_truchet(
        box(0, 0, 50, 40),
        side=17,
        levels=levels,
        share=share,
        variety=variety,
        tolerance=tolerance,
        seed=seed,
    )
    assert dark.is_valid
    assert 0 < dark.area < 50 * 40


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
