"""Tilings cover once, and their counts are the published ones."""

from __future__ import annotations

import math
import re
from functools import partial
from importlib import import_module
from typing import Any

import numpy as np
import pytest
import shapely
from shapely import Point, box

from plotlib import Drawing, progress, shapes, tilings
from plotlib.errors import InvalidValue, UnknownName
from plotlib.tilings.archimedean import _TABLE
from plotlib.tilings.kites import deflated
from plotlib.tilings.tiling import chosen
from tests.outside import COMPUTED, MEMORY, Within, published

known = partial(published, module="tilings", kind=MEMORY)


SHEET = box(-31, -17, 42, 38)
GOLDEN = (1 + math.sqrt(5)) / 2
# vertices and edges per unit area at edge 1 (worked out by hand from the angles round a corner)
VERTICES = {
    "3.3.3.3.3.3": 1.154701,
    "4.4.4.4": 1.0,
    "6.6.6": 0.769800,
    "3.3.3.3.6": 0.989743,
    "3.3.3.4.4": 1.071797,
    "3.3.4.3.4": 1.071797,
    "3.4.6.4": 0.928203,
    "3.6.3.6": 0.866025,
    "3.12.12": 0.497423,
    "4.6.12": 0.618802,
    "4.8.8": 0.686292,
}


def make(name: str, region: shapely.Geometry = SHEET) -> tilings.Tiling:
    return {
        "rhombs": lambda: tilings.rhombs(region, side=4, seed=3),
        "eight": lambda: tilings.rhombs(region, 4, side=4, seed=1),
        "seven": lambda: tilings.rhombs(region, 7, side=4, seed=2, origin=(3, 40)),
        "kites": lambda: tilings.kites_and_darts(region, side=6, centre=(3, 2), angle=17),
        "archimedean": lambda: tilings.archimedean(region, "3.3.3.3.6", side=3, angle=11),
        "laves": lambda: tilings.archimedean(region.buffer(12), "3.4.6.4", side=3).dual(),
    }[name]()


@pytest.mark.parametrize("name", ["rhombs", "eight", "seven", "kites", "archimedean", "laves"])
def test_tiles_cover_once(name: str) -> None:
    tiling = make(name)
    pieces = [area.intersection(SHEET) for area in tiling.areas()]
    assert sum(piece.area for piece in pieces) == pytest.approx(SHEET.area, rel=1e-9)
    assert shapely.union_all(pieces, grid_size=1e-7).area == pytest.approx(SHEET.area, rel=1e-6)
    assert all(area.is_valid and area.exterior.is_ccw for area in tiling.areas())


@known(
    source="angles round a corner; names of B. Grünbaum, G. C. Shephard, Tilings and Patterns",
    kind=COMPUTED,
    printed=VERTICES,
    rel=0.07,
    claim="corners per unit of area at edge 1",
)
@pytest.mark.parametrize("name", _TABLE)
def test_archimedean_tilings(name: str, within: Within, printed: Any) -> None:
    """The polygons round every inner corner are those of the name, and corners are as dense as
    worked out by hand (B. Grünbaum, G. C. Shephard, *Tilings and Patterns*, names from memory).
    """
    tiling = tilings.archimedean(Point(3, 2).buffer(40), name, side=2)
    corners, places = tiling.corners()
    owner = np.repeat(np.arange(len(tiling)), np.diff(tiling.offsets))
    wanted = sorted(int(part) for part in name.split("."))
    inner = np.flatnonzero(np.hypot(*(corners - [3, 2]).T) < 34)
    for corner in inner:
        tiles = owner[places == corner]
        assert sorted((tiling.kinds[tiles] + 3).tolist()) == wanted
    density = len(inner) / (math.pi * 17**2)
    assert density == within.of(printed[name])
    edges = tiling.edges()
    assert np.allclose(edges.lengths, 2)
    degree = len(wanted)
    inside = [line for line in edges.to_shapely() if line.centroid.distance(Point(3, 2)) < 34]
    assert len(inside) / len(inner) == pytest.approx(degree / 2, rel=0.08)


