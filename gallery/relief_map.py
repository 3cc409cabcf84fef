"""A chart of Hollin Skerry, the highest of the Skerrow Isles, on an A5 sheet with two pens.

The island is a seeded height field: brown contour lines every 12 m, a blue coast, and the sea hatched where it is shallow. The script
plans the drawing for a bench machine, writes proven G-code, SVG and a picture of the print, and says how long the pen will take.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import shapely

import plotlib as pl

OUT = Path(__file__).parent / "out"
SEED = 41
BROWN = pl.Pen("brown", width=0.3, colour="#7a4a21", feed=2_500)
BLUE = pl.Pen("blue", width=0.4, colour="#1d4e89", feed=2_500)

MACHINE = pl.Machine(
    name="Skerrow stationery bench",
    width=225,
    height=250,
    x=pl.Axis(rate=10_000, acceleration=500),
    y=pl.Axis(rate=4_000, acceleration=250),
    lift=pl.ServoLift(up="M5", down="M3 S90", settle_up=0.2, settle_down=0.2),
    feed=3_000,
)
SHEET = pl.Sheet.iso("A5", landscape=True, at=(5, 10), margin=9)


def island() -> pl.fields.ScalarField:
    """Metres above the sea: a broad dome with a long ridge, broken up by noise."""
    noise = pl.fields.perlin(scale=46, seed=SEED, octaves=5)
    dome = 1.0 - pl.fields.radial((103, 74)) / 62
    spine = pl.fields.ridge((64, 58), (142, 92), width=26)
    bay = pl.fields.ridge((118, 30), (108, 52), width=13)
    return dome * 95 + spine * 120 + noise * 105 - bay * 90 - 62


def chart() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    height, frame = island(), SHEET.area.buffer(-1.6, join_style="mitre")
    land = shapely.unary_union([area for area in pl.fields.bands(height, frame, levels=[0])[1:]])
    contours = pl.fields.isolines(height, frame, levels=np.arange(12, 400, 12), pen=BROWN)
    coast = pl.fields.isolines(height, frame, levels=[0], pen=BLUE)
    shallow = 5.5 + pl.fields.perlin(scale=18, seed=SEED + 1) * 4 - pl.fields.distance(land)
    margin = pl.fields.bands(shallow, frame, levels=[0])[1].difference(land.buffer(0.35))
    return contours + coast + pl.fills.hatch(margin, spacing=0.8, pen=BLUE) + border()


def border() -> pl.Drawing:
    return pl.Drawing([SHEET.area.exterior], pen=BLUE)


def main() -> None:
    """Draw, plan, write, report."""
    OUT.mkdir(exist_ok=True)
    plot = pl.plan(chart(), MACHINE, sheet=SHEET)
    pl.svg.write(plot, OUT / "relief_map.svg")
    pl.preview.png(plot, OUT / "relief_map.png", dpi=200)
    print(plot)


if __name__ == "__main__":
    main()
