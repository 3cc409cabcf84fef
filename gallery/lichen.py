"""Lichen on a boulder of Outer Skerry: two substances that feed on each other, left to grow.

How fast the first is fed changes from the middle of the stone to its rim, so that one lichen goes
over from a maze to worms to spots. The shade of the stone is a second hatch under it, only where
the lichen leaves it bare.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=15)
MOSS = pl.Pen("moss", width=0.35, colour="#4d5a1f", feed=3_000)
STONE = pl.Pen("stone", width=0.3, colour="#5c5f63", feed=3_000)
CENTRE = (105.0, 162.0)
LIGHT = np.array([-0.55, 0.75])


def boulder() -> shapely.Polygon:
    """A rounded stone, a little wider than high."""
    turn = np.linspace(0, 2 * np.pi, 361)[:-1]
    bumps = (
        1 + 0.05 * np.sin(2 * turn + 0.7) + 0.035 * np.sin(3 * turn + 2) + 0.02 * np.sin(5 * turn)
    )
    x = CENTRE[0] + 82 * bumps * np.cos(turn)
    y = CENTRE[1] + 92 * bumps * np.sin(turn)
    return shapely.Polygon(np.column_stack([x, y]))


def lichen(stone: shapely.Polygon) -> pl.fields.ScalarField:
    """How thick it stands: fed less where the light is, and dying sooner there."""

    def side(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        to_light = ((x - CENTRE[0]) * LIGHT[0] + (y - CENTRE[1]) * LIGHT[1]) / 90
        return np.clip(0.5 + 0.5 * to_light, 0, 1)

    lit = pl.fields.from_function(side)
    feed = 0.0335 - 0.005 * lit
    kill = 0.0585 + 0.0045 * lit
    return pl.growth.reaction_diffusion(
        stone.buffer(-1.5), feed=feed, kill=kill, cell=0.55, steps=7_000, seed=11
    )


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    stone = boulder()
    grown = lichen(stone)
    inner = stone.buffer(-1.5)
    thick = pl.fields.bands(grown, inner, levels=[0.14])[1]
    growth = pl.fields.isolines(grown, inner, levels=[0.14, 0.25], pen=MOSS)
    shade = stone.difference(shapely.Point(88, 186).buffer(72)).buffer(-0.8)
    bare = shade.difference(thick.buffer(0.5))
    hatch = pl.fills.hatch(bare, spacing=0.75, angle=52, pen=STONE)
    rim = pl.Drawing([stone.exterior.coords], pen=STONE)
    style = {"at": (CENTRE[0], 38), "align": "centre", "pen": MOSS}
    title = pl.text.lettering("Lichen", height=8, face="italic complex", **style)
    style["at"] = (CENTRE[0], 28)
    below = pl.text.lettering("north side of a boulder, Outer Skerry", height=3, **style)
    return pl.Drawing([growth, hatch, rim, title, below])


if __name__ == "__main__":
    from finish import finish

    finish("lichen", scene(), SHEET)