@known(
    source="M. Gardner, Scientific American 236, 1977",
    printed=[(5, 0), (10, 5), (25, 15), (65, 40), (170, 105), (445, 275)],
    claim="kites and darts of the sun, deflated",
)
def test_deflation_counts(printed: Any) -> None:
    """Sun 5,0 · 10,5 · 25,15 · 65,40 · 170,105 kites and darts in whole-tile area: half tiles,
    counted, are twice these (M. Gardner, *Scientific American* 236, 1977, rule from memory).
    """
    from plotlib.tilings.kites import _sun

    halves, kinds = _sun(1.0, np.zeros(2), 0.3)
    for kites, darts in printed:
        assert ((kinds == 0).sum(), (kinds == 1).sum()) == (2 * kites, 2 * darts)
        areas = shapely.area(shapely.polygons(halves))
        assert areas.sum() == pytest.approx(5 * math.sin(math.radians(36)))
        halves, kinds = deflated(halves, kinds)


def test_kites_and_darts_have_their_sides() -> None:
    tiling = make("kites")
    sides = tiling.outlines().points
    lengths = np.hypot(*np.diff(sides, axis=0).T)
    lengths = np.delete(lengths, 5 * np.arange(1, len(tiling)) - 1)
    assert np.allclose(np.sort(np.unique(np.round(lengths, 6))), [6 / GOLDEN, 6], atol=1e-6)
    ratio = (tiling.kinds == 0).sum() / (tiling.kinds == 1).sum()
    assert ratio == pytest.approx(GOLDEN, rel=0.15)


@known(
    source="N. G. de Bruijn, 1981; F. P. M. Beenker, 1982", printed=(GOLDEN, math.sqrt(2)), rel=0.02
)
def test_shares_of_rhombs(within: Within, printed: Any) -> None:
    """Thick : thin tends to the golden ratio (N. G. de Bruijn, 1981), in eight directions rhombs :
    squares to the root of two (F. P. M. Beenker, 1982; both from memory).
    """
    penrose = tilings.rhombs(box(0, 0, 300, 300), side=3, seed=5)
    counts = np.bincount(penrose.kinds)
    assert counts[1] / counts[0] == within.of(printed[0])
    beenker = tilings.rhombs(box(0, 0, 300, 300), 4, side=3, seed=5)
    counts = np.bincount(beenker.kinds)
    assert counts[0] / counts[1] == within.of(printed[1])


@known(source="Euler: corners - edges + tiles = 1", printed=1, claim="edges of a patch come once")
def test_edges_come_once(printed: Any) -> None:
    """Euler: corners - edges + tiles = 1 for a patch without holes."""
    for name in ("rhombs", "kites", "archimedean"):
        tiling = make(name, Point(5, 5).buffer(20))
        corners, _ = tiling.corners()
        assert len(corners) - len(tiling.edges()) + len(tiling) == printed


@known(
    source="C. S. Smith, P. Boucher, 1987: m n pi s / 2 of ink, m + n open paths",
    kind=COMPUTED,
    rel=2e-3,
)
def test_truchet_ink_and_open_paths(within: Within) -> None:
    """Ink of m n π s / 2, m + n open paths, no crossing (C. S. Smith and P. Boucher, 1987; counts
    worked out by hand).
    """
    rows, columns, side = 7, 11, 10.0
    made = tilings.truchet(box(0, 0, columns * side, rows * side), side=side, seed=4)
    assert made.length == pytest.approx(rows * columns * math.pi * side / 2, rel=within.rel)
    merged = shapely.line_merge(shapely.union_all(made.to_shapely(), grid_size=1e-6))
    paths = list(shapely.get_parts(merged))
    assert sum(not path.is_ring for path in paths) == rows + columns
    three = tilings.truchet(box(0, 0, 40, 40), side=10, arcs=3, seed=4)
    assert len(three) == 16 * 7  # the widest arc of one corner is hidden in the middle
    crossed = [
        a.crosses(b) for k, a in enumerate(three.to_shapely()) for b in three.to_shapely()[:k]
    ]
    assert not any(crossed)


