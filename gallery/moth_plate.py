"""A specimen plate of moths that came to the lamp on Outer Skerry, wings over wings as they lie in
the drawer.

Each moth is a handful of outlines pulled about by a seed; every band of a wing has a fill of its
own. The moths are laid one upon another as opaque shapes, so that what lies below is hidden, with a
pen's width of air around each edge.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A5", at=(5, 10), margin=9)
RNG = np.random.default_rng(23)
INK = pl.Pen("black", width=0.25, colour="#23252a", feed=2_000)
RUST = pl.Pen("rust", width=0.3, colour="#a2481f", feed=2_000)

FORE = np.array([(2, 26), (42, 62), (98, 76), (95, 44), (74, 10), (36, 0), (2, 2)]) / 100
HIND = np.array([(2, 4), (38, 2), (66, -8), (72, -40), (48, -62), (20, -50), (3, -20)]) / 100


def band_fill(area: shapely.Geometry, kind: int, pen: pl.Pen) -> pl.Drawing:
    """One of the fills that wings are made of."""
    fill, options = (
        (pl.fills.hatch, {"spacing": 0.75, "angle": float(RNG.uniform(20, 80)), "joined": True}),
        (pl.fills.contour, {"spacing": 0.75}),
        (pl.fills.radial, {"count": 220, "closest": 0.5, "centre": (0.0, 0.0)}),
        (pl.fills.dots, {"spacing": 1.0}),
        (pl.fills.wave, {"spacing": 0.95, "amplitude": 0.35, "wavelength": 2.4, "angle": 60}),
    )[kind]
    return fill(area, pen=pen, **options)


def wing(outline: np.ndarray, root: np.ndarray, span: float) -> tuple:
    """A wing to the right and its area: bands from the edge inwards, each with a fill, that end
    before they crowd at the root; an eye spot last.
    """
    shape = (outline + RNG.normal(0, 0.02, outline.shape)) * span
    root = root * span
    sizes = [1.0, 0.86, 0.62, 0.42]
    rings = [pl.curves.catmull_rom(root + (shape - root) * size, closed=True) for size in sizes]
    areas = [shapely.make_valid(shapely.Polygon(ring[0])) for ring in rings]
    kinds = RNG.permutation(5)[:3]
    bare = shapely.Point(root).buffer(0.17 * span)
    edges = [rings[0].inked(INK)]
    edges += [
        pl.Drawing(inner, pen=INK).erased(outer.boundary.buffer(0.45).union(bare), shortest=1)
        for outer, inner in pairwise(areas)
    ]
    gaps = [outer.difference(inner.union(bare)) for outer, inner in pairwise(areas)]
    bands = [band_fill(gap, int(kind), INK) for gap, kind in zip(gaps, kinds, strict=True)]
    eye = tuple(root + (shape.mean(axis=0) - root) * 1.25)
    spot = pl.shapes.circle(eye, 0.085 * span, pen=RUST)
    spot += pl.fills.solid(pl.shapes.circle(eye, 0.045 * span), pen=RUST)
    return pl.regions.stack([pl.Drawing([*edges, *bands]), spot], gap=0.3, shortest=0.4), areas[0]


def moth(middle: tuple[float, float], span: float, turn: float) -> tuple:
    """A set moth, turned and placed, and its silhouette: hind wings, fore wings, body upon both."""
    hind, hind_area = wing(HIND, np.array((0.04, -0.08)), span)
    fore, fore_area = wing(FORE, np.array((0.04, 0.14)), span)
    trunk = pl.shapes.ellipse((0, -0.04 * span), 0.07 * span, 0.4 * span, pen=INK)
    body = trunk + pl.fills.hatch(trunk, spacing=0.55, joined=True, pen=INK)
    way = np.array([(0.02, 0.34), (0.07, 0.52), (0.2, 0.68)]) * span
    feeler = pl.curves.catmull_rom(way, pen=INK)
    feelers = feeler + feeler.mirrored()
    fore_areas = pl.Drawing([fore_area]), pl.Drawing([fore_area]).mirrored()
    layers = [(hind, hind_area), (hind.mirrored(), pl.Drawing([hind_area]).mirrored())]
    layers += [(fore, fore_areas[0]), (fore.mirrored(), fore_areas[1]), body]
    whole = pl.regions.stack(layers, gap=0.3, shortest=0.4)
    whole += feelers.erased(pl.regions.silhouette(pl.Drawing([*fore_areas, body])).buffer(0.3))
    shape = pl.Drawing([hind_area, fore_area, trunk])
    shape = pl.regions.silhouette((shape + shape.mirrored()).turned(turn).moved(*middle))
    return whole.turned(turn).moved(*middle), shape


def plate() -> pl.Drawing:
    """The whole sheet in sheet mm: the moths from the bottom up, a frame and a caption."""
    pile = [((43, 164), 23, 14), ((106, 163), 23.5, -10), ((42, 76), 24, -12)]
    pile += [((106, 74), 24, 9), ((74, 119), 38, 0)]
    moths = pl.regions.stack([moth(*place) for place in pile], gap=0.6, shortest=0.5)
    frame = pl.Drawing([SHEET.area.exterior, SHEET.area.buffer(-1.2).exterior], pen=RUST)
    style = {"height": 5.5, "face": "italic complex", "align": "centre", "pen": INK}
    caption = pl.text.lettering("Moths of Outer Skerry", at=(74, 36), **style)
    style = {"height": 2.4, "align": "centre", "pen": RUST}
    below = pl.text.lettering("at the lamp, nights without a moon", at=(74, 28), **style)
    return pl.Drawing([moths, frame, caption, below])


if __name__ == "__main__":
    from finish import finish

    finish("moth_plate", plate(), SHEET)
