"""A chart of Hollin Skerry, the highest of the Skerrow Isles, on an A5 sheet with two pens.

The island is a seeded height field: brown contour lines every 10 m, its dark side hatched; a blue
coast, and the sea hatched where it is shallow. The script plans the drawing for a bench machine,
writes proven G-code, SVG and a picture, and says how long the pen will take.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import shapely

import plotlib as pl

HERE = Path(__file__).parent
OUT = HERE / "out"
SEED = 12
BROWN = pl.Pen("brown", width=0.25, colour="#7a4a21", feed=2_500)
BLUE = pl.Pen("blue", width=0.35, colour="#1d4e89", feed=2_500)

MACHINE = pl.Machine.load(HERE / "stationery_bench.toml")
SHEET = pl.Sheet.iso("A5", landscape=True, at=(5, 10), margin=9)


def island(octaves: int = 6) -> pl.fields.ScalarField:
    """Metres above the sea: a broad dome with a long ridge and a bay, broken up by noise."""
    noise = pl.fields.perlin(scale=52, seed=SEED, octaves=octaves)
    dome = 1.0 - pl.fields.distance_to_point((104, 76)) / 66
    spine = pl.fields.ridge((56, 62), (150, 96), width=24)
    bay = pl.fields.ridge((112, 22), (100, 58), width=15)
    height = dome * 105 + spine * 130 + noise * 120 - bay * 110 - 66
    return height.warped(-5, 7)  # to the middle of the sheet, below the title


def shade(height: pl.fields.ScalarField) -> pl.fields.ScalarField:
    """How steeply the ground falls away from a light in the north-west, in m for each mm."""

    def away(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        east, north = height.slopes(x, y)
        return (north - east) / np.sqrt(2)

    return pl.fields.from_function(away)


def chart() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    height = island()
    frame = SHEET.area.buffer(-3, join_style="mitre")
    land = shapely.unary_union(pl.fields.bands(height, frame, levels=[0])[1:])
    contours = pl.fields.isolines(height, frame, levels=np.arange(10, 400, 10), pen=BROWN)
    contours = contours[contours.lengths > 3]
    coast = pl.fields.isolines(height, frame, levels=[0], pen=BLUE)
    away = shade(island(octaves=3))
    _, dusk, dark = pl.fields.bands(away, land.buffer(-0.5), levels=[4.5, 8.5])
    relief = pl.fills.hatch(broad(dusk), spacing=1.1, angle=-45, pen=BROWN)
    relief += pl.fills.hatch(broad(dark), spacing=0.55, angle=-45, pen=BROWN)
    shallow = 5.5 + pl.fields.perlin(scale=22, seed=SEED + 1) * 6 - pl.fields.distance(land)
    sea = broad(pl.fields.bands(shallow, frame, levels=[0])[1].difference(land.buffer(0.45)))
    return (
        contours
        + relief
        + coast
        + pl.fills.hatch(sea, spacing=0.7, pen=BLUE)
        + border()
        + lettering()
    )


def broad(area: shapely.Geometry) -> shapely.Geometry:
    """Without slivers that would only make the pen hop."""
    opened = area.buffer(-0.6).buffer(0.6)
    return shapely.MultiPolygon([part for part in shapely.get_parts(opened) if part.area > 4])


def border() -> pl.Drawing:
    """Two frames, and between them a graticule of equal steps, every second one hatched."""
    outer = SHEET.area
    inner = SHEET.area.buffer(-2, join_style="mitre")
    left, bottom, right, top = inner.bounds
    xs = np.linspace(left, right, 24)
    ys = np.linspace(bottom, top, 16)
    across = [
        shapely.box(a, y, b, y + 2)
        for a, b in zip(xs[::2], xs[1::2], strict=True)
        for y in (bottom - 2, top)
    ]
    up = [
        shapely.box(x, a, x + 2, b)
        for a, b in zip(ys[::2], ys[1::2], strict=True)
        for x in (left - 2, right)
    ]
    hatches = [
        pl.fills.hatch(step, spacing=0.5, angle=angle, pen=BLUE)
        for steps, angle in ((across, 0), (up, 90))
        for step in steps
    ]
    return pl.Drawing([pl.Drawing([outer.exterior, inner.exterior], pen=BLUE), *hatches])


def lettering() -> pl.Drawing:
    """Title and scale bar, at 1 : 100 000."""
    title = pl.text.lettering(
        "Hollin Skerry", height=5.5, face="italic complex", at=(22, 127), pen=BLUE
    )
    below = pl.text.lettering("SKERROW ISLES", height=2, at=(22.4, 121.5), tracking=0.6, pen=BLUE)
    return (
        title
        + below
        + pl.text.scale_bar((158, 18), step=1, count=3, scale=10, unit="km", height=2, pen=BLUE)
    )


def main() -> None:
    """Draw, plan, write, report."""
    OUT.mkdir(exist_ok=True)
    plot = pl.plan(chart(), MACHINE, sheet=SHEET)
    pl.gcode.write(plot, OUT / "relief_map.gcode", title="Hollin Skerry, relief map")
    pl.svg.write(plot, OUT / "relief_map.svg")
    pl.preview.png(plot, OUT / "relief_map.png", dpi=200)
    print(plot)


if __name__ == "__main__":
    main()
