"""Kelp in the sound between Hollin and Wether, its blades swaying with the tide.

Every blade is an outline with its own net of veins: thick ones first, then finer ones that close
loops between them, drawn by as many passes side by side as each is wide.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=15)
WEED = pl.Pen("weed", width=0.3, colour="#3d5229", feed=3_000)
WATER = pl.Pen("water", width=0.3, colour="#5e8796", feed=3_000)
BLADES = (  # x of the foot, length, width and turn to the left, those behind first
    (66, 196, 17, 1),
    (128, 204, 18, -3),
    (96, 212, 19, 2),
    (54, 158, 20, 3),
    (152, 166, 20, -5),
    (80, 150, 22, 5),
    (116, 172, 22, -2),
)


def blade(
    foot: float, length: float, width: float, turn: float
) -> tuple[pl.Drawing, shapely.Polygon]:
    """Outline and veins of a blade that rises from its foot and bends with the tide."""
    along = np.linspace(0, 1, 160)
    wide = 0.9 + width / 2 * np.sin(np.pi * along**0.92) ** 0.8
    frill = 1 + 0.05 * np.sin(24 * along + turn) + 0.03 * np.sin(41 * along)
    angle = np.radians(90 + turn + 27 * np.sin(length * along / 24 + foot / 60))
    step = length / len(along)
    x = foot + np.cumsum(step * np.cos(angle))
    y = 54 + np.cumsum(step * np.sin(angle))
    side = np.stack([-np.sin(angle), np.cos(angle)]) * wide * frill
    edge = np.concatenate([np.stack([x, y]) + side, (np.stack([x, y]) - side)[:, ::-1]], axis=1)
    area = shapely.Polygon(edge.T).buffer(0)
    net = pl.growth.veins(
        area.buffer(-0.3),
        spacing=1.5,
        roots=[(x[7], y[7])],
        closed=True,
        drawn="passes",
        seed=int(length + turn),
        pen=WEED,
    )
    return pl.Drawing([area.exterior], pen=WEED) + net, area


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    blades = [blade(*one) for one in BLADES]
    weed = pl.regions.stack(blades, shortest=0.6)
    cover = shapely.union_all([area for _, area in blades]).buffer(1.2)
    water = shapely.box(15, 54, 195, 277).difference(cover)
    current = pl.fields.ramp(90) + 7 * pl.fields.perlin(scale=60, seed=4, octaves=2)
    lines = pl.fields.isolines(current, water, spacing=3.2, pen=WATER)
    style = {"align": "centre", "pen": WEED}
    title = pl.text.lettering("Kelp", height=7, face="italic complex", at=(105, 36), **style)
    at = (105, 26.5)
    small = pl.text.lettering("in the sound between Hollin and Wether", height=2.8, at=at, **style)
    return pl.Drawing([weed, lines, title, small])


if __name__ == "__main__":
    from finish import finish

    finish("kelp", scene(), SHEET)
