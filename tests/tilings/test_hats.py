"""Hats cover the plane once, in the numbers that were published."""

from __future__ import annotations

import math
from functools import partial

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from plotlib import tilings
from plotlib.errors import InvalidValue
from plotlib.tilings.hats import H, T, _divided, _level, _Pieces
from tests.outside import COMPUTED, SECONDARY, published

known = partial(
    published,
    module="tilings",
    source="D. Smith et al., An aperiodic monotile, as others report it",
    kind=SECONDARY,
)


SHEET = box(-31, -17, 42, 38)
ROOT = math.sqrt(3)


def expanded(level: int, sort: int) -> _Pieces:
    pieces = _Pieces(np.array([sort]), np.array([1 + 0j]), np.array([0j]))
    for number in range(level, -1, -1):
        pieces, _ = _divided(pieces, number)
    return pieces


@known(column="counts")
@pytest.mark.parametrize(
    ("sort", "counts"),
    [
        (0, [4, 25, 169, 1156]),
        (1, [1, 4, 25, 169]),
        (2, [2, 14, 96, 658]),
        (3, [2, 16, 112, 770]),
    ],
)
def test_counts_of_hats_in_metatiles(sort, counts):
    """Squares of Fibonacci numbers for H and T (D. Smith et al., *An aperiodic monotile*, rules
    H -> 3 H, T, 3 P, 3 F and so on as others report them); 147 of the 1,156 are reflected.
    """
    assert [len(expanded(level, sort).sort) for level in range(4)] == counts
    if sort == H:
        assert (expanded(3, H).sort == 1).sum() == 147
    assert [len(part.sort) for part in _level(1).parts] == [10, 1, 5, 6]
    assert _level(1).parts[T].sort.tolist() == [H]


@pytest.mark.parametrize("ratio", [ROOT, 1 / ROOT, 1, 0.4, 3])
@pytest.mark.parametrize("seed", [0, 5])
def test_hats_and_relatives_cover_once(ratio, seed):
    tiling = tilings.hats(SHEET, side=1.5, ratio=ratio, seed=seed)
    areas = np.array(tiling.areas(), object)
    pieces = shapely.intersection(areas, SHEET)
    assert shapely.area(pieces).sum() == pytest.approx(SHEET.area, rel=1e-9)
    assert shapely.union_all(pieces, grid_size=1e-7).area == pytest.approx(SHEET.area, rel=1e-6)
    assert shapely.is_valid(areas).all()
    assert all(area.exterior.is_ccw for area in areas)
    wanted = ROOT * (2 + ROOT * ratio + ratio**2) * 1.5**2
    assert np.allclose(shapely.area(areas), wanted, rtol=1e-9)


@known(
    source="its outline",
    kind=COMPUTED,
    printed=(8 * ROOT, 8 + 6 * ROOT),
    rel=1e-6,
    claim="area and perimeter of a hat",
)
def test_a_hat_is_eight_kites(within, printed):
    """Area 8 root 3, perimeter 8 + 6 root 3, the thirteen angles (worked out from the outline)."""
    tiling = tilings.hats(Point(0, 0).buffer(20), side=1)
    hat = tiling.areas(1)[0]
    assert hat.area == within.of(printed[0])
    assert hat.length == within.of(printed[1])
    points = np.array(hat.exterior.coords)[:-1]
    ahead = np.roll(points, -1, axis=0) - points
    back = np.roll(points, 1, axis=0) - points
    cross = ahead[:, 0] * back[:, 1] - ahead[:, 1] * back[:, 0]
    angles = np.degrees(np.arctan2(cross, (ahead * back).sum(axis=1))) % 360
    counts = dict(zip(*np.unique(np.round(angles, 6), return_counts=True), strict=True))
    assert counts == {90: 4, 120: 5, 180: 1, 240: 2, 270: 2}


def test_edges_come_once_and_meet_corner_to_corner():
    """Euler: corners - edges + tiles = 1; every inner edge belongs to two tiles."""
    for ratio in (ROOT, 1):
        tiling = tilings.hats(Point(5, 5).buffer(25), side=1.5, ratio=ratio)
        corners, _ = tiling.corners()
        edges = tiling.edges()
        assert len(corners) - len(edges) + len(tiling) == 1
        lengths = sorted({round(length, 6) for length in edges.lengths.tolist()})
        assert lengths == sorted({1.5, round(1.5 * ratio, 6)})


@known(printed=((1 + math.sqrt(5)) / 2) ** 4, rel=0.03, claim="hats to one reflected hat")
def test_shares_of_hats(within, printed):
    """One reflected hat to 1.618 ** 4 others (D. Smith et al.)."""
    kinds = np.bincount(tilings.hats(box(0, 0, 200, 200), side=1, seed=3).kinds)
    assert kinds[1:].sum() / kinds[0] == within.of(printed)
    assert kinds[1] / kinds[0] == pytest.approx(3, rel=0.03)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 500), st.floats(-1e4, 1e4), st.floats(-1e4, 1e4))
def test_hats_cover_wherever_the_area_is(seed, x, y):
    area = box(x, y, x + 15, y + 9)
    tiling = tilings.hats(area, side=1, seed=seed)
    pieces = shapely.intersection(np.array(tiling.areas(), object), area)
    assert shapely.area(pieces).sum() == pytest.approx(area.area, rel=1e-7)


def test_neighbouring_areas_show_the_same_plane():
    whole = tilings.hats(box(0, 0, 60, 30), side=2, seed=8)
    half = tilings.hats(box(0, 0, 30, 30), side=2, seed=8)
    seen = {tuple(np.round(area.centroid.coords[0], 6)) for area in whole.areas()}
    assert all(tuple(np.round(area.centroid.coords[0], 6)) in seen for area in half.areas())
    shown = {tuple(tilings.hats(SHEET, side=3, seed=seed).kinds) for seed in range(12)}
    assert len(shown) >= 10


def test_refusals_and_nothing():
    assert len(tilings.hats(shapely.Polygon(), side=3)) == 0
    with pytest.raises(InvalidValue, match="longer side"):
        tilings.hats(SHEET, side=1e-3)
    with pytest.raises(InvalidValue, match="ratio"):
        tilings.hats(SHEET, side=2, ratio=0)
