"""Wallpapers, friezes, rosettes and the kaleidoscope as drawings."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from plotlib import Drawing, Pen, shapes, symmetry
from plotlib.errors import InvalidValue, UnknownName
from plotlib.symmetry.groups import FRIEZES, WALLPAPERS, frieze_operations

CELLS = {"oblique": (11, 8, 75), "rectangular": (11, 8), "square": 10, "hexagonal": 10}
SHEET = box(0, 0, 60, 50)
FLAG = Drawing([[(1.3, 0.7), (1.9, 3.1), (3.2, 2.4), (1.6, 1.9)]])


def dots(x: float, y: float) -> Drawing:
    return Drawing([[(x, y)]])


def ends(drawing: Drawing) -> np.ndarray:
    """First and last points of the strokes, in a fixed order."""
    firsts = drawing.points[drawing.offsets[:-1]]
    lasts = drawing.points[drawing.offsets[1:] - 1]
    rows = np.round(np.hstack([firsts, lasts]), 6) + 0.0
    return rows[np.lexsort(rows.T)]


@pytest.mark.parametrize("name", WALLPAPERS)
def test_a_motif_comes_as_often_as_the_order_says(name: str) -> None:
    """Dots in general position: their density is the order over the area of the cell."""
    group = symmetry.wallpaper_group(name)
    cell = CELLS[group.lattice]
    area = {"oblique": 88 * np.sin(np.radians(75)), "rectangular": 88, "square": 100}.get(
        group.lattice, 100 * np.sqrt(3) / 2
    )
    pattern = symmetry.wallpaper(dots(1.13, 2.17), name, box(-400, -400, 400, 400), cell=cell)
    assert len(pattern) == pytest.approx(group.order * 640_000 / area, rel=0.02)


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(WALLPAPERS),
    st.floats(-9, 9),
    st.floats(-9, 9),
    st.floats(-180, 180),
    st.tuples(st.floats(-20, 20), st.floats(-20, 20)),
)
def test_an_operation_maps_the_pattern_onto_itself(
    name: str, x: float, y: float, angle: float, origin: tuple[float, float]
) -> None:
    """Each operation, applied to the finished pattern, gives the pattern again where both are."""
    group = symmetry.wallpaper_group(name)
    cell = CELLS[group.lattice]
    options = {"cell": cell, "origin": origin, "angle": angle}
    motif = dots(x, y)
    large = symmetry.wallpaper(motif, name, Point(origin).buffer(60), **options)
    from plotlib.symmetry.cell import cell_matrix

    sides = cell_matrix(cell, group.lattice, angle)
    cells = np.linalg.solve(sides, (large.points - origin).T).T
    tree = shapely.STRtree(shapely.points(large.points))
    for operation in group.operations:
        images = operation.applied(cells) @ sides.T + origin
        inner = images[np.hypot(*(images - origin).T) < 40]
        assert len(inner)
        found = tree.query(shapely.points(inner), predicate="dwithin", distance=1e-9)
        assert set(found[0].tolist()) == set(range(len(inner)))


@pytest.mark.parametrize("name", WALLPAPERS)
def test_domains_tile_the_plane(name: str) -> None:
    """A fundamental domain's images cover once: its area is the cell's over the order, and images
    of a motif cut to it nowhere overlap.
    """
    from plotlib.symmetry.cell import cell_matrix
    from plotlib.symmetry.wallpaper import _domain

    group = symmetry.wallpaper_group(name)
    sides = cell_matrix(CELLS[group.lattice], group.lattice, 0.0)
    middle = np.array([1.1, 2.3])
    domain = _domain(group, sides, np.zeros(2), middle)
    assert domain.area == pytest.approx(abs(np.linalg.det(sides)) / group.order, rel=1e-9)
    outline = Drawing([domain.exterior.coords])
    images = symmetry.wallpaper(outline, name, SHEET.buffer(30), cell=CELLS[group.lattice])
    faces = [shapely.Polygon(line.coords) for line in images.to_shapely() if line.is_ring]
    inner = [face.intersection(SHEET) for face in faces if face.intersects(SHEET)]
    assert shapely.union_all(inner, grid_size=1e-7).area == pytest.approx(SHEET.area, rel=1e-6)
    assert sum(face.area for face in inner) == pytest.approx(SHEET.area, rel=1e-6)


def test_clipping_keeps_the_motif_in_its_domain() -> None:
    motif = shapes.circle((2, 3), 9)
    whole = symmetry.wallpaper(motif, "p4m", SHEET, cell=20)
    cut = symmetry.wallpaper(motif, "p4m", SHEET, cell=20, clipped=True)
    assert 0 < cut.length < whole.length
    with pytest.raises(InvalidValue, match="mirror or a centre"):
        symmetry.wallpaper(motif.moved(-2, -3), "p4m", SHEET, cell=20, clipped=True)


def test_everything_stays_inside_and_pens_stay() -> None:
    red = Pen("red", width=0.3)
    motif = FLAG + shapes.circle((3, 3), 2).inked(red)
    leaf = Point(30, 25).buffer(21)
    pattern = symmetry.wallpaper(motif, "p6m", leaf, cell=14)
    assert {pen.name for pen in pattern.pens} == {"pen", "red"}
    assert shapely.covers(leaf.buffer(1e-7), shapely.union_all(pattern.to_shapely()))
    assert len(symmetry.wallpaper(Drawing(), "p6m", leaf, cell=14)) == 0
    assert len(symmetry.wallpaper(motif, "p6m", shapely.Polygon(), cell=14)) == 0


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"cell": (10, 5)}, "square lattice is one length"),
        ({"cell": 0}, "cell"),
        ({"cell": "wide"}, "cell"),
        ({"cell": 1e-4}, "larger cell"),
        ({"cell": 10, "angle": float("nan")}, "angle"),
        ({"cell": 10, "clipped": "yes"}, "clipped"),
    ],
)
def test_refusals(options: dict[str, object], words: str) -> None:
    with pytest.raises(InvalidValue, match=words):
        symmetry.wallpaper(FLAG, "p4", SHEET, **options)


def test_unknown_groups() -> None:
    with pytest.raises(UnknownName, match="there are p1"):
        symmetry.wallpaper(FLAG, "p7", SHEET, cell=10)
    with pytest.raises(UnknownName, match="p11g"):
        symmetry.frieze(FLAG, "p3", period=10, count=2)


@pytest.mark.parametrize("name", FRIEZES)
def test_friezes_repeat(name: str) -> None:
    operations = frieze_operations(name)
    band = symmetry.frieze(FLAG, name, period=12, count=5, origin=(0, 1))
    assert len(band) == 5 * len(operations)
    step = ends(symmetry.frieze(FLAG, name, period=12, count=1, origin=(0, 1)))
    moved = ends(symmetry.frieze(FLAG.moved(12, 0), name, period=12, count=1, origin=(12, 1)))
    assert np.allclose(moved - step, [12, 0, 12, 0])
    low, high = band.bounds[1], band.bounds[3]
    if name in {"p11g", "p2", "p11m", "p2mg", "p2mm"}:
        assert low + high == pytest.approx(2)  # the band is turned or mirrored into itself


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("count", [1, 2, 3, 7])
def test_a_rosette_turns_into_itself(count: int, mirrored: bool) -> None:
    about = (3.0, -2.0)
    made = symmetry.rosette(FLAG, count, mirrored=mirrored, about=about, angle=20)
    assert len(made) == count * (1 + mirrored)
    assert np.allclose(ends(made.turned(360 / count, about=about)), ends(made), atol=2e-6)
    if mirrored:
        assert np.allclose(ends(made.mirrored(20, about=about)), ends(made), atol=2e-6)


def test_a_kaleidoscope_fills_the_circle() -> None:
    area = Point(4, 5).buffer(7)
    hatch = Drawing([[(x, -20), (x, 20)] for x in np.arange(-20, 20, 0.5)]).clipped(area)
    shown = symmetry.kaleidoscope(hatch, 3, about=(4, 5), angle=15)
    wedge = symmetry.kaleidoscope(hatch, 3, about=(4, 5), angle=15).length / 6
    assert wedge == pytest.approx(hatch.length / 6, rel=0.05)  # six sectors of one hatch
    assert np.allclose(ends(shown.mirrored(15, about=(4, 5))), ends(shown), atol=2e-6)
    assert len(symmetry.kaleidoscope(Drawing(), 3)) == 0
