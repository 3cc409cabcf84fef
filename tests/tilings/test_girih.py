"""Girih tiles have their published angles, and every pattern covers once."""

from __future__ import annotations

import math
from functools import partial

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from plotlib import tilings
from plotlib.errors import InvalidValue, UnknownName
from plotlib.tilings.girih import _ANGLES, _PATCHES, APERIODIC, BOW_TIE, DECAGON, HEXAGON
from tests.outside import COMPUTED, MEMORY, published

known = partial(published, module="tilings", kind=MEMORY)

SHEET = box(-31, -17, 42, 38)
PATTERNS = [APERIODIC, *_PATCHES]
GOLDEN = (1 + math.sqrt(5)) / 2
# degrees, as published: decagon, pentagon, elongated hexagon, bow-tie, rhombus
ANGLES = [
    [144] * 10,
    [108] * 5,
    [72, 72, 144, 144, 144, 144],
    [72, 72, 72, 72, 216, 216],
    [72, 72, 108, 108],
]
# areas in sin 36 at edge 1, one and golden ratio, doubled (by hand, from cuts into rhombs)
AREAS = [(10, 10), (1, 3), (4, 2), (-2, 4), (0, 2)]


def inner_angles(outline: np.ndarray) -> np.ndarray:
    ahead = np.roll(outline, -1, axis=0) - outline
    back = np.roll(outline, 1, axis=0) - outline
    cross = ahead[:, 0] * back[:, 1] - ahead[:, 1] * back[:, 0]
    return np.degrees(np.arctan2(cross, (ahead * back).sum(axis=1))) % 360


@known(
    source="P. J. Lu, P. J. Steinhardt, Science 315, 2007",
    printed=ANGLES,
    abs=1e-6,
    claim="angles of the five girih tiles of one edge",
)
@pytest.mark.parametrize("pattern", PATTERNS)
def test_tiles_have_their_angles_and_one_edge(pattern, within, printed):
    tiling = tilings.girih(SHEET, pattern, side=3, origin=(3, 4), angle=10)
    for kind, tile in zip(tiling.kinds, tiling.areas(), strict=True):
        outline = np.array(tile.exterior.coords)[:-1]
        assert np.sort(inner_angles(outline)) == within.of(np.sort(printed[kind]))
        assert tile.exterior.is_ccw
    assert np.allclose(tiling.edges().lengths, 3)


@pytest.mark.parametrize("pattern", PATTERNS)
def test_patterns_cover_once_edge_to_edge(pattern):
    tiling = tilings.girih(SHEET, pattern, side=3, origin=(3, 4), angle=10)
    pieces = shapely.intersection(np.array(tiling.areas(), object), SHEET)
    assert shapely.area(pieces).sum() == pytest.approx(SHEET.area, rel=1e-9)
    assert shapely.union_all(pieces, grid_size=1e-7).area == pytest.approx(SHEET.area, rel=1e-6)
    corners, _ = tiling.corners()
    assert len(corners) - len(tiling.edges()) + len(tiling) == 1  # Euler


def taken(steps: tuple[int, ...], tenths: int) -> tuple[int, ...]:
    """A sum of steps 1, ζ, ζ², ζ³, turned: ζ⁴ = ζ³ - ζ² + ζ - 1, in whole numbers."""
    a, b, c, d = steps
    for _ in range(tenths % 10):
        a, b, c, d = -d, a + d, b - d, c + d
    return a, b, c, d


def multiples(place: np.ndarray, cell: np.ndarray) -> np.ndarray:
    """How often each edge of a cell goes into a place, rounded down."""
    spots = np.exp(1j * math.pi / 5 * np.arange(4))
    plane = np.array([[z.real, z.imag] for z in (cell @ spots)]).T
    spot = place @ spots
    return np.floor(np.linalg.solve(plane, [spot.real, spot.imag]) + 1e-6).astype(int)


@pytest.mark.parametrize("pattern", _PATCHES)
def test_patches_repeat_by_whole_numbers(pattern):
    """Round every corner of a cell the angles of its tiles fill the ten tenths of a turn, each
    once; and the areas add up to that of the cell, in whole numbers and golden ratios.
    """
    patch = _PATCHES[pattern]
    cell = np.array(patch.cell)
    filled: dict[tuple[int, ...], list[int]] = {}
    for kind, first, place, heading in patch.tiles:
        angles = np.roll(_ANGLES[kind], -first)
        way = heading
        corner = np.array(place)
        for number, angle in enumerate(angles):
            if number:
                way += 5 - angle
            here = corner - multiples(corner, cell) @ cell
            filled.setdefault(tuple(here), []).extend((way + k) % 10 for k in range(angle))
            corner = corner + np.array(taken((1, 0, 0, 0), way))
        assert tuple(corner) == place
    assert all(sorted(tenths) == list(range(10)) for tenths in filled.values())
    ones, goldens = np.sum([AREAS[kind] for kind, *_ in patch.tiles], axis=0)
    spots = cell @ np.exp(1j * math.pi / 5 * np.arange(4))
    whole = abs((spots[0].conjugate() * spots[1]).imag) / math.sin(math.pi / 5)
    assert (ones + goldens * GOLDEN) / 2 == pytest.approx(whole, rel=1e-12)


