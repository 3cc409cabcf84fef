"""A specimen plate of moths that came to the lamp on Outer Skerry, wings over wings as they lie in
the drawer.

Each moth is a handful of outlines pulled about by a seed; every band of a wing has a fill of its
own. The moths are laid one upon another as opaque shapes, so that what lies below is hidden, with a
pen's width of air around each edge.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import shapely

import plotlib as pl

HERE = Path(__file__).parent
OUT = HERE / "out"
RNG = np.random.default_rng(23)
INK = pl.Pen("black", width=0.25, colour="#23252a", feed=2_000)
RUST = pl.Pen("rust", width=0.3, colour="#a2481f", feed=2_000)

MACHINE = pl.Machine.load(HERE / "stationery_bench.toml")
SHEET = pl.Sheet.iso("A5", at=(5, 10), margin=9)
FORE = np.array([(2, 26), (42, 62), (98, 76), (95, 44), (74, 10), (36, 0), (2, 2)]) / 100
HIND = np.array([(2, 4), (38, 2), (66, -8), (72, -40), (48, -62), (20, -50), (3, -20)]) / 100


def band_fill(area: shapely.Geometry, kind: int, pen: pl.Pen) -> pl.Drawing:
    """One of the fills that wings are made of."""
    fills = pl.fills
    if kind == 0:
        return fills.hatch(
            area, spacing=0.7, angle=float(RNG.uniform(20, 80)), joined=True, pen=pen
        )
    if kind == 1:
        return fills.contour(area, spacing=0.75, pen=pen)
    if kind == 2:
        return fills.radial(area, count=260, centre=(0.0, 0.0), pen=pen)
    if kind == 3:
        return fills.dots(area, spacing=0.9, pen=pen)
    if kind == 4:
        return fills.wave(area, spacing=0.95, amplitude=0.35, wavelength=2.4, angle=60, pen=pen)
    return fills.solid(area, pen=pen)


def wing(outline: np.ndarray, root: np.ndarray, span: float) -> list[pl.Drawing]:
    """A wing to the right: its outline, and bands from the edge inwards, each with a fill; an eye
    spot last.
    """
    shape = (outline + RNG.normal(0, 0.02, outline.shape)) * span
    sizes = [1.0, 0.86, 0.62, 0.42]
    root = root * span
    edges = [
        pl.curves.catmull_rom(root + (shape - root) * size, closed=True, pen=INK) for size in sizes
    ]
    areas = [shapely.make_valid(shapely.Polygon(edge[0])) for edge in edges]
    kinds = RNG.permutation(5)[:3]
    bands = [
        band_fill(outer.difference(inner), int(kind), INK)
        for outer, inner, kind in zip(areas, areas[1:], kinds, strict=False)
    ]
    eye = tuple(root + (shape.mean(axis=0) - root) * 1.25)
    spot = [
        pl.shapes.circle(eye, 0.085 * span, pen=RUST),
        pl.fills.solid(pl.shapes.circle(eye, 0.045 * span), pen=RUST),
    ]
    return [pl.regions.stack([pl.Drawing([*edges, *bands]), pl.Drawing(spot)], gap=0.3)]


def moth(
    middle: tuple[float, float], span: float, turn: float
) -> tuple[pl.Drawing, shapely.Geometry]:
    """A set moth, turned and placed, and its silhouette: hind wings below fore wings below the
    body.
    """
    hind, fore = (
        wing(outline, np.array(root), span)[0]
        for outline, root in ((HIND, (0.04, -0.08)), (FORE, (0.04, 0.14)))
    )
    body = pl.shapes.ellipse((0, -0.04 * span), 0.07 * span, 0.4 * span, pen=INK)
    body += pl.fills.hatch(body, spacing=0.6, joined=True, pen=INK)
    feeler = pl.curves.catmull_rom(
        np.array([(0.02, 0.34), (0.1, 0.58), (0.3, 0.76)]) * span, pen=INK
    )
    layers = [feeler + feeler.mirrored(), hind, hind.mirrored(), fore, fore.mirrored(), body]
    layers = [layer.turned(turn).moved(*middle) for layer in layers]
    return pl.regions.stack(layers, gap=0.3), shapely.union_all(
        [pl.regions.silhouette(layer) for layer in layers]
    )


def plate() -> pl.Drawing:
    """The whole sheet in sheet mm: the moths from the bottom of the pile up, a frame and a
    caption.
    """
    pile = [
        ((45, 165), 27, 14),
        ((103, 164), 27.5, -10),
        ((43, 70), 27, -12),
        ((105, 67), 27, 9),
        ((74, 117), 41, 0),
    ]
    moths = pl.regions.stack([moth(*place) for place in pile], gap=0.5)
    frame = pl.Drawing([SHEET.area.exterior], pen=RUST)
    caption = "Moths of Outer Skerry"
    caption = pl.text.lettering(
        caption, height=4.5, face="italic complex", at=(74, 23), align="centre", pen=INK
    )
    below = pl.text.lettering(
        "at the lamp, nights without a moon", height=2.2, at=(74, 17), align="centre", pen=RUST
    )
    return pl.Drawing([moths, frame, caption, below])


def main() -> None:
    """Draw, plan, write, report."""
    OUT.mkdir(exist_ok=True)
    plot = pl.plan(plate(), MACHINE, sheet=SHEET)
    pl.gcode.write(plot, OUT / "moth_plate.gcode", title="Moths of Outer Skerry")
    pl.svg.write(plot, OUT / "moth_plate.svg")
    pl.preview.png(plot, OUT / "moth_plate.png", dpi=250)
    print(plot)


if __name__ == "__main__":
    main()
