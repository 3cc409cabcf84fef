"""The spring tide running through the Skerrow Isles, on A4 with two pens.

A stream function, held to one number on each island, makes a flow that slides along every coast and
has no divergence; evenly spaced lines follow it, closer where the water runs faster. The islands
themselves are contoured; two quite different machines get a proven file each.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import shapely

import plotlib as pl

HERE = Path(__file__).parent
OUT = HERE / "out"
SEED = 21
BLUE = pl.Pen("blue", width=0.3, colour="#1b4b82", feed=3_000)
RED = pl.Pen("red", width=0.3, colour="#b23a1e", feed=2_500)
SHEET = pl.Sheet.iso("A4", landscape=True, margin=12)
MACHINES = [pl.Machine.load(HERE / name) for name in ("bench.toml", "table.toml")]


def ground() -> pl.fields.ScalarField:
    """Metres above the sea: a chain of domes from south-west to north-east, broken up by noise."""
    noise = pl.fields.perlin(scale=46, seed=SEED, octaves=5)
    chain = [
        ((72, 66), 30),
        ((128, 128), 26),
        ((158, 92), 34),
        ((214, 146), 24),
        ((228, 74), 20),
        ((94, 158), 15),
        ((180, 40), 13),
    ]
    domes = [
        pl.fields.distance_to_point(place).shaped(
            lambda far, wide=wide: np.exp(-((far / wide) ** 2))
        )
        for place, wide in chain
    ]
    return sum(domes, start=pl.fields.constant(-0.62)) + noise * 0.42


def islands(height: pl.fields.ScalarField) -> shapely.MultiPolygon:
    """The land, without rocks too small to draw and with coasts that a pen can follow."""
    land = (
        pl.fields.bands(height, SHEET.area.buffer(-6), levels=[0])[1]
        .buffer(-0.7)
        .buffer(1.4)
        .buffer(-0.7)
    )
    return shapely.MultiPolygon(
        [shapely.Polygon(part.exterior) for part in shapely.get_parts(land) if part.area > 12]
    )


def stream(land: shapely.MultiPolygon) -> pl.fields.ScalarField:
    """The stream function: a tide from the west with eddies, that leaves the islands alone."""
    eddies = pl.fields.perlin(scale=70, seed=SEED + 3, octaves=2)
    return pl.fields.held(pl.fields.ramp(96) + eddies * 34, land, within=26)


def chart() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    height = ground()
    land = islands(height)
    flow = pl.fields.sampled(stream(land), SHEET.area, step=0.75).curl()
    speed = pl.fields.from_function(lambda x, y: np.hypot(*flow(x, y)))
    apart = (1.75 - 0.42 * speed).maximum(0.62).minimum(1.5)
    sea = SHEET.area.difference(land.buffer(0.7))
    lines = pl.fields.streamlines(
        flow, sea, spacing=apart, shortest=5, taper=1.5, seed=SEED, pen=BLUE
    )
    print("tidal stream:", pl.fields.evenness(lines, sea, spacing=apart))
    heights = pl.fields.isolines(height, land.buffer(-0.6), spacing=0.05, pen=RED)
    return lines + heights[heights.lengths > 2] + pl.Drawing(land, pen=RED)


def main() -> None:
    """Draw once; plan, write and report for both machines."""
    OUT.mkdir(exist_ok=True)
    drawing = chart()
    for machine in MACHINES:
        plot = pl.plan(drawing, machine, sheet=SHEET)
        pl.gcode.write(
            plot,
            OUT / f"tidal_stream_{machine.name}.gcode",
            title="Tidal stream through the Skerrow Isles",
        )
        print(plot)
    pl.svg.write(drawing, OUT / "tidal_stream.svg", sheet=SHEET)
    pl.preview.png(drawing, OUT / "tidal_stream.png", sheet=SHEET, dpi=200)


if __name__ == "__main__":
    main()
