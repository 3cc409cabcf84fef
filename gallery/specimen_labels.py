"""Labels for a drawer of moths: names in a font inked solid, the rest in single strokes.

Eight moths of eight builds share an A5 sheet, with lines to cut along: broad wings or narrow, edges
straight or scalloped, banded, hatched, dotted or dark, with eye spots laid upon the bands. The font
comes with the package matplotlib and is set by uharfbuzz; without them the names are drawn in a
face of single strokes.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A5", at=(5, 10), margin=9)
RNG = np.random.default_rng(5)
INK = pl.Pen("black", width=0.25, colour="#20242a", feed=2_000)
BROWN = pl.Pen("brown", width=0.25, colour="#7a4a21", feed=2_000)
FORE = np.array([(4, 30), (45, 60), (100, 72), (92, 40), (72, 8), (35, 2), (4, 6)]) / 100
HIND = np.array([(4, 4), (38, 0), (68, -12), (70, -42), (46, -66), (20, -50), (5, -22)]) / 100
PLACES = ["Outer Skerry", "Tarnberg", "Fáley", "Mewholm"]
# genus, kind; wing's width and height, depth of scallops, fills of rim and field, radius of eyes
BUILDS = (
    ("Noctaphila", "skerrowensis", 1.0, 1.0, 0.0, "hatch", "none", 0.085),
    ("Lunascia", "ferriarum", 1.12, 0.72, 0.0, "solid", "rays", 0),
    ("Thalagraphia", "salicornis", 0.86, 1.12, 0.035, "contour", "dots", 0.085),
    ("Brumiptera", "nebulæ", 1.05, 0.9, 0.0, "none", "bands", 0),
    ("Pluviscia", "umbrifera", 0.95, 1.05, 0.05, "solid", "none", 0.1),
    ("Faroptera", "litoralis", 1.15, 0.62, 0.0, "hatch", "rays", 0),
    ("Lunagraphia", "turbida", 0.9, 0.95, 0.03, "dots", "waves", 0),
    ("Brumiphila", "noctivaga", 1.05, 1.05, 0.0, "contour", "rays", 0.085),
)


def inked(area: shapely.Geometry, kind: str) -> pl.Drawing:
    """A part of a wing filled in one of the ways that moths have."""
    fill, options = {
        "none": (pl.fills.hatch, {"spacing": 99}),
        "hatch": (pl.fills.hatch, {"spacing": 0.5, "angle": 60}),
        "solid": (pl.fills.hatch, {"spacing": 0.26, "angle": 100, "joined": True}),
        "contour": (pl.fills.contour, {"spacing": 0.45}),
        "dots": (pl.fills.dots, {"spacing": 0.65}),
        "rays": (pl.fills.radial, {"count": 90, "centre": (0.8, 1), "closest": 0.45}),
        "bands": (pl.fills.concentric, {"spacing": 1.1, "centre": (0, 2)}),
        "waves": (pl.fills.wave, {"spacing": 0.8, "amplitude": 0.3, "wavelength": 2}),
    }[kind]
    return fill(area, **options)


def moth(number: int, size: float) -> pl.Drawing:
    """A set moth around (0, 0): hind wings, fore wings upon them, the body upon both."""
    wide, tall, scallop, rim, field, eye = BUILDS[number][2:]
    layers = []
    for wing in (HIND, FORE):
        shape = (wing + RNG.normal(0, 0.015, wing.shape)) * (wide * size, tall * size)
        ring = pl.curves.catmull_rom(shape, closed=True)[0]
        ring = ring * (1 + scallop * np.cos(np.arctan2(*ring.T) * 22))[:, None]
        edge = shapely.make_valid(shapely.Polygon(ring))
        inner = edge.buffer(-0.11 * size)
        parts = inked(edge.difference(inner).buffer(-0.1), rim) + inked(inner.buffer(-0.2), field)
        whole = pl.Drawing([pl.Drawing(edge), pl.Drawing(inner), parts])
        if eye:
            at = shape.mean(axis=0) * 1.12
            spot = pl.shapes.circles([at] * 3, np.array([1, 0.5, 0.2]) * eye * size)
            whole = pl.regions.stack([whole, spot], gap=0.25)
        layers += [(whole, edge), (whole.mirrored(), pl.Drawing(edge).mirrored())]
    body = pl.shapes.ellipse((0, 0), 0.065 * size, 0.36 * size)
    feeler = pl.curves.catmull_rom(np.array([(0.02, 0.34), (0.08, 0.5), (0.22, 0.62)]) * size)
    layers += [feeler + feeler.mirrored(), body + pl.fills.hatch(body, spacing=0.5)]
    return pl.regions.stack(layers, gap=0.3, shortest=0.3).inked(BROWN)


def title(genus: str, at: tuple[float, float]) -> pl.Drawing:
    """The genus in a bold outline font, inked solid; a stroke face if there is no such font."""
    try:
        import matplotlib  # for its font only

        font = Path(matplotlib.get_data_path(), "fonts", "ttf", "DejaVuSerif-Bold.ttf")
        letters = pl.text.font_area(genus, font, height=3.4, at=at, align="centre", tolerance=0.01)
    except ImportError:
        style = {"face": "roman triplex", "height": 3.4, "align": "centre"}
        return pl.text.lettering(genus, at=at, pen=INK, **style)
    return pl.fills.solid(letters, pen=INK)


def label(number: int, box: shapely.Polygon) -> pl.Drawing:
    """One label inside its box: names above, the moth, where and when."""
    left, bottom, right, top = box.bounds
    middle = (left + right) / 2
    genus, kind = BUILDS[number][:2]
    told = f"{RNG.choice(PLACES)}, {RNG.integers(1, 29)} · {RNG.choice(['v', 'vi', 'vii'])}"
    told += f" · lamp, {RNG.integers(4, 19)} °C"
    style = {"face": "italic complex", "height": 2.4, "align": "centre", "pen": INK}
    parts = [title(genus, (middle, top - 7.5)), moth(number, 14).moved(middle, bottom + 20)]
    parts.append(pl.text.lettering(kind, at=(middle, top - 12), **style))
    style = {"height": 1.8, "align": "centre", "pen": INK}
    parts.append(pl.text.lettering(told, at=(middle, bottom + 3.5), **style))
    return pl.Drawing(parts)


def sheet() -> pl.Drawing:
    """All labels in sheet mm, with the lines to cut along."""
    left, bottom, right, top = SHEET.area.bounds
    xs = np.linspace(left, right, 3)
    ys = np.linspace(top, bottom, 5)
    boxes = [shapely.box(a, d, b, c) for c, d in pairwise(ys) for a, b in pairwise(xs)]
    cuts = [[(x, bottom), (x, top)] for x in xs] + [[(left, y), (right, y)] for y in ys]
    labels = pl.Drawing([label(k, box) for k, box in enumerate(boxes)])
    return pl.Drawing(cuts, pen=BROWN).dashed((2, 1.5), whole=True) + labels


if __name__ == "__main__":
    from finish import finish

    finish("specimen_labels", sheet(), SHEET)
