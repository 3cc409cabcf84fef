"""Every fill on one sheet: the pattern book of the stationery bench of the Skerrow Isles, on A4.

Each swatch is the same pebble with a hole, inked with a pen of 0.3 mm; below it stand the fill's
name and the share of the swatch that the ink covers. The last row shows what a solid fill and its
rivals make of it.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import shapely

import plotlib as pl

HERE = Path(__file__).parent
OUT = HERE / "out"
INK = pl.Pen("black", width=0.3, colour="#20242c", feed=2_500)
RED = pl.Pen("red", width=0.3, colour="#a8321f", feed=2_500)

MACHINE = pl.Machine.load(HERE / "bench.toml")
SHEET = pl.Sheet.iso("A4", at=(10, 10), margin=12)
COLUMNS = 5
CELL = (37.2, 49.5)
SIZE = 15.5


def pebble() -> shapely.Polygon:
    """A rounded outline with a round hole, around (0, 0)."""
    angle = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    far = SIZE * (1 + 0.07 * np.cos(2 * angle + 0.6) + 0.045 * np.cos(3 * angle + 2))
    outer = shapely.Polygon(far[:, None] * np.column_stack([np.cos(angle), np.sin(angle)]))
    return outer.difference(shapely.Point(4.5, 3.5).buffer(4.2, quad_segs=24))


def swatches(area: shapely.Polygon) -> dict[str, pl.Drawing]:
    """Each fill under its name."""
    f = pl.fills
    ink = {"pen": INK}
    shade = pl.fields.from_function(lambda x, y: 0.42 + np.maximum((x - y) / 12 + 1.6, 0) ** 2 / 3)
    leaf = pl.Drawing(
        [
            pl.curves.bezier([(0, 0), (0.2, 1.6), (1.6, 2.2), (2.4, 2.4)]),
            pl.curves.bezier([(0, 0), (1.6, 0.2), (2.2, 1.6), (2.4, 2.4)]),
        ]
    )
    return {
        "hatch": f.hatch(area, spacing=0.9, angle=35, **ink),
        "hatch, joined": f.hatch(area, spacing=0.9, angle=35, joined=True, **ink),
        "cross-hatch": f.cross_hatch(area, spacing=1.3, angles=(35, 95), **ink),
        "graded hatch": f.graded_hatch(area, shade, finest=0.4, angle=-45, shortest=0.6, **ink),
        "dashed hatch": f.dashed_hatch(area, spacing=0.8, dash=2.4, gap=0.9, angle=15, **ink),
        "dotted hatch": f.dotted_hatch(area, spacing=0.9, angle=15, **ink),
        "contour": f.contour(area, spacing=0.8, **ink),
        "spiral": f.spiral(area, spacing=0.8, **ink),
        "concentric": f.concentric(area, spacing=0.8, centre=(-5, -6), **ink),
        "radial": f.radial(area, count=192, closest=0.5, centre=(4.5, 3.5), **ink),
        "wave": f.wave(area, spacing=1.0, amplitude=0.8, wavelength=6, **ink),
        "wave, shifted": f.wave(
            area, spacing=1.2, amplitude=0.55, wavelength=3.4, shift=0.5, **ink
        ),
        "zigzag": f.zigzag(area, spacing=1.0, amplitude=0.9, wavelength=3.6, angle=90, **ink),
        "scribble": f.scribble(area, spacing=0.9, wildness=2, seed=7, **ink),
        "Hilbert": f.space_filling(area, spacing=0.85, **ink),
        "Gosper": f.space_filling(area, spacing=1.0, curve="gosper", **ink),
        "dots, hexagonal": f.dots(area, spacing=1.0, **ink),
        "dots, random": f.dots(area, spacing=0.75, layout="random", seed=4, **ink),
        "circles": f.dots(area, spacing=1.7, radius=0.6, **ink),
        "tiles: truchet": f.tiles(area, size=2.0, seed=5, **ink),
        "tiles: hexagons": f.tiles(area, size=1.3, tiling="hexagons", **ink),
        "tiles: bricks": f.tiles(area, size=2.6, tiling="bricks", **ink),
        "pattern": f.pattern(area, leaf, width=2.5, height=2.5, stagger=0.5, **ink),
        "solid": f.solid(area, **ink),
        "solid, by rows": f.solid(area, method="hatch", **ink),
    }


def main() -> None:
    """Draw, plan, write, report."""
    OUT.mkdir(exist_ok=True)
    area = pebble()
    parts = []
    left, _, _, top = SHEET.area.bounds
    for number, (name, fill) in enumerate(swatches(area).items()):
        x = left + CELL[0] * (number % COLUMNS + 0.5)
        y = top - 26 - CELL[1] * (number // COLUMNS + 0.5)
        cover = pl.fills.coverage(fill, area)
        count = "1 stroke" if len(fill) == 1 else f"{len(fill)} strokes"
        note = f"{100 * cover.covered:.3g} % in {count}"
        parts += [
            fill.moved(x, y + 3),
            pl.text.lettering(name, height=2.5, at=(x, y - 17.5), align="centre", pen=INK),
        ]
        parts += [pl.text.lettering(note, height=1.8, at=(x, y - 21.3), align="centre", pen=RED)]
        print(
            f"{name:16s} covers {100 * cover.covered:5.1f} %, twice {100 * cover.double:5.1f} %, "
            f"{fill.length:6.0f} mm in {len(fill)} strokes"
        )
    middle = SHEET.area.centroid.x
    parts += [
        pl.text.lettering(
            "Twenty-five ways to fill a pebble",
            height=7,
            at=(middle, top - 11),
            align="centre",
            pen=INK,
        )
    ]
    parts += [
        pl.text.lettering(
            "Skerrow stationery bench · pen of 0.3 mm",
            height=2.5,
            at=(middle, top - 18),
            align="centre",
            pen=RED,
        )
    ]
    plot = pl.plan(pl.Drawing(parts), MACHINE, sheet=SHEET)
    pl.gcode.write(plot, OUT / "fill_sampler.gcode", title="Fill sampler")
    pl.svg.write(plot, OUT / "fill_sampler.svg")
    pl.preview.png(plot, OUT / "fill_sampler.png", dpi=200)
    print(plot)


if __name__ == "__main__":
    main()
