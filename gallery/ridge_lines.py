"""Evening over the ridges of Hollin Skerry, with the sun's path on the water.

Profiles of a seeded ground are stacked up the sheet, each hiding what lies behind it; where they
crowd together, what is nearer than a pen's width is dropped. The sea in front is dashed: dashes are
long in the shade of the island and break into glitter below the sun.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=18)
SEED = 9
INK = pl.Pen("ink", width=0.3, colour="#22303c", feed=3_000)
SUN = pl.Pen("orange", width=0.4, colour="#d8692b", feed=3_000)
SPACING = 1.5
HEIGHT = 46.0
SKY = 80.0
SHORE = 96.0
SUN_AT = (128.0, 219.0)


def ground() -> pl.fields.ScalarField:
    """Heights, 0 … about 1: crests where noise changes its sign, low at the sides and in front."""
    warp = pl.fields.perlin(scale=60, seed=SEED + 1, octaves=2) * 16
    noise = abs(pl.fields.perlin(scale=58, seed=SEED, octaves=3))
    crests = (1 - noise * 2.2).maximum(0).shaped(lambda f: f**2.2)
    middle = pl.fields.distance_to_point((108, 146)).shaped(lambda far: np.exp(-((far / 56) ** 4)))
    return crests.warped(warp, warp) * middle


def sea() -> pl.Drawing:
    """Rows that stand wider apart towards the front, dashed by how the light falls on them."""
    left, bottom, right, _ = SHEET.area.bounds
    depth = np.linspace(0, 1, 54) ** 1.45
    swell = pl.fields.perlin(scale=26, seed=SEED + 2, octaves=2).warped(0, pl.fields.ramp(90) * 2)
    x = np.linspace(left, right, 260)
    rows = [
        np.column_stack([x, y + 1.6 * k * swell(x, 0 * x + y)])
        for k, y in zip(depth, SHORE - 1 - (SHORE - bottom - 1) * depth, strict=True)
    ]

    def dash(px: np.ndarray, py: np.ndarray) -> np.ndarray:
        wide = 9 + 0.16 * (SHORE - py)
        light = np.exp(-(((px - SUN_AT[0]) / wide) ** 2))
        return 0.25 + 2.4 * (1 - light) ** 2 + 0.5 * np.abs(swell(px, py))

    dashes = [
        pl.Drawing([row]).dashed((6, 1.6, 3.5, 1.2), offset=3.7 * k, scale=dash, shortest=0.6)
        for k, row in enumerate(rows)
    ]
    return pl.Drawing(dashes).inked(INK).clipped(SHEET.area)


def silhouette(ridges: pl.Drawing) -> shapely.Geometry:
    """What all ridges together hide: everything below their skyline."""
    left, bottom, right, _ = SHEET.area.bounds
    points = ridges.resampled(0.25).points
    column = np.floor((points[:, 0] - left) / 0.5).astype(int)
    tops = np.full(column.max() + 1, SHORE)
    np.maximum.at(tops, column, points[:, 1])
    x = left + 0.5 * np.arange(len(tops)) + 0.25
    return shapely.Polygon([(left, bottom), *zip(x, tops, strict=True), (right, bottom)])


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    left, _, right, top = SHEET.area.bounds
    land = shapely.box(left, SHORE, right, top)
    ridges = pl.fields.ridgelines(
        ground(), land, spacing=SPACING, height=HEIGHT, sky=SKY, pen=INK
    ).thinned(0.4, shortest=1.5)
    rings = pl.shapes.circles(np.tile(SUN_AT, (34, 1)), np.arange(0.6, 33, 0.97), pen=SUN)
    sun = rings.erased(silhouette(ridges).buffer(0.6))
    return ridges + sun + sea()


if __name__ == "__main__":
    from finish import finish

    finish("ridge_lines", scene(), SHEET)
