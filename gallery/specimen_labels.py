"""Labels for a drawer of moths: names in a font inked solid, the rest in single strokes.

An outline font drawn as outlines looks hollow, so each name is an area that is filled to the pen's
width. The font comes with the package matplotlib and is set by uharfbuzz (``pip install matplotlib
uharfbuzz``); without them the names are drawn in a face of single strokes too. Moths, names,
places and dates come from a seed; eight labels share an A5 sheet, with lines to cut along.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import shapely

import plotlib as pl

HERE = Path(__file__).parent
OUT = HERE / "out"
RNG = np.random.default_rng(5)
INK = pl.Pen("black", width=0.25, colour="#20242a", feed=2_000)
BROWN = pl.Pen("brown", width=0.25, colour="#7a4a21", feed=2_000)

MACHINE = pl.Machine.load(HERE / "stationery_bench.toml")
SHEET = pl.Sheet.iso("A5", at=(5, 10), margin=9)
FORE = np.array([(4, 30), (45, 60), (100, 72), (92, 40), (72, 8), (35, 2), (4, 6)]) / 100
HIND = np.array([(4, 4), (38, 0), (68, -12), (70, -42), (46, -66), (20, -50), (5, -22)]) / 100


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
    whole = pl.Drawing([wings.erased(body[0]).erased(body[1]), *body])
    return whole.scaled(span / 2).moved(*middle).inked(BROWN)


def names(count: int) -> list[tuple[str, str, str]]:
    """Genus, kind and place, in the manner of the old collectors."""
    heads = ["Nocta", "Luna", "Thala", "Pluvi", "Brumi", "Faro"]
    tails = ["graphia", "phila", "ptera", "scia"]
    kinds = ["skerrowensis", "ferriarum", "salicornis", "nebulæ"]
    kinds += ["umbrifera", "litoralis", "turbida", "noctivaga"]
    places = ["Outer Skerry", "Tarnberg", "Fáley", "Mewholm"]
    return [
        (RNG.choice(heads) + RNG.choice(tails), kinds[k % 8], str(RNG.choice(places)))
        for k in range(count)
    ]


def title(genus: str, at: tuple[float, float]) -> pl.Drawing:
    """The genus in a bold outline font, inked solid; a stroke face if there is no such font."""
    try:
        import matplotlib  # for its font only

        font = Path(matplotlib.get_data_path(), "fonts", "ttf", "DejaVuSerif-Bold.ttf")
        letters = pl.text.font_area(genus, font, height=3.6, at=at, align="centre", tolerance=0.01)
    except ImportError:
        style = {"face": "roman triplex", "height": 3.6, "align": "centre", "pen": INK}
        return pl.text.lettering(genus, at=at, **style)
    return pl.fills.solid(letters, pen=INK)


def label(number: int, told: tuple[str, str, str], box: shapely.Polygon) -> pl.Drawing:
    """One label inside its box: names above, the moth, where and when."""
    left, bottom, right, top = box.bounds
    middle = (left + right) / 2
    name = title(told[0], (middle, top - 8))
    kind = pl.text.lettering(
        told[1], face="italic complex", height=2.4, at=(middle, top - 12.5), align="centre", pen=INK
    )
    date = f"{told[2]}, {RNG.integers(1, 29)} · {RNG.choice(['v', 'vi', 'vii'])}"
    date += f" · lamp, {RNG.integers(4, 19)} °C"
    foot = pl.text.lettering(date, height=1.8, at=(left + 4, bottom + 4), pen=INK)
    count = pl.text.lettering(
        f"№ {number}", height=1.8, at=(right - 3, top - 4.8), align="right", pen=BROWN
    )
    return pl.Drawing([name, kind, foot, count, moth((middle, bottom + 19.5), 31)])


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
