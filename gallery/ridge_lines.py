"""Evening over the ridges of Hollin Skerry, on A4 upright with two pens.

Profiles of a seeded ground are stacked up the sheet, each hiding what lies behind it; the ground
grows rougher and higher towards the middle of the island and runs out into a calm sea in front. A
low sun stands behind the last ridge, drawn as rings that the ridge cuts off.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import shapely

import plotlib as pl

OUT = Path(__file__).parent / "out"
SEED = 9
INK = pl.Pen("ink", width=0.3, colour="#22303c", feed=3_000)
SUN = pl.Pen("orange", width=0.4, colour="#d8692b", feed=3_000)
SHEET = pl.Sheet.iso("A4", margin=18)
SPACING = 1.6
HEIGHT = 44.0
SKY = 84.0

BENCH = pl.Machine(
    name="bench",
    width=225,
    height=310,
    x=pl.Axis(rate=10_000, acceleration=500),
    y=pl.Axis(rate=4_000, acceleration=250),
    lift=pl.ServoLift(up="M5", down="M3 S90", settle_up=0.2, settle_down=0.2),
    feed=3_000,
)
TABLE = pl.Machine(
    name="table",
    width=450,
    height=640,
    x=pl.Axis(rate=6_000, acceleration=200),
    y=pl.Axis(rate=6_000, acceleration=200, reversed=True),
    lift=pl.ZLift(up=3, down=-0.5, feed=900),
    feed=2_400,
    zero=(0, 640),
    prologue=["G21", "G90", "G0 Z3"],
)


def ground() -> pl.fields.ScalarField:
    """Heights, 0 … about 1: crests where noise changes its sign, low at the sides and flat in
    front.
    """
    warp = pl.fields.perlin(scale=60, seed=SEED + 1, octaves=2) * 16
    crests = (
        (1 - abs(pl.fields.perlin(scale=58, seed=SEED, octaves=5)) * 2.2)
        .at_least(0)
        .shaped(lambda f: f**2.2)
    )
    middle = pl.fields.radial((108, 132)).shaped(lambda far: np.exp(-((far / 62) ** 4)))
    swell = (
        pl.fields.perlin(scale=14, seed=SEED + 2, octaves=2).warped(0, pl.fields.ramp(90) * 1.8)
        * 0.02
    )
    return crests.warped(warp, warp) * middle + swell


def silhouette(height: pl.fields.ScalarField) -> shapely.Geometry:
    """What all ridges together hide."""
    left, bottom, right, top = SHEET.area.bounds
    x = np.arange(left, right + 0.25, 0.25)
    rows = np.arange(bottom + SPACING / 2, top - SKY, SPACING)
    tops = (rows[:, None] + HEIGHT * height(x[None, :], rows[:, None])).max(axis=0)
    return shapely.Polygon([(left, bottom), *zip(x, tops, strict=True), (right, bottom)])


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    height = ground()
    ridges = pl.fields.ridgelines(
        height, SHEET.area, spacing=SPACING, height=HEIGHT, sky=SKY, pen=INK
    )
    sun = pl.fields.isolines(
        pl.fields.radial((128, 219)), SHEET.area, levels=np.arange(0.6, 33, 0.95), pen=SUN
    )
    return ridges + sun.erased(silhouette(height).buffer(0.6))


def main() -> None:
    """Draw once; plan, write and report for both machines."""
    OUT.mkdir(exist_ok=True)
    drawing = scene()
    for machine in (BENCH, TABLE):
        plot = pl.plan(drawing, machine, sheet=SHEET)
        pl.gcode.write(
            plot, OUT / f"ridge_lines_{machine.name}.gcode", title="Ridges of Hollin Skerry"
        )
        print(plot)
    pl.svg.write(drawing, OUT / "ridge_lines.svg", sheet=SHEET)
    pl.preview.png(drawing, OUT / "ridge_lines.png", sheet=SHEET, dpi=200)


if __name__ == "__main__":
    main()
