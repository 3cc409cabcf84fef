"""Kelp in the sound between Hollin and Wether, its ruffled blades swaying with the tide.

From the midrib of every blade grows a net of veins that close loops, out to the margin. Stalks lead
to one holdfast, which branches over the rock; blades in front hide those behind.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=15)
WEED = pl.Pen("weed", width=0.3, colour="#3d5229", feed=3_000)
WATER = pl.Pen("water", width=0.3, colour="#5e8796", feed=3_000)
BASE = (105.0, 60.5)
BLADES = (  # way from the holdfast in degrees, length, width, sway; those behind first
    (138, 206, 21, 24),
    (52, 208, 21, -22),
    (100, 216, 21, 18),
    (166, 172, 22, -24),
    (16, 176, 22, 22),
    (122, 156, 24, -22),
    (70, 150, 24, 24),
)
Blade = tuple[pl.Drawing, shapely.Polygon]


def spine(way: float, length: float, sway: float) -> tuple[np.ndarray, np.ndarray]:
    """The middle line of a blade, which turns upwards and sways, and the way across it."""
    along = np.linspace(0, 1, 240)
    angle = 90 + (way - 90) * np.exp(-3.3 * along) + sway * np.sin(7.5 * along - 0.9) * along**0.4
    turn = np.radians(angle)
    step = length / len(along)
    at = BASE + np.cumsum(step * np.column_stack([np.cos(turn), np.sin(turn)]), axis=0)
    return at, np.column_stack([-np.sin(turn), np.cos(turn)])


def ruffled(at: np.ndarray, across: np.ndarray, width: float, way: float) -> shapely.Polygon:
    """A stalk that widens to a blade, with a frill of its own on either side."""
    along = np.linspace(0, 1, len(at))
    leaf = np.clip((along - 0.13) / 0.87, 0, 1)
    wide = 0.75 * (1 - along**6) + width / 2 * np.sin(np.pi * leaf**0.75) ** 0.8
    sides = []
    for sign in (1, -1):
        wave = np.sin(74 * along + sign * way) + 0.6 * np.sin(47 * along + way)
        sides.append(at + sign * across * (wide * (1 + 0.1 * wave))[:, None])
    area = shapely.Polygon(np.concatenate([sides[0], sides[1][::-1]])).buffer(0)
    return max(shapely.get_parts(area), key=lambda part: part.area)


def blade(way: float, length: float, width: float, sway: float) -> Blade:
    """Outline, midrib and veins of a blade, and its area."""
    at, across = spine(way, length, sway)
    area = ruffled(at, across, width, way)
    half = 0.85 * np.linspace(1, 0, len(at)) ** 0.8
    rib = []
    for lane in np.arange(-3, 4) * 0.24:
        inner = at[half >= abs(lane) - 0.13] + lane * across[half >= abs(lane) - 0.13]
        rib.append(inner[:: 1 if lane > 0 else -1])
    net = pl.growth.veins(
        area.buffer(2.6),
        spacing=1.5,
        roots=at[42:-6:4],
        closed=True,
        seed=int(length),
        pen=WEED,
    )
    edges = [at + across * half[:, None], (at - across * half[:, None])[::-1]]
    middle = shapely.Polygon(np.concatenate(edges)).buffer(0.1)
    ribs = pl.Drawing([*rib, area.exterior], pen=WEED).clipped(area)
    return ribs + net.clipped(area.buffer(-0.15)).erased(middle), area.buffer(0.6)


def holdfast() -> Blade:
    """Branches that clasp the rock, and the area that they hide."""
    dome = shapely.affinity.scale(shapely.Point(BASE[0], 51).buffer(1), 27, 12)
    claws = pl.growth.branches(dome, spacing=1.6, roots=[BASE], drawn="passes", seed=4, pen=WEED)
    knob = shapely.affinity.scale(shapely.Point(BASE).buffer(1), 3.2, 2.1)
    claws = claws.erased(knob) + pl.fills.solid(knob, pen=WEED)
    return claws, shapely.union_all(claws.to_shapely()).buffer(0.7)


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    blades = [*(blade(*one) for one in BLADES), holdfast()]
    weed = pl.regions.stack(blades, shortest=0.6)
    cover = shapely.union_all([area for _, area in blades]).buffer(0.5)
    x = np.linspace(15, 195, 120)
    bed = 50 + 2.4 * np.sin(x / 15) + 1.2 * np.sin(x / 6.1)
    rock = shapely.Polygon([(15, 41), *zip(x, bed, strict=True), (195, 41)]).difference(cover)
    water = shapely.Polygon([(15, 277), *zip(x, bed + 1, strict=True), (195, 277)])
    current = pl.fields.ramp(90) + 7 * pl.fields.perlin(scale=60, seed=4, octaves=2)
    lines = pl.fields.isolines(current, water.difference(cover), spacing=3.4, pen=WATER)
    stone = pl.fills.dashed_hatch(rock, spacing=1.3, dash=3, gap=1.6, angle=12, pen=WEED)
    style = {"align": "centre", "pen": WEED}
    title = pl.text.lettering("Kelp", height=7, face="italic complex", at=(105, 27.5), **style)
    at = (105, 19)
    small = pl.text.lettering("in the sound between Hollin and Wether", height=2.8, at=at, **style)
    return pl.Drawing([weed, lines, stone, title, small])


if __name__ == "__main__":
    from finish import finish

    finish("kelp", scene(), SHEET)
