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

HERE = Path(__file__).parent
OUT = HERE / "out"
SEED = 9
INK = pl.Pen("ink", width=0.3, colour="#22303c", feed=3_000)
SUN = pl.Pen("orange", width=0.4, colour="#d8692b", feed=3_000)
SHEET = pl.Sheet.iso("A4", margin=18)
SPACING = 1.6
HEIGHT = 44.0
SKY = 84.0
MACHINES = [pl.Machine.load(HERE / name) for name in ("bench.toml", "table.toml")]


def ground() -> pl.fields.ScalarField:
    """Heights, 0 … about 1: crests where noise changes its sign, low at the sides and flat in
    front.
    """
    warp = pl.fields.perlin(scale=60, seed=SEED + 1, octaves=2) * 16
    crests = (
        (1 - abs(pl.fields.perlin(scale=58, seed=SEED, octaves=5)) * 2.2)
        .maximum(0)
        .shaped(lambda f: f**2.2)
    )
    middle = pl.fields.distance_to_point((108, 132)).shaped(lambda far: np.exp(-((far / 62) ** 4)))
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
        pl.fields.distance_to_point((128, 219)),
        SHEET.area,
        levels=np.arange(0.6, 33, 0.95),
        pen=SUN,
    )
    return ridges + sun.erased(silhouette(height).buffer(0.6))


def main() -> None:
    """Draw once; plan, write and report for both machines."""
    OUT.mkdir(exist_ok=True)
    drawing = scene()
    for machine in MACHINES:
        plot = pl.plan(drawing, machine, sheet=SHEET)
        pl.gcode.write(
            plot, OUT / f"ridge_lines_{machine.name}.gcode", title="Ridges of Hollin Skerry"
        )
        print(plot)
    pl.svg.write(drawing, OUT / "ridge_lines.svg", sheet=SHEET)
    pl.preview.png(drawing, OUT / "ridge_lines.png", sheet=SHEET, dpi=200)


if __name__ == "__main__":
    main()
