"""The lamp on Outer Skerry in a night of rain: everything dark is hatched, the light is left white.

Rain falls as dashes all over the sheet. Where the beam goes the dashes grow short and far apart, by
a field that scales the pattern; the tower is what the hatching leaves out.
"""

from __future__ import annotations

import numpy as np
import shapely
import shapely.affinity

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=16)
INK = pl.Pen("ink", width=0.45, colour="#1a2430", feed=3_000)
LAMP = (66.0, 182.0)
SLOPE = 78.0  # degrees of the falling rain


def light(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """How bright it is, 0 to 1: two beams that widen and fade, and a halo."""
    far = np.hypot(x - LAMP[0], y - LAMP[1])
    turn = np.degrees(np.arctan2(y - LAMP[1], x - LAMP[0]))
    bright = 0.95 * np.exp(-((far / 13) ** 2))
    for towards, wide, reach in ((9.0, 9.0, 210.0), (-171.0, 9.0, 150.0)):
        off = np.abs((turn - towards + 180) % 360 - 180)
        beam = 1 / (1 + (off / wide) ** 8)
        bright = np.maximum(bright, beam * np.exp(-((far / reach) ** 3)))
    return bright


def tower() -> shapely.Geometry:
    """The lighthouse on its rock, as an area."""
    x, y = LAMP
    shaft = shapely.Polygon([(x - 8.5, 62), (x - 4.6, y - 9), (x + 4.6, y - 9), (x + 8.5, 62)])
    gallery = shapely.box(x - 7, y - 9, x + 7, y - 6.5)
    lantern = shapely.box(x - 3.6, y - 6.5, x + 3.6, y + 5.5)
    roof = shapely.Polygon([(x - 5, y + 5.5), (x + 5, y + 5.5), (x, y + 12)])
    return shapely.union_all([shaft, gallery, lantern, roof])


def rock() -> shapely.Geometry:
    """What the tower stands on, above the sea."""
    x = np.linspace(SHEET.area.bounds[0], SHEET.area.bounds[2], 240)
    noise = pl.fields.perlin(scale=17, seed=5, octaves=3)
    top = 35 + 30 * np.exp(-(((x - LAMP[0] - 6) / 34) ** 4)) + 5 * noise(x, 0 * x)
    return shapely.Polygon([(x[0], 16), *zip(x, top, strict=True), (x[-1], 16)])


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    house = tower()
    sea = shapely.box(*SHEET.area.bounds[:3], 40)
    ground = rock().difference(sea)
    sky = SHEET.area.difference(shapely.union_all([house.buffer(0.4), ground, sea]))
    night = pl.fields.from_function(lambda x, y: 0.78 / np.maximum(1 - light(x, y), 0.02) ** 0.9)
    rain = pl.fills.graded_hatch(sky, night, finest=0.78, angle=SLOPE, shortest=1.5, pen=INK)
    drops = pl.fields.perlin(scale=9, seed=2)
    falling = rain.dashed((26, 0.8, 15, 0.8), scale=lambda x, y: 1 + 0.4 * drops(x, y), shortest=1)
    bands = [shapely.box(40, low, 90, low + 19) for low in (76, 114, 152)]
    dark = house.intersection(shapely.union_all(bands)).buffer(-0.2)
    stone = pl.fills.hatch(dark, spacing=0.55, angle=90, pen=INK)
    side = shapely.affinity.translate(house, 6, 0).intersection(house.buffer(-0.4))
    white = shapely.union_all([*bands, shapely.box(40, LAMP[1] - 6.5, 90, LAMP[1] + 13)])
    stone += pl.fills.hatch(side.difference(white), spacing=1.0, angle=90, pen=INK)
    slope = pl.fields.ramp(64) + pl.fields.perlin(scale=24, seed=8, octaves=2) * 7
    strata = pl.fields.isolines(slope, ground.buffer(-0.5), spacing=0.8, pen=INK).thinned(
        0.5, shortest=1
    )
    glitter = pl.fields.from_function(lambda x, y: 0.75 + 0.5 * np.exp(-(((x - 96) / 34) ** 2)))
    swell = pl.fills.wave(sea, spacing=1.3, amplitude=0.4, wavelength=7, shift=0.37, pen=INK)
    swell = swell.dashed((7, 1.2), scale=glitter, shortest=1)
    edge = pl.Drawing([house, ground, SHEET.area.exterior], pen=INK).erased(house.buffer(-0.01))
    lamp = pl.fills.radial(pl.shapes.circle(LAMP, 2.6), count=16, centre=LAMP, closest=0.4, pen=INK)
    return pl.Drawing([falling, stone, strata, swell, edge, lamp])


if __name__ == "__main__":
    from finish import finish

    finish("lamp_in_rain", scene(), SHEET)