@known(
    source="corners, long edges and halves of kites and darts, counted by Euler's formula",
    kind=COMPUTED,
    printed=(GOLDEN, 2 / GOLDEN),
    rel=0.03,
    claim="bow-ties and hexagons to one decagon",
)
def test_shares_of_the_aperiodic_pattern(within, printed):
    """With kites to darts as the golden ratio g to 1: as many decagons as tiles, g + 1; a bow-tie
    to each tile and each kite, 2 g + 1; two hexagons to each kite.
    """
    sheet = box(0, 0, 400, 300)
    tiling = tilings.girih(sheet, side=3)
    inside = shapely.contains(sheet, shapely.centroid(np.array(tiling.areas(), object)))
    counts = np.bincount(tiling.kinds[inside], minlength=5)
    assert counts[BOW_TIE] / counts[DECAGON] == within.of(printed[0])
    assert counts[HEXAGON] / counts[DECAGON] == within.of(printed[1])


@known(
    source="P. J. Lu, P. J. Steinhardt, Science 315, 2007",
    printed=54.0,
    abs=1e-6,
    claim="straps meet the middles of edges of girih tiles",
)
@pytest.mark.parametrize("pattern", PATTERNS)
def test_straps_meet_the_middles_of_edges(pattern, within, printed):
    """At 54 degrees on every edge of every tile, also beside the inner corners of bow-ties, and
    all inside of their tiles.
    """
    tiling = tilings.girih(SHEET, pattern, side=3)
    straps = tilings.stars(tiling, printed)
    owner = np.repeat(np.arange(len(tiling)), np.diff(tiling.offsets))
    rooms = shapely.buffer(np.array(tiling.areas(), object)[owner], 1e-8)
    assert shapely.covers(rooms, np.array(straps.to_shapely(), object)).all()
    edges = tiling.edges().points.reshape(-1, 2, 2)
    middles = shapely.STRtree(shapely.points(edges.mean(axis=1)))
    ends = np.concatenate(
        [straps.points[straps.offsets[:-1]], straps.points[straps.offsets[1:] - 1]]
    )
    inward = np.concatenate(
        [straps.points[straps.offsets[:-1] + 1], straps.points[straps.offsets[1:] - 2]]
    )
    end, edge = middles.query(shapely.points(ends), predicate="dwithin", distance=1e-6)
    assert (np.bincount(end, minlength=len(ends)) == 1).all()
    along = edges[edge, 1] - edges[edge, 0]
    way = inward[end] - ends[end]
    cosine = np.abs((along * way).sum(axis=1)) / np.hypot(*along.T) / np.hypot(*way.T)
    assert np.degrees(np.arccos(cosine)) == within.of(np.full(len(end), printed))


@pytest.mark.parametrize("pattern", PATTERNS)
def test_straps_pass_over_and_under_in_turn(pattern):
    tiling = tilings.girih(box(0, 0, 50, 40), pattern, side=4)
    weave = tilings.interlaced(tilings.stars(tiling, 54), width=0.4, gap=0.1)
    assert len(weave.crossings) > 100
    for strand in range(len(weave)):
        _, over = weave.passes(strand)
        assert (over[1:] != over[:-1]).all()


@settings(max_examples=15, deadline=None)
@given(
    st.sampled_from(PATTERNS),
    st.floats(-1e4, 1e4),
    st.floats(-1e4, 1e4),
    st.floats(0, 360),
)
def test_girih_covers_wherever_the_area_is(pattern, x, y, angle):
    area = box(x, y, x + 25, y + 14)
    tiling = tilings.girih(area, pattern, side=2, angle=angle)
    pieces = shapely.intersection(np.array(tiling.areas(), object), area)
    assert shapely.area(pieces).sum() == pytest.approx(area.area, rel=1e-7)


def test_refusals_and_nothing():
    assert len(tilings.girih(shapely.Polygon(), side=3)) == 0
    with pytest.raises(UnknownName, match="there are aperiodic, bow-ties"):
        tilings.girih(SHEET, "stars", side=3)
    with pytest.raises(InvalidValue, match="longer side"):
        tilings.girih(SHEET, side=1e-3)
