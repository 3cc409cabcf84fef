"""A chart of Hollin Skerry, the highest of the Skerrow Isles, on an A5 sheet with three pens.

The island is a seeded height field with contours every 10 m, lit from the north-west: each contour
is drawn with the broad pen where its slope lies in the shade and with the fine one elsewhere, which
is all the shading there is (K. Tanaka, 1950). The sea has water lines that stand farther apart from
shore to deep.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A5", landscape=True, at=(5, 10), margin=9)
SEED = 12
FINE = pl.Pen("brown, fine", width=0.2, colour="#8a5a2c", feed=2_500)
BROAD = pl.Pen("brown, broad", width=0.5, colour="#5b3414", feed=2_500)
BLUE = pl.Pen("blue", width=0.3, colour="#1d4e89", feed=2_500)
FRAME = SHEET.area.buffer(-3, join_style="mitre")


def island() -> pl.fields.ScalarField:
    """Metres above the sea: a broad dome with a long ridge and a bay, broken up by noise."""
    noise = pl.fields.perlin(scale=50, seed=SEED, octaves=4, persistence=0.42)
    dome = 1.0 - pl.fields.distance_to_point((106, 74)) / 60
    spine = pl.fields.ridge((62, 62), (146, 92), width=24)
    bay = pl.fields.ridge((112, 22), (100, 58), width=15)
    height = dome * 105 + spine * 130 + noise * 110 - bay * 100 - 66
    return height.warped(-1, 5)  # to the middle of the sheet, below the title


def shaded(height: pl.fields.ScalarField, land: shapely.Geometry) -> shapely.Geometry:
    """Where the ground falls away from a light in the north-west."""

    def away(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        east, north = height.slopes(x, y)
        return (north - east) / np.sqrt(2)

    dark = pl.fields.bands(pl.fields.from_function(away), land, levels=[1.8])[1]
    parts = [part for part in shapely.get_parts(pl.regions.rounded(dark, 0.5)) if part.area > 5]
    return shapely.MultiPolygon(parts)


def chart() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    height = island()
    title = lettering()
    land = shapely.union_all(pl.fields.bands(height, FRAME, levels=[0])[1:])
    land = shapely.MultiPolygon([part for part in shapely.get_parts(land) if part.area > 8])
    contours = pl.fields.isolines(height, land.buffer(-0.4), levels=np.arange(10, 400, 10))
    contours = contours[contours.lengths > 3]
    heights = []
    for high in (100, 200):
        line = pl.fields.isolines(height, land, levels=[high])
        marked = pl.text.labelled(line, f"{high}", height=1.9, spacing=90, pen=FINE)
        heights += [marked.by_pen().get(FINE, pl.Drawing())]
    words = shapely.MultiLineString(pl.Drawing(heights).to_shapely())
    contours = contours.erased(words.buffer(0.7), shortest=0.5)
    dark = shaded(height, land)
    relief = contours.erased(dark, shortest=0.4).inked(FINE)
    relief += contours.clipped(dark, shortest=0.4).inked(BROAD)
    deep = np.array([0.9, 2.0, 3.4, 5.1, 7.2, 9.8])
    water = pl.fields.isolines(pl.fields.distance(land), FRAME, levels=deep, pen=BLUE)
    clear = shapely.union_all([part.box(margin=2) for part in title])
    water = water[water.lengths > 12].erased(clear, shortest=2)
    return pl.Drawing([relief, pl.Drawing(land, pen=BLUE), water, border(), *title, *heights])


def border() -> pl.Drawing:
    """Two frames, and between them a graticule of equal steps, every second one hatched."""
    inner = SHEET.area.buffer(-2, join_style="mitre")
    left, bottom, right, top = inner.bounds
    parts = [pl.Drawing([SHEET.area, inner])]
    for a, b in np.linspace(left, right, 24).reshape(-1, 2):
        steps = [shapely.box(a, y, b, y + 2) for y in (bottom - 2, top)]
        parts += [pl.fills.hatch(step, spacing=0.5) for step in steps]
    for a, b in np.linspace(bottom, top, 16).reshape(-1, 2):
        steps = [shapely.box(x, a, x + 2, b) for x in (left - 2, right)]
        parts += [pl.fills.hatch(step, spacing=0.5, angle=90) for step in steps]
    return pl.Drawing(parts).inked(BLUE)


def lettering() -> list[pl.Drawing]:
    """Title and scale bar, at 1 : 100 000."""
    style = {"face": "italic complex", "height": 5.5, "at": (20, 126), "pen": BLUE}
    title = pl.text.lettering("Hollin Skerry", **style)
    below = {"height": 2, "at": (20.4, 120.5), "tracking": 0.6, "pen": BLUE}
    scale = {"step": 1, "count": 3, "scale": 10, "unit": "km", "height": 2, "pen": BLUE}
    words = title + pl.text.lettering("SKERROW ISLES", **below)
    key = [(FINE, "10 m, in the light"), (BROAD, "10 m, in the shade"), (BLUE, "shore and shoals")]
    parts = [words, pl.text.scale_bar((150, 19), **scale)]
    parts.append(pl.text.north_arrow((184, 108), size=18, pen=BLUE))
    return [*parts, pl.text.legend(key, at=(150, 39.5), height=2, pen=BLUE)]


if __name__ == "__main__":
    from finish import finish

    finish("relief_map", chart(), SHEET)
