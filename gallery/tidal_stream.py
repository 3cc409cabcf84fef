"""The spring tide running through the Skerrow Isles: a chart in evenly spaced streamlines.

A stream function, held to one number on each island, makes a flow that slides along every coast
and has no divergence; lines follow it, closer where the water runs faster. The coasts are rounded
before the water feels them, so that the islands shape it and not their every rock.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", landscape=True, margin=12)
SEED = 21
BLUE = pl.Pen("blue", width=0.3, colour="#1b4b82", feed=3_000)
RED = pl.Pen("red", width=0.3, colour="#b23a1e", feed=2_500)
CHAIN = (
    ((72, 66), 30),
    ((128, 128), 26),
    ((158, 92), 34),
    ((214, 146), 24),
    ((228, 74), 20),
    ((94, 158), 15),
    ((180, 40), 13),
)
INNER = SHEET.area.buffer(-3.5, join_style="mitre")


def ground() -> pl.fields.ScalarField:
    """Metres above the sea: a chain of domes from south-west to north-east, broken up by noise."""
    noise = pl.fields.perlin(scale=46, seed=SEED, octaves=4)
    domes = [
        pl.fields.distance_to_point(place).shaped(
            lambda far, wide=wide: np.exp(-((far / wide) ** 2))
        )
        for place, wide in CHAIN
    ]
    return sum(domes, start=pl.fields.constant(-0.62)) + noise * 0.42


def islands(height: pl.fields.ScalarField) -> shapely.MultiPolygon:
    """The land, without rocks too small to draw and with coasts that a pen can follow."""
    land = pl.regions.rounded(pl.fields.bands(height, INNER.buffer(-4), levels=[0])[1], radius=0.7)
    parts = [shapely.Polygon(part.exterior) for part in shapely.get_parts(land)]
    return shapely.MultiPolygon([part for part in parts if part.area > 14])


def cartouche() -> pl.Drawing:
    """Neatline and title."""
    frame = pl.Drawing([SHEET.area.exterior, SHEET.area.buffer(-1.2).exterior], pen=BLUE)
    frame += pl.Drawing([INNER.exterior], pen=BLUE)
    style = {"face": "italic complex", "pen": RED}
    title = pl.text.lettering("Skerrow Sound", height=7, at=(22, 28), **style)
    told = pl.text.lettering(
        "spring tide, three hours before high water", height=2.2, at=(22.5, 21), **style
    )
    return frame + title + told


def chart() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    height = ground()
    land = islands(height)
    smooth = pl.regions.rounded(pl.regions.outset(land, 1.0), radius=4)
    eddies = pl.fields.perlin(scale=70, seed=SEED + 3, octaves=2)
    stream = pl.fields.held(pl.fields.ramp(96) + eddies * 34, smooth, within=24)
    flow = pl.fields.sampled(stream, SHEET, step=0.75).curl()
    speed = pl.fields.from_function(lambda x, y: np.hypot(*flow(x, y)))
    apart = (1.7 - 0.34 * speed).maximum(0.85).minimum(1.5)
    words = shapely.box(15, 15, 113, 40)
    sea = INNER.buffer(-0.6).difference(shapely.union_all([smooth, words]))
    lines = pl.fields.streamlines(
        flow, sea, spacing=apart, shortest=6, taper=1.5, seed=SEED, pen=BLUE
    )
    heights = pl.fields.isolines(height, land.buffer(-0.7), spacing=0.05, pen=RED)
    heights = heights[heights.is_closed & (heights.lengths > 3)]
    return lines + heights + pl.Drawing(land, pen=RED) + cartouche()


if __name__ == "__main__":
    from finish import finish

    finish("tidal_stream", chart(), SHEET)
