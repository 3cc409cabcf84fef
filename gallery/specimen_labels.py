"""Labels for a drawer of moths: genus names in an outline font inked solid, the rest in single
strokes.

An outline font drawn as outlines looks hollow, so each name is an area that is filled to the pen's
width. Moths, names, places and dates come from a seed; eight labels share an A5 sheet, with lines
to cut along.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import matplotlib
import numpy as np
import shapely

import plotlib as pl

OUT = Path(__file__).parent / "out"
FONT = Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "DejaVuSerif-Bold.ttf"
RNG = np.random.default_rng(5)
INK = pl.Pen("black", width=0.25, colour="#20242a", feed=2_000)
BROWN = pl.Pen("brown", width=0.25, colour="#7a4a21", feed=2_000)

MACHINE = pl.Machine(
    name="Skerrow stationery bench",
    width=225,
    height=250,
    x=pl.Axis(rate=10_000, acceleration=500),
    y=pl.Axis(rate=4_000, acceleration=250),
    lift=pl.ServoLift(up="M5", down="M3 S90", settle_up=0.2, settle_down=0.2),
    feed=3_000,
)
SHEET = pl.Sheet.iso("A5", at=(5, 10), margin=9)
FORE = np.array(
    [(0.04, 0.3), (0.45, 0.6), (1.0, 0.72), (0.92, 0.4), (0.72, 0.08), (0.35, 0.02), (0.04, 0.06)]
)
HIND = np.array(
    [
        (0.04, 0.04),
        (0.38, 0.0),
        (0.68, -0.12),
        (0.7, -0.42),
        (0.46, -0.66),
        (0.2, -0.5),
        (0.05, -0.22),
    ]
)


def moth(middle: tuple[float, float], span: float) -> pl.Drawing:
    """A set moth: wings from a few points pulled about by chance, with bands, dark fields and eye
    spots.
    """
    parts = []
    for wing, root in ((FORE, (0.05, 0.18)), (HIND, (0.05, -0.1))):
        shape = wing + RNG.normal(0, 0.022, wing.shape)
        sizes = np.linspace(1, 0.5, RNG.integers(3, 5))
        edges = [
            pl.curves.catmull_rom(root + (shape - root) * size, closed=True, tolerance=0.001)
            for size in sizes
        ]
        rim = shapely.Polygon(edges[0][0]).difference(shapely.Polygon(edges[1][0]))
        rim = pl.fills.hatch(rim, spacing=0.035, angle=RNG.choice([30, 60, 100]))
        spots = [
            pl.shapes.circle(tuple(shape.mean(axis=0) * 0.9), radius, tolerance=0.001)
            for radius in (0.055, 0.02)
        ]
        parts += [*edges, rim, *spots]
    feeler = pl.curves.catmull_rom([(0.02, 0.38), (0.1, 0.6), (0.3, 0.78)], tolerance=0.001)
    half = pl.Drawing([*parts, feeler])
    body = [
        pl.shapes.ellipse((0, 0.02 - 0.25 * k), 0.05, 0.34 - 0.06 * k, tolerance=0.001)
        for k in (0, 0.4)
    ]
    wings = half + half.mirrored()
    return (
        pl.Drawing([wings.erased(body[0]).erased(body[1]), *body])
        .scaled(span / 2)
        .moved(*middle)
        .inked(BROWN)
    )


def names(count: int) -> list[tuple[str, str, str]]:
    """Genus, kind and place, in the manner of the old collectors."""
    heads = ["Nocta", "Luna", "Thala", "Pluvi", "Brumi", "Faro"]
    tails = ["graphia", "phila", "ptera", "scia"]
    kinds = [
        "skerrowensis",
        "ferriarum",
        "salicornis",
        "nebulæ",
        "umbrifera",
        "litoralis",
        "turbida",
        "noctivaga",
    ]
    places = ["Outer Skerry", "Tarnberg", "Fáley", "Mewholm"]
    return [
        (RNG.choice(heads) + RNG.choice(tails), kinds[k % 8], str(RNG.choice(places)))
        for k in range(count)
    ]


def label(number: int, told: tuple[str, str, str], box: shapely.Polygon) -> pl.Drawing:
    """One label inside its box: names above, the moth, where and when."""
    left, bottom, right, top = box.bounds
    middle = (left + right) / 2
    genus = told[0]
    title = pl.fills.solid(
        pl.text.outlines(
            genus, FONT, height=3.6, at=(middle, top - 8), align="centre", tolerance=0.01
        ),
        pen=INK,
    )
    kind = pl.text.lettering(
        told[1], face="italic complex", height=2.4, at=(middle, top - 12.5), align="centre", pen=INK
    )
    date = f"{told[2]}, {RNG.integers(1, 29)} · {RNG.choice(['v', 'vi', 'vii'])} · lamp, {RNG.integers(4, 19)} °C"
    foot = pl.text.lettering(date, height=1.8, at=(left + 4, bottom + 4), pen=INK)
    count = pl.text.lettering(
        f"№ {number}", height=1.8, at=(right - 4, bottom + 4), align="right", pen=BROWN
    )
    return pl.Drawing([title, kind, foot, count, moth((middle, bottom + 19.5), 31)])


def sheet() -> pl.Drawing:
    """All labels in sheet mm, with the lines to cut along."""
    left, bottom, right, top = SHEET.area.bounds
    xs = np.linspace(left, right, 3)
    ys = np.linspace(top, bottom, 5)
    boxes = [shapely.box(a, d, b, c) for c, d in pairwise(ys) for a, b in pairwise(xs)]
    labels = [
        label(k + 1, told, box)
        for k, (told, box) in enumerate(zip(names(len(boxes)), boxes, strict=True))
    ]
    cuts = [[(x, bottom), (x, top)] for x in xs] + [[(left, y), (right, y)] for y in ys]
    return pl.Drawing([pl.Drawing(cuts, pen=BROWN), *labels])


def main() -> None:
    """Draw, plan, write, report."""
    OUT.mkdir(exist_ok=True)
    plot = pl.plan(sheet(), MACHINE, sheet=SHEET)
    pl.gcode.write(plot, OUT / "specimen_labels.gcode", title="Labels for a drawer of moths")
    pl.svg.write(plot, OUT / "specimen_labels.svg")
    pl.preview.png(plot, OUT / "specimen_labels.png", dpi=300)
    print(plot)


if __name__ == "__main__":
    main()
