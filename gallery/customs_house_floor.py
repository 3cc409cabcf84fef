"""The floor of the Customs House at Ternhaven: stars of twelve points and of six, laced by bands.

Rays from the middles of the edges of dodecagons, hexagons and squares make the stars; as bands they
go over and under each other in turn. What the bands leave bare is inlaid, each stone with its grain
away from its star, and the border is a knot round a ladder of squares.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=10)
INK = pl.Pen("ink", width=0.3, colour="#1f3144", feed=3_000)
RUST = pl.Pen("rust", width=0.3, colour="#b4482a", feed=3_000)
CELL = 42.0  # mm from star to star
CONTACT = 74.0
BAND = {"width": 1.75, "gap": 0.3}
MESH = 6.4  # of the border, roughly
AIR = 5.2  # between the floor and the ladder


def rectangle(width: float, height: float) -> shapely.Polygon:
    """Round the middle of the floor."""
    return shapely.box(-width / 2, -height / 2, width / 2, height / 2)


def inlay(bare: shapely.MultiPolygon, middles: list[shapely.Point]) -> pl.Drawing:
    """The stones between the bands: large stars, kites, small stars."""
    stars = shapely.STRtree(middles)
    parts = []
    for stone in bare.geoms:
        centre = stone.centroid
        star = middles[stars.nearest(centre)]
        angle = np.degrees(np.arctan2(centre.y - star.y, centre.x - star.x))
        if stone.distance(star) < 1 and stone.area < 1_000:
            parts.append(pl.fills.contour(stone, spacing=0.95, joined=False, pen=INK))
        elif 26 < stone.area < 60:
            parts.append(pl.fills.hatch(stone, spacing=0.55, angle=angle, pen=RUST))
        elif 4 < stone.area < 26:
            parts.append(pl.fills.contour(stone, spacing=0.42, joined=False, pen=INK))
    return pl.Drawing(parts)


def floor(panel: shapely.Polygon) -> pl.Drawing:
    """Bands and stones, cut at the edge of the panel."""
    around = panel.buffer(0.8 * CELL, join_style="mitre")
    side = CELL / (3 + np.sqrt(3))
    tiles = pl.tilings.archimedean(around, "4.6.12", side=side, angle=90)
    weave = pl.tilings.interlaced(pl.tilings.stars(tiles, CONTACT), **BAND)
    middles = [tile.centroid for tile in tiles.areas(12 - 3)]
    bands = shapely.union_all(weave.areas()).buffer(0.32, join_style="mitre")
    stones = inlay(around.difference(bands), middles)
    return (weave.edges(pen=INK) + stones).clipped(panel)


def border(width: float, height: float) -> pl.Drawing:
    """A knot on a ladder that goes round outside a rectangle."""
    across = round(width / MESH)
    up = round(height / MESH)
    x = np.linspace(-width / 2, width / 2, across + 1)
    y = np.linspace(-height / 2, height / 2, up + 1)
    x = np.concatenate([[2 * x[0] - x[1]], x, [2 * x[-1] - x[-2]]])
    y = np.concatenate([[2 * y[0] - y[1]], y, [2 * y[-1] - y[-2]]])
    lines = [[(x[0], h), (x[-1], h)] for h in (y[0], y[1], y[-2], y[-1])]
    lines += [[(w, y[0]), (w, y[-1])] for w in (x[0], x[1], x[-2], x[-1])]
    lines += [[(w, y[k]), (w, y[k + 1])] for w in x[2:-2] for k in (0, -2)]
    lines += [[(x[k], h), (x[k + 1], h)] for h in y[2:-2] for k in (0, -2)]
    weave = pl.tilings.interlaced(pl.tilings.knot(pl.Drawing(lines)), **BAND)
    return pl.Drawing([weave.edges(k, pen=(RUST, INK)[k % 2]) for k in range(len(weave))])


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    width, height = 2 * np.sqrt(3) * CELL, 5 * CELL
    panel = rectangle(width, height)
    parts = [floor(panel), border(width + 2 * AIR, height + 2 * AIR)]
    frames = [panel, rectangle(width + 2, height + 2), rectangle(width + 36, height + 36)]
    parts.append(pl.Drawing([frame.exterior for frame in frames], pen=INK))
    title = {"face": "roman duplex", "height": 4.6, "tracking": 0.6, "align": "centre"}
    parts.append(pl.text.lettering("THE CUSTOMS HOUSE", at=(0, -height / 2 - 30), pen=INK, **title))
    note = {"face": "roman simplex", "height": 2.4, "tracking": 0.4, "align": "centre"}
    line = "FLOOR OF THE LONG ROOM, TERNHAVEN, SKERROW ISLES"
    parts.append(pl.text.lettering(line, at=(0, -height / 2 - 36), pen=RUST, **note))
    left, bottom, right, top = SHEET.area.bounds
    return pl.Drawing(parts).moved((left + right) / 2, (bottom + top) / 2 + 9)


if __name__ == "__main__":
    from finish import finish

    finish("customs_house_floor", scene(), SHEET)
