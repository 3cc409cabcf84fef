"""Solid fills leave no bare disc wider than a tenth of the pen's width, measured by shapely's areas
and maximum inscribed circles from the strokes alone.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely import Point, affinity, box

from plotlib import fills, shapes
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.preview.picture import pixels
from plotlib.regions import as_region, inset
from plotlib.text import lettering

PEN = Pen("test", width=0.5)
_LETTERS = "SKERYILMOTFABHGX"
_KINDS = ("box", "disc", "star", "slits", "letter", "ring", "eye spot", "strip", "blob", "wedge")


def area_of(kind: str, random: np.random.Generator) -> shapely.Geometry:
    """A random area of one kind, turned and moved at random."""
    size = float(random.uniform(1, 5))
    made = {
        "box": lambda: box(0, 0, size, size * random.uniform(0.2, 1)),
        "disc": lambda: Point(0, 0).buffer(size * random.uniform(0.1, 1), quad_segs=32),
        "star": lambda: as_region(
            shapes.star(
                (0, 0), size, tips=int(random.integers(4, 9)), inner=size * random.uniform(0.3, 0.8)
            )
        ),
        "slits": lambda: box(0, 0, 9, 6).difference(
            box(1, 2, random.uniform(2, 8), 2 + random.uniform(0.05, 0.9))
        ),
        "letter": lambda: shapely.union_all(
            shapely.buffer(
                lettering(str(random.choice(list(_LETTERS))), height=9).to_shapely(),
                random.uniform(0.4, 1.2),
            )
        ),
        "ring": lambda: (
            Point(0, 0)
            .buffer(size)
            .difference(Point(size / 5, 0).buffer(size * random.uniform(0.2, 0.75)))
        ),
        "eye spot": lambda: Point(0, 0).buffer(random.uniform(0.3, 2), quad_segs=8),
        "strip": lambda: box(0, 0, 2 * size, random.uniform(0.4, 2.2)),
        "blob": lambda: blob(size, random),
        "wedge": lambda: shapely.Polygon(
            [(0, 0), (2 * size, 0), (0, size * random.uniform(0.2, 1))]
        ),
    }[kind]()
    turned = affinity.rotate(made, random.uniform(0, 360))
    return affinity.translate(turned, *random.uniform(-20, 20, 2))


def blob(size: float, random: np.random.Generator) -> shapely.Geometry:
    angle = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    waves = [random.uniform(0, 0.25) * np.cos(k * angle + random.uniform(0, 6)) for k in (2, 3, 5)]
    far = size * (1 + sum(waves))
    return shapely.Polygon(far[:, None] * np.column_stack([np.cos(angle), np.sin(angle)]))


def widest_bare(drawing: Drawing, area: shapely.Geometry, width: float) -> float:
    """Diameter of the widest disc without ink in what the pen can reach."""
    reach = area.buffer(-width / 2, quad_segs=64).buffer(width / 2, quad_segs=64)
    steps = [
        shapely.LineString(step) if len(stroke) > 1 else Point(stroke[0])
        for stroke in drawing
        for step in (pairwise(stroke) if len(stroke) > 1 else [stroke])
    ]
    ink = shapely.union_all(shapely.buffer(np.array(steps), width / 2, quad_segs=32))
    bare = shapely.get_parts(reach.difference(ink)) if steps else shapely.get_parts(reach)
    bare = bare[shapely.area(bare) > 1e-6]
    discs = shapely.maximum_inscribed_circle(bare, tolerance=1e-3 * width)
    return 2 * float(shapely.length(discs).max(initial=0.0))


@pytest.mark.parametrize("lot", range(5))
@pytest.mark.parametrize("kind", _KINDS)
def test_no_bare_disc_is_wider_than_a_tenth_of_the_pen(kind: str, lot: int) -> None:
    """Five hundred areas in all."""
    random = np.random.default_rng([lot, _KINDS.index(kind)])
    for _ in range(10):
        area = area_of(kind, random)
        fill = fills.measured_solid(area, pen=PEN)
        measured = widest_bare(fill.drawing, area, PEN.width)
        assert measured <= 0.1 * PEN.width, shapely.to_wkt(area)
        assert fill.widest <= 0.1 * PEN.width
        # What is reported is what is measured: to a hundredth of the pen, and chords of arcs.
        assert fill.widest == pytest.approx(measured, abs=0.02 * PEN.width)


def lightest(drawing: Drawing, area: shapely.Geometry, width: float) -> int:
    """The brightest grey (0 to 255) at 600 dpi in what the pen can reach, edges left aside."""
    page = box(*area.buffer(1).bounds)
    left, _, _, top = page.bounds
    picture = pixels(drawing, dpi=600, paper="#ffffff", page=page).min(axis=2)
    rows, columns = np.indices(picture.shape)
    size = 25.4 / 600
    reach = inset(area, width / 2).buffer(width / 2 - 2 * size)
    x = left + (columns + 0.5) * size
    y = top - (rows + 0.5) * size
    return int(picture[shapely.contains_xy(reach, x, y)].max(initial=0))


@pytest.mark.parametrize("method", ["contour", "hatch"])
def test_a_picture_of_600_dpi_shows_no_white(method: str) -> None:
    """A pixel is 0.042 mm wide: a bare disc of a tenth of this pen is wider than that."""
    pen = Pen("black", width=0.5, colour="#000000")
    areas = [
        box(0, 0, 20, 15).difference(box(4, 7.4, 9.1, 7.6)),
        as_region(shapes.star((0, 0), 9, tips=5, inner=3)),
        as_region(shapes.star((0, 0), 9, tips=7, inner=5)),
        blob(7.0, np.random.default_rng(3)),
    ]
    for area in areas:
        drawing = fills.solid(area, pen=pen, method=method)
        assert lightest(drawing, area, pen.width) < 128, shapely.to_wkt(area)


@pytest.mark.parametrize("method", ["contour", "hatch"])
def test_each_method_keeps_the_promise(method: str) -> None:
    random = np.random.default_rng(8)
    for kind in _KINDS:
        area = area_of(kind, random)
        drawing = fills.solid(area, pen=PEN, method=method)
        assert widest_bare(drawing, area, PEN.width) <= 0.1 * PEN.width, kind


def test_without_mending_bare_places_are_measured() -> None:
    star = as_region(shapes.star((0, 0), 9, tips=5, inner=3))
    plain = fills.measured_solid(star, pen=PEN, method="contour", mended=False)
    assert plain.widest == pytest.approx(
        widest_bare(plain.drawing, star, PEN.width), abs=0.02 * PEN.width
    )
    assert plain.widest > 0.1 * PEN.width


def test_ink_stays_inside_and_lifts_stay_few() -> None:
    """A slit thinner than the pen is left out of what it can reach, and counted."""
    area = box(0, 0, 40, 30).difference(box(8, 14.9, 18.2, 15.1))
    fill = fills.measured_solid(area, pen=PEN)
    assert len(fill.drawing) <= 4
    assert fill.cover.outside < 1e-3
    assert fill.cover.double < 0.27
    thin = fills.measured_solid(box(0, 0, 9, 9).union(box(9, 4, 15, 4.3)), pen=PEN)
    assert thin.thin == 1
    assert thin.unreached == pytest.approx(6 * 0.3 / (81 + 1.8), abs=0.003)
    drawn = fills.solid(box(0, 0, 9, 9).union(box(9, 4, 15, 4.3)), pen=PEN, thin="centre")
    assert drawn.bounds[2] > 14.5


def test_many_areas_are_many_fills() -> None:
    squares = shapely.MultiPolygon([box(6 * k, 0, 6 * k + 4, 4) for k in range(5)])
    fill = fills.measured_solid(squares, pen=PEN, method="contour")
    assert len(fill.drawing) == 5
    one = fills.solid(box(0, 0, 4, 4), pen=PEN, method="contour")
    # Which side a detour starts from may hang on the last bit of the coordinates.
    assert fill.drawing.length == pytest.approx(5 * one.length, rel=0.01)


def test_strokes_lean_over_a_thin_bare_place() -> None:
    """Three rings of a pen of 1 mm, 0.8 mm apart, ink a limb of 5.2 mm; of one of 5.35 mm a gap in
    the middle stays bare. A line along it, there and back, would add 2 x 35 mm to their 202 mm.
    """
    pen = Pen("broad", width=1.0)
    limb = box(0, 0, 40, 5.35)
    plain = fills.measured_solid(limb, pen=pen, method="contour", mended=False)
    assert plain.widest == pytest.approx(0.15, abs=0.01)
    fill = fills.measured_solid(limb, pen=pen, method="contour")
    assert widest_bare(fill.drawing, limb, pen.width) <= 0.02 * pen.width
    assert fill.drawing.length < plain.drawing.length + 2.0
    lines, bent = (
        shapely.MultiLineString(drawing.to_shapely()) for drawing in (plain.drawing, fill.drawing)
    )
    # A quarter of the overlap stays: three quarters of 0.2 mm are 0.15 mm.
    assert 0.07 < shapely.hausdorff_distance(bent, lines, densify=0.1) <= 0.15


@pytest.mark.parametrize("overlap", [0.0, 0.05, 0.4])
def test_any_overlap_keeps_the_promise(overlap: float) -> None:
    random = np.random.default_rng(3)
    for kind in ("ring", "blob", "star"):
        area = area_of(kind, random)
        drawing = fills.solid(area, pen=PEN, overlap=overlap)
        assert widest_bare(drawing, area, PEN.width) <= 0.1 * PEN.width, kind


def test_too_many_strokes_are_foreseen() -> None:
    with pytest.raises(InvalidValue, match=r"pen width = 0\.01 .* use a wider pen") as told:
        fills.solid(box(0, 0, 100, 100), pen=Pen("hair", width=0.01))
    assert told.value.facts["count"] == pytest.approx(100 * 100 / 0.008 / 0.01)


def test_a_small_ring_keeps_its_hole() -> None:
    """A circle of radius 0.41 drawn with a pen of 0.54: the annulus of radii 0.14 and 0.68."""
    area = area_of("eye spot", np.random.default_rng([0, _KINDS.index("eye spot")]))
    ring = fills.contour(area, spacing=0.4, rings=1, inset=0.25, pen=Pen("ring", width=0.54))
    cover = fills.coverage(ring, area.buffer(1), exact=True)
    inked = cover.covered * cover.area
    steps = [shapely.LineString(step) for step in pairwise(ring[0])]
    assert inked == pytest.approx(shapely.union_all(shapely.buffer(steps, 0.27)).area, rel=0.01)