@pytest.mark.parametrize(
    ("name", "corners", "contact", "share"),
    [("4.4.4.4", 4, 60, 0.517638), ("6.6.6", 6, 60, 0.577350), ("4.6.12", 12, 60, 0.707107)],
)
def test_rays_of_stars_meet_where_worked_out(
    name: str, corners: int, contact: float, share: float
) -> None:
    """At r cos θ / cos(θ - 180 / n) from the middle of an n-gon of inradius r (by hand)."""
    tiling = tilings.archimedean(Point(0, 0).buffer(30), name, side=4)
    star = tilings.stars(tiling, contact)
    inradius = 2 / math.tan(math.pi / corners)
    bends = star.points[star.offsets[:-1] + 1]
    kinds = np.repeat(tiling.kinds, np.diff(tiling.offsets))
    middles = np.repeat(
        [area.centroid.coords[0] for area in tiling.areas()], np.diff(tiling.offsets), axis=0
    )
    away = np.hypot(*(bends - middles).T)[kinds == corners - 3]
    assert np.allclose(away, share * inradius, rtol=1e-5)


@pytest.mark.parametrize("contact", [30, 60, 75])
def test_equal_tiles_have_equal_stars(contact: float) -> None:
    """Rays that meet just where one begins had a bend there in some hats and not in others."""
    floor = tilings.hats(box(0, 0, 60, 60), side=2, seed=3)
    star = tilings.stars(floor, contact)
    bends = np.diff(star.offsets).reshape(len(floor), -1)
    corners = (floor.points[:, 0] + 1j * floor.points[:, 1]).reshape(len(floor), -1)
    shape = (corners - corners[:, :1]) / (corners[:, 1:2] - corners[:, :1])
    is_turned = np.abs(shape - shape[0]).max(axis=1) < 1e-6
    assert 0.7 < is_turned.mean() < 1  # hats, and mirrored ones
    for alike in (bends[is_turned], bends[~is_turned]):
        assert (alike == alike[0]).all()
    steps = np.hypot(*np.diff(star.points, axis=0).T)
    steps = np.delete(steps, star.offsets[1:-1] - 1)
    assert steps.min() > 1e-3


@pytest.mark.parametrize("name", ["rhombs", "kites", "hats"])
@pytest.mark.parametrize("contact", [20, 40, 60, 72, 85])
def test_stars_stay_in_their_tiles(name: str, contact: float) -> None:
    """Rays of blunt corners in narrow rhombs used to meet far outside; at the inner corner of a
    dart, where they do not meet, a stroke used to cut across the next tile.
    """
    tiling = tilings.hats(SHEET, side=3) if name == "hats" else make(name)
    owner = np.repeat(np.arange(len(tiling)), np.diff(tiling.offsets))
    areas = np.array(tiling.areas(), object)[owner]
    strokes = np.array(tilings.stars(tiling, contact).to_shapely(), object)
    assert len(strokes) == len(tiling.points)
    assert shapely.covers(shapely.buffer(areas, 1e-9), strokes).all()


def test_motifs_and_kinds() -> None:
    tiling = make("rhombs")
    dots = tiling.carrying(Drawing([[(0, 0)]]), kind=0)
    assert len(dots) == (tiling.kinds == 0).sum()
    assert len(tiling.carrying(shapes.circle((0, 0), 0.2))) == len(tiling)
    assert len(tiling.outlines(1)) == len(tiling.areas(1)) == (tiling.kinds == 1).sum()
    with pytest.raises(AttributeError, match="does not change"):
        tiling.side = 3.0
    with pytest.raises(ValueError, match="read-only"):
        tiling.points[0] = 0


def test_refusals_and_nothing() -> None:
    nothing = shapely.Polygon()
    for made in (tilings.rhombs(nothing, side=3), tilings.kites_and_darts(nothing, side=3)):
        assert len(made) == len(made.edges()) == len(tilings.stars(made, 60)) == 0
    assert len(tilings.archimedean(nothing, "4.8.8", side=3)) == 0
    with pytest.raises(UnknownName, match="there are 3"):
        tilings.archimedean(SHEET, "4.8", side=3)
    for call in (tilings.rhombs, tilings.kites_and_darts, tilings.truchet):
        with pytest.raises(InvalidValue, match="longer side"):
            call(SHEET, side=1e-3)
    with pytest.raises(InvalidValue, match="Tiling"):
        tilings.stars(SHEET, 60)


