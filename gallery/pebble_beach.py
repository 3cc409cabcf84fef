"""The shingle below the stationery bench, on A4 with two pens.

Circles packed large in front and small behind give the places; their Voronoi cells, drawn back and
rounded, give the pebbles. Some are banded by iso-lines, some grained by streamlines, some left
white; behind them the sea comes in.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import shapely

import plotlib as pl

HERE = Path(__file__).parent
OUT = HERE / "out"
SEED = 4
GREY = pl.Pen("grey", width=0.3, colour="#3a3f45", feed=3_000)
BLUE = pl.Pen("blue", width=0.3, colour="#2a6f8f", feed=3_000)
SHEET = pl.Sheet.iso("A4", landscape=True, margin=15)
MACHINES = [pl.Machine.load(HERE / name) for name in ("bench.toml", "table.toml")]


def shore() -> pl.fields.ScalarField:
    """Millimetres above the line that the last wave drew, more or less."""
    return pl.fields.ramp(90) - 137 + pl.fields.perlin(scale=70, seed=SEED, octaves=3) * 16


def pebbles(area: shapely.Polygon) -> list[shapely.Polygon]:
    """Rounded cells, large in front and small behind; those that the edge of the sheet would cut
    are left out.
    """
    nearness = (150 - pl.fields.ramp(90)) * (1 / 135)
    size = (
        nearness.shaped(lambda f: f**2) * 9.5 + pl.fields.perlin(scale=18, seed=SEED + 1) * 1.5
    ).maximum(0.9)
    centres = pl.fields.circle_packing(
        area, smallest=0.8, largest=size, candidates=60_000, seed=SEED
    )
    places = pl.fields.lloyd(centres[:, :2], area, rounds=2)
    rounded = []
    for cell in pl.fields.voronoi_cells(places, area):
        corner = 0.36 * np.sqrt(cell.area / np.pi)
        soft = cell.buffer(-0.3 - corner).buffer(corner, quad_segs=12)
        rounded += [
            part
            for part in shapely.get_parts(soft)
            if part.area > 1.2 and SHEET.area.contains(part)
        ]
    return rounded


def marked(pebble: shapely.Polygon, kind: float, number: int) -> pl.Drawing:
    """The marks on one pebble: bands, grain, a vein of quartz, or none."""
    inner = pebble.buffer(-0.45)
    size = float(np.sqrt(pebble.area))
    x, y = pebble.centroid.coords[0]
    turn = 360 * kind * 7
    if size < 3 or kind > 0.86:
        return pl.Drawing()
    if kind < 0.36:
        layers = pl.fields.ramp(turn, centre=(x, y)) + pl.fields.perlin(
            scale=0.9 * size + 3, seed=number
        ) * (0.5 * size)
        return pl.fields.isolines(layers, inner, spacing=0.75 + kind * 2, step=0.25)
    if kind < 0.6:
        grain = pl.fields.perlin(scale=size + 2, seed=number).curl() + pl.fields.uniform(
            turn, speed=0.6 / size
        )
        return pl.fields.streamlines(
            grain, inner, spacing=0.55 + (kind - 0.36) * 3, shortest=1.5, taper=0.8, seed=number
        )
    shade = pl.fields.distance(pebble.buffer(-0.02)) + pl.fields.ramp(-60, centre=(x, y)) * -0.35
    return pl.fields.isolines(
        shade, inner, levels=-np.arange(0.05, 0.5 * size, 0.62) - 0.12 * size, step=0.25
    )


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    wide = SHEET.area.buffer(14, join_style="mitre")
    area = pl.fields.bands(shore(), wide, levels=[0])[0]
    random = np.random.default_rng(SEED)
    stones = pebbles(area.buffer(-1.2))
    marks = [
        marked(stone, kind, k)
        for k, (stone, kind) in enumerate(zip(stones, random.random(len(stones)), strict=True))
    ]
    shingle = pl.Drawing([pl.Drawing(stones), *marks]).inked(GREY)
    water = SHEET.area.difference(area.buffer(0.8))
    waves = shore() * (1 + pl.fields.perlin(scale=40, seed=SEED + 2, octaves=2) * 0.22)
    apart = (shore() * 0.03 + 0.75).maximum(0.75).minimum(1.8)
    sea = pl.fields.streamlines(
        waves.curl(), water, spacing=apart, shortest=4, taper=6, seed=SEED, pen=BLUE
    )
    print(f"{len(stones)} pebbles;", pl.fields.evenness(sea, water, spacing=apart))
    return shingle + sea


def main() -> None:
    """Draw once; plan, write and report for both machines."""
    OUT.mkdir(exist_ok=True)
    drawing = scene()
    for machine in MACHINES:
        plot = pl.plan(drawing, machine, sheet=SHEET)
        pl.gcode.write(
            plot, OUT / f"pebble_beach_{machine.name}.gcode", title="Pebble beach, Skerrow Isles"
        )
        print(plot)
    pl.svg.write(drawing, OUT / "pebble_beach.svg", sheet=SHEET)
    pl.preview.png(drawing, OUT / "pebble_beach.png", sheet=SHEET, dpi=200)


if __name__ == "__main__":
    main()
