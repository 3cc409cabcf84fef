"""Every fill on one sheet: the pattern book of the stationery bench of the Skerrow Isles, on A4.

Each swatch is the same pebble with a hole, inked with a pen of 0.3 mm and, by trying spacings, to
the same tone: a quarter of it is ink. Below it stand the fill's name and how many strokes it takes.
The last two are solid.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=12)
INK = pl.Pen("black", width=0.3, colour="#20242c", feed=2_500)
RED = pl.Pen("red", width=0.3, colour="#a8321f", feed=2_500)
TITLE = pl.Pen("title", width=0.5, colour="#20242c", feed=2_500)
TONE = 0.25
fills = pl.fills
P = {"pen": INK}
SIDE = pl.curves.bezier([(0, 0), (0.2, 1.6), (1.6, 2.2), (2.4, 2.4)])
LEAF = SIDE + SIDE.mirrored(45)


AROUND = np.linspace(0, 2 * np.pi, 180, endpoint=False)
FAR = 15.5 * (1 + 0.07 * np.cos(2 * AROUND + 0.6) + 0.045 * np.cos(3 * AROUND + 2))
PEBBLE = shapely.Polygon(FAR[:, None] * np.column_stack([np.cos(AROUND), np.sin(AROUND)]))
AREA = PEBBLE.difference(shapely.Point(4.5, 3.5).buffer(4.2, quad_segs=24))


def shade(s: float) -> pl.fields.ScalarField:
    """A spacing that grows from the upper left to the lower right."""
    tone = pl.fields.ramp(-45) * 0.1 + 1.5
    return (tone.maximum(0) * tone * 0.4 + 0.45) * s


FILLS: dict[str, Callable[[float], pl.Drawing]] = {
    "hatch": lambda s: fills.hatch(AREA, spacing=s, angle=35, **P),
    "hatch, joined": lambda s: fills.hatch(AREA, spacing=s, angle=35, joined=True, **P),
    "cross-hatch": lambda s: fills.cross_hatch(AREA, spacing=s, angles=(35, 95), **P),
    "graded hatch": lambda s: fills.graded_hatch(AREA, shade(s), finest=0.4, angle=-45, **P),
    "dashed hatch": lambda s: fills.dashed_hatch(AREA, spacing=s, dash=2.4, gap=0.9, **P),
    "dotted hatch": lambda s: fills.dotted_hatch(AREA, spacing=s, angle=15, **P),
    "contour": lambda s: fills.contour(AREA, spacing=s, **P),
    "spiral": lambda s: fills.spiral(AREA, spacing=s, **P),
    "concentric": lambda s: fills.concentric(AREA, spacing=s, centre=(-5, -6), **P),
    "radial": lambda s: fills.radial(AREA, count=round(150 / s), centre=(4.5, 3.5), **P),
    "wave": lambda s: fills.wave(AREA, spacing=s, amplitude=0.8, wavelength=6, **P),
    "scales": lambda s: fills.wave(AREA, spacing=s, amplitude=s / 2, wavelength=3, shift=0.5, **P),
    "zigzag": lambda s: fills.zigzag(AREA, spacing=s, amplitude=0.9, wavelength=3.6, **P),
    "scribble": lambda s: fills.scribble(AREA, spacing=s, wildness=2, seed=7, **P),
    "Hilbert": lambda s: fills.space_filling(AREA, spacing=s, **P),
    "Gosper": lambda s: fills.space_filling(AREA, spacing=s, curve="gosper", **P),
    "dots, hexagonal": lambda s: fills.dots(AREA, spacing=s, **P),
    "dots, random": lambda s: fills.dots(AREA, spacing=s, layout="random", seed=4, **P),
    "circles that touch": lambda s: fills.circles(AREA, smallest=0.9 * s, **P),
    "truchet tiles": lambda s: fills.tiles(AREA, size=2 * s, seed=5, **P),
    "hexagons": lambda s: fills.tiles(AREA, size=1.4 * s, tiling="hexagons", **P),
    "bricks": lambda s: fills.tiles(AREA, size=2.6 * s, tiling="bricks", **P),
    "pattern": lambda s: fills.pattern(AREA, LEAF.scaled(s), width=2.5 * s, height=2.5 * s, **P),
    "solid": lambda s: fills.solid(AREA, **P),
    "solid, by rows": lambda s: fills.solid(AREA, method="hatch", **P),
}


def toned(make: Callable[[float], pl.Drawing]) -> pl.Drawing:
    """The fill with a spacing at which it covers the tone, by halving."""
    low, high = 0.4, 2.6
    for _ in range(6):
        middle = (low * high) ** 0.5
        fill = make(middle)
        is_dark = pl.fills.coverage(fill, AREA).covered > TONE
        low, high = (middle, high) if is_dark else (low, middle)
    return fill


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    parts = []
    left, _, right, top = SHEET.area.bounds
    for number, (name, make) in enumerate(FILLS.items()):
        x = left + 37.2 * (number % 5 + 0.5)
        y = top - 29 - 48.6 * (number // 5 + 0.5)
        fill = make(1.0) if name.startswith("solid") else toned(make)
        note = "1 stroke" if len(fill) == 1 else f"{len(fill)} strokes"
        parts.append(fill.moved(x, y + 3))
        for line, height, down, pen in ((name, 2.5, 17, INK), (note, 1.8, 20.6, RED)):
            style = {"height": height, "align": "centre", "pen": pen}
            parts.append(pl.text.lettering(line, at=(x, y - down), **style))
    middle = (left + right) / 2
    style = {"face": "roman triplex", "height": 8.5, "align": "centre", "pen": TITLE}
    parts.append(pl.text.lettering("Ways to Fill a Pebble", at=(middle, top - 13), **style))
    told = "Skerrow stationery bench · pen of 0.3 mm · a quarter of each is ink"
    style = {"height": 2.6, "align": "centre", "pen": RED}
    return pl.Drawing([*parts, pl.text.lettering(told, at=(middle, top - 21), **style)])


if __name__ == "__main__":
    from finish import finish

    finish("fill_sampler", scene(), SHEET)