@pytest.mark.parametrize(
    "laid",
    [
        lambda region, **side: tilings.hats(region, ratio=1.2, **side),
        lambda region, **side: tilings.archimedean(region, "3.3.3.3.3.3", **side),
        tilings.rhombs,
        tilings.kites_and_darts,
        tilings.truchet,
        lambda region, **side: tilings.multiscale_truchet(region, levels=2, **side),
    ],
)
def test_the_side_that_a_refusal_names_is_taken(laid, monkeypatch) -> None:
    for module in ("hats", "archimedean", "multigrid", "kites", "truchet", "winged"):
        monkeypatch.setattr(import_module(f"plotlib.tilings.{module}"), "_MOST", 900)
    with pytest.raises(InvalidValue, match="longer side") as told:
        laid(SHEET, side=0.07)
    named = re.search(r"longer side, ([0-9.e+-]+) mm or more", str(told.value))
    assert named is not None
    side = float(named[1])
    laid(SHEET, side=side)
    with pytest.raises(InvalidValue, match="longer side"):
        laid(SHEET, side=0.8 * side)


def test_the_side_named_for_a_strip_is_taken(monkeypatch) -> None:
    """In a strip of one row tiles are as many as the side is short, not as its square."""
    monkeypatch.setattr(import_module("plotlib.tilings.truchet"), "_MOST", 900)
    strip = box(0, 0, 900, 0.5)
    with pytest.raises(InvalidValue, match=r"longer side, 1.1 mm or more$"):
        tilings.truchet(strip, side=0.07)
    assert len(tilings.truchet(strip, side=1.1)) > 0


def test_the_least_edge_and_the_tolerance_that_refusals_name_are_taken() -> None:
    with pytest.raises(InvalidValue, match="take a larger one") as told:
        tilings.hyperbolic(8, 8, radius=50, least=1e-6)
    least = re.search(r"larger one, ([0-9.e+-]+) mm", str(told.value))
    assert least is not None
    tilings.hyperbolic(8, 8, radius=50, least=float(least[1]), depth=1)
    with pytest.raises(InvalidValue, match="take a larger one") as told:
        tilings.multiscale_truchet(SHEET, side=30, tolerance=1e-10)
    tolerance = re.search(r"larger one, ([0-9.e+-]+) mm", str(told.value))
    assert tolerance is not None
    tilings.multiscale_truchet(box(0, 0, 1, 1), side=30, tolerance=float(tolerance[1]))


def test_a_kind_that_there_is_not_names_those_there_are() -> None:
    tiling = make("rhombs")
    for ask in (tiling.outlines, tiling.areas, lambda kind: tiling.carrying(Drawing(), kind)):
        with pytest.raises(InvalidValue, match=r"kind 77; .* the kinds 0, 1$") as told:
            ask(77)
        assert told.value.facts["kinds"] == [0, 1]
    nothing = tilings.rhombs(shapely.Polygon(), side=3)
    assert nothing.areas(77) == []
    assert len(nothing.outlines(0)) == 0


def test_repr_counts_one_tile() -> None:
    tiling = make("rhombs")
    assert repr(tiling) == f"<Tiling: {len(tiling)} tiles of 2 kinds>"
    assert repr(chosen(tiling, np.array([0]))) == "<Tiling: 1 tile of 1 kind>"


@pytest.mark.parametrize(
    "laid",
    [
        lambda: tilings.archimedean(SHEET, "4.8.8", side=9),
        lambda: tilings.rhombs(SHEET, side=9),
        lambda: tilings.kites_and_darts(SHEET, side=9),
    ],
)
def test_many_tiles_are_not_laid_in_silence(laid):
    told = []
    progress.listen(lambda what, share: told.append(what))
    try:
        laid()
    finally:
        progress.listen_on_stderr()
    assert "laying the tiles" in told


def test_arguments_are_checked_where_nothing_is_to_be_covered():
    nowhere = shapely.Polygon()
    with pytest.raises(InvalidValue, match="origin"):
        tilings.archimedean(nowhere, "4.8.8", side=9, origin="middle")
    with pytest.raises(InvalidValue, match="angle"):
        tilings.archimedean(nowhere, "4.8.8", side=9, angle=math.nan)
