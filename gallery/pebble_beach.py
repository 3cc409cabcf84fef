"""The shingle below the stationery bench in evening light, on A4 with two pens.

Circles packed large in front and small behind give the places; their Voronoi cells, drawn back and
rounded, give the pebbles, and the frame cuts what it meets. Some are banded by iso-lines, some
grained by streamlines, some dark, some white; the light comes from the left, so that each large one
is shaded on its right and throws a shadow on its neighbours.
"""

from __future__ import annotations

import numpy as np
import shapely
import shapely.affinity

import plotlib as pl

SHEET = pl.Sheet.iso("A4", landscape=True, margin=15)
SEED = 4
GREY = pl.Pen("grey", width=0.3, colour="#2f3338", feed=3_000)
BLUE = pl.Pen("blue", width=0.3, colour="#2a6f8f", feed=3_000)


def shore() -> pl.fields.ScalarField:
    """Millimetres above the line that the last wave drew, more or less."""
    return pl.fields.ramp(90) - 140 + pl.fields.perlin(scale=80, seed=SEED, octaves=2) * 18


def pebbles(area: shapely.Polygon) -> list[shapely.Polygon]:
    """Rounded cells, large in front and small behind."""
    nearness = (156 - pl.fields.ramp(90)) * (1 / 140)
    size = nearness.shaped(lambda f: np.maximum(f, 0.05) ** 1.5) * 10
    size = (size + pl.fields.perlin(scale=18, seed=SEED + 1) * 1.5).maximum(1.9)
    centres = pl.fields.circle_packing(
        area, smallest=1.8, largest=size, candidates=14_000, seed=SEED
    )
    places = pl.fields.lloyd(centres[:, :2], area, rounds=2)
    rounded = []
    for cell in pl.fields.voronoi_cells(places, area):
        corner = 0.55 * np.sqrt(cell.area / np.pi)
        soft = cell.buffer(-0.3 - corner).buffer(corner, quad_segs=12)
        rounded += [part for part in shapely.get_parts(soft) if part.area > 3]
    return rounded


def marked(pebble: shapely.Polygon, kind: float, number: int) -> pl.Drawing:
    """The marks on one pebble: bands, grain, a dark body, or none; and the shade on its right."""
    inner = pebble.buffer(-0.4)
    size = float(np.sqrt(pebble.area))
    x, y = pebble.centroid.coords[0]
    turn = 360 * kind * 7
    lit = shapely.affinity.translate(pebble, -0.2 * size, 0.13 * size)
    shade = inner.difference(lit)
    dark = pl.fills.hatch(shade, spacing=0.55, angle=-50, shortest=0.7)
    if size < 3.2 and kind < 0.3:
        return pl.fills.hatch(inner, spacing=0.55 + kind, angle=turn, shortest=0.6)
    if size < 3.2 or kind > 0.8:
        return dark
    light = inner.difference(shade.buffer(0.25))
    if kind < 0.32:
        layers = pl.fields.ramp(turn, centre=(x, y))
        layers += pl.fields.perlin(scale=0.9 * size + 3, seed=number) * (0.5 * size)
        return dark + pl.fields.isolines(layers, light, spacing=0.8 + kind * 3, step=0.4)
    if kind < 0.58 and size > 5:
        grain = pl.fields.perlin(scale=size + 2, seed=number).curl()
        grain += pl.fields.uniform(turn, speed=0.6 / size)
        style = {"spacing": 0.6 + (kind - 0.32) * 3, "shortest": 1.5, "taper": 0.8}
        return dark + pl.fields.streamlines(grain, light, seed=number, **style)
    if kind < 0.68:
        return dark + pl.fills.contour(light, spacing=0.5)
    return dark + pl.fills.dots(light, spacing=1.1, layout="random", seed=number)


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    frame = SHEET.area
    wide = frame.buffer(14, join_style="mitre")
    area = pl.fields.bands(shore(), wide, levels=[0])[0]
    random = np.random.default_rng(SEED)
    stones = pebbles(area.buffer(-1.2))
    kinds = random.random(len(stones))
    marks = [
        marked(stone, kind, k)
        for k, (stone, kind) in enumerate(zip(stones, kinds, strict=True))
        if stone.intersects(frame)
    ]
    shingle = pl.Drawing([pl.Drawing(stones), *marks]).inked(GREY).clipped(frame, shortest=0.5)
    water = frame.difference(area.buffer(0.8))
    waves = shore() * (1 + pl.fields.perlin(scale=40, seed=SEED + 2, octaves=2) * 0.22)
    apart = (shore() * 0.03 + 0.75).maximum(0.75).minimum(1.8)
    style = {"spacing": apart, "shortest": 4, "taper": 6, "seed": SEED}
    sea = pl.fields.streamlines(waves.curl(), water, pen=BLUE, **style)
    return shingle + sea + pl.Drawing([frame.exterior], pen=GREY)


if __name__ == "__main__":
    from finish import finish

    finish("pebble_beach", scene(), SHEET)
