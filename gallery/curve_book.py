"""The curve book of the stationery bench: every curve and shape that has a name, on one sheet.

Each stands in a cell of its own, fitted to the same size and lettered with what it is called; the
large ones that fill an area are drawn coarse enough for the pen.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=13)
INK = pl.Pen("ink", width=0.3, colour="#1f2d3d", feed=3_000)
BROAD = pl.Pen("broad", width=1.6)
TITLE = pl.Pen("title", width=0.5, colour="#1f2d3d", feed=2_500)
RED = pl.Pen("red", width=0.3, colour="#a8321f", feed=3_000)
MID = (0.0, 0.0)
ZIGZAG = [(0, 0), (4, 9), (8, 1), (12, 10), (16, 3), (20, 8)]
BASE = ((0, -7), (24, -7))
RAYS = [(12 * np.cos(t), 12 * np.sin(t)) for t in np.arange(24) * np.pi / 12]
SPROUT = {"F": "FF+[+F-F-F]-[-F+F+F]"}
SWINGS = [pl.curves.Swing(60, f, phase=turn, damping=0.1) for f, turn in ((2, 0), (3.01, 75))]
shapes = pl.shapes
curves = pl.curves


def wave(t: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    return t, 6 * np.exp(-t / 9) * np.sin(2 * t)


def leaf_with_axis() -> pl.Drawing:
    """A shape and the points with more than one nearest place on its edge."""
    leaf = pl.regions.rounded(shapes.star(MID, 12, tips=5, inner=6), radius=1.5)
    leaf = pl.Drawing(leaf)
    return leaf + pl.regions.medial_axis(leaf, step=0.4)


def insets() -> pl.Drawing:
    """A star drawn in and out, with its true outline for a pen."""
    star = shapes.star(MID, 9, tips=5, inner=5)
    areas = [pl.regions.inset(star, 1.3), pl.regions.inset(star, 2.6), pl.regions.outset(star, 1.3)]
    areas.append(pl.regions.outset(star, 2.6))
    lines = [pl.regions.outline(area) for area in areas]
    return pl.Drawing([pl.regions.compensated(star, pen=INK), *lines])


BOOK = {
    "circles": shapes.circles([MID] * 6, np.arange(2, 13, 2)) + shapes.circle(MID, 14),
    "ellipses": sum(shapes.ellipse(MID, 12 - k, 3 + 1.5 * k) for k in range(6)),
    "arc, sector": shapes.sector(MID, 12, sweep=140, inner=4) + shapes.arc(MID, 14, start=180),
    "rectangles": sum(shapes.rectangle((k, k), 24 - 2 * k, 16 - 2 * k) for k in range(5)),
    "polygons": sum(shapes.regular_polygon(MID, 3 * k, sides=k + 2) for k in range(1, 6)),
    "star": shapes.star(MID, 12, tips=9, inner=6),
    "star polygon": shapes.star_polygon(MID, 12, corners=11, step=4),
    "lines": shapes.lines([(x / 5, y / 5) for x, y in RAYS], RAYS),
    "polyline, dots": shapes.polyline(ZIGZAG) + shapes.dots(ZIGZAG).moved(0, 2),
    "line": sum(shapes.line((0, k), (22 - k, 0)) for k in range(1, 22, 2)),
    "Bézier": sum(curves.bezier([(0, 0), (0, 4 * k), (20, 4 * k), (20, 0)]) for k in range(1, 6)),
    "Catmull–Rom": curves.catmull_rom(ZIGZAG) + shapes.circles(ZIGZAG, 0.5),
    "any function": curves.parametric(wave, 0, 24) + pl.text.axis(*BASE, low=0, high=4, height=2),
    "Archimedean": curves.archimedean_spiral(MID, 9, pitch=1.3),
    "logarithmic": curves.logarithmic_spiral(MID, 12, inner=0.3, turns=4),
    "phyllotaxis": shapes.circles(curves.phyllotaxis(MID, 160, scale=0.95).points, 0.42),
    "rose": curves.rose(MID, 12, k=7 / 3),
    "lemniscate": sum(curves.lemniscate(MID, radius) for radius in (4, 7, 10, 13)),
    "superellipse": sum(curves.superellipse(MID, 11, 9, power=n) for n in (0.7, 1, 1.5, 2.5, 5)),
    "superformula": curves.superformula(MID, 12, m=7, n1=0.6, n2=1.4, n3=1.4),
    "hypotrochoid": curves.hypotrochoid(MID, 105, 45, arm=30),
    "epitrochoid": curves.epitrochoid(MID, 50, 20, arm=26),
    "trochoid": curves.trochoid(MID, 2, arm=3.4, arches=3),
    "Lissajous": curves.lissajous(MID, 12, 9, x=5, y=4),
    "pendulums": curves.pendulum(MID, *SWINGS, duration=8),
    "Koch": curves.koch((0, 0), (24, 0), depth=4),
    "snowflake": curves.koch_snowflake(MID, 12, depth=3),
    "dragon": curves.dragon((0, 0), (20, 0), depth=8),
    "Sierpiński": curves.sierpinski_arrowhead((0, 0), (24, 0), depth=5),
    "Hilbert": curves.hilbert((0, 0), 22, depth=4),
    "Peano": curves.peano((0, 0), 22, depth=3),
    "Gosper": curves.gosper(MID, (22, 0), depth=3),
    "L-system": curves.lsystem("F", SPROUT, depth=3, angle=22.5),
    "medial axis": leaf_with_axis(),
    "inset, outset": insets(),
    "swept": pl.Drawing(pl.regions.swept(curves.catmull_rom(ZIGZAG, pen=BROAD))),
}


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    left, _, right, top = SHEET.area.bounds
    parts = []
    for number, (name, drawn) in enumerate(BOOK.items()):
        x = left + (right - left) * (number % 6 + 0.5) / 6
        y = top - 42.5 - 40 * (number // 6)
        cell = shapely.box(x - 12.5, y - 12.5, x + 12.5, y + 12.5)
        parts.append(drawn.fitted(cell).inked(INK))
        parts.append(pl.text.lettering(name, height=2.2, at=(x, y - 18), align="centre", pen=RED))
    style = {"face": "roman triplex", "height": 8.5, "align": "centre", "pen": TITLE}
    parts.append(pl.text.lettering("A Book of Curves", at=((left + right) / 2, top - 12), **style))
    return pl.Drawing(parts)


if __name__ == "__main__":
    from finish import finish

    finish("curve_book", scene(), SHEET)
