"""A brain coral from the reef off Hollin, drawn by one line that never crosses itself.

A wave of nine rays was left to lengthen inside the outline of the coral. Its folds lie close in
the shade and wide in the light, so that the line alone makes the coral round; a second pen draws
the sand it stands on.
"""

from __future__ import annotations

import numpy as np
import shapely
import shapely.affinity

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=15)
CORAL = pl.Pen("coral", width=0.4, colour="#b0432f", feed=3_000)
SAND = pl.Pen("sand", width=0.3, colour="#7d6b52", feed=3_000)
CENTRE = np.array([105.0, 172.0])
LIGHT = np.array([-24.0, 34.0])  # of the brightest place, from the centre


def head() -> shapely.Polygon:
    """The outline of the coral: a bumpy dome, flat below."""
    turn = np.linspace(0, 2 * np.pi, 721)[:-1]
    bumps = 1 + 0.035 * np.sin(3 * turn + 0.4) + 0.022 * np.sin(5 * turn + 2.1)
    x = CENTRE[0] + 84 * bumps * np.cos(turn)
    y = CENTRE[1] + 88 * bumps * np.sin(turn)
    dome = shapely.Polygon(np.column_stack([x, y]))
    below = shapely.box(0, 0, 210, CENTRE[1] - 62)
    return dome.difference(below).buffer(-9).buffer(9)


def star() -> pl.Drawing:
    """What the line was at first: a closed wave round the brightest place."""
    turn = np.linspace(0, 2 * np.pi, 361)
    far = 34 + 17 * np.cos(9 * turn)
    x, y = CENTRE[:, None] + LIGHT[:, None] / 3 + far * np.stack([np.cos(turn), np.sin(turn)])
    return pl.Drawing([np.column_stack([x, y])])


def spacing() -> pl.fields.ScalarField:
    """Wide where the light falls, close towards the rim of the dome on the other side."""

    def apart(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        away = np.hypot(x - CENTRE[0] - LIGHT[0], y - CENTRE[1] - LIGHT[1])
        return 1.5 + 2.1 * np.exp(-((away / 57) ** 2))

    return pl.fields.from_function(apart)


def sand(coral: shapely.Polygon) -> pl.Drawing:
    """Ripples below, closer in the shadow of the coral."""
    foot = coral.bounds[1]
    ground = shapely.Point(105, foot + 1).buffer(1)
    ground = shapely.affinity.scale(ground, 90, 30).difference(coral.buffer(1.4))
    hills = pl.fields.perlin(scale=34, seed=5, octaves=2)
    slope = pl.fields.ramp(90) + 2.2 * hills
    ripples = pl.fields.isolines(slope, ground, spacing=1.9, pen=SAND)
    shadow = shapely.Point(126, foot - 1).buffer(1)
    shadow = shapely.affinity.scale(shadow, 58, 11).intersection(ground)
    return ripples + pl.fields.isolines(slope + 0.95, shadow, spacing=1.9, pen=SAND)


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    coral = head()
    line = pl.growth.differential_growth(coral, spacing=spacing(), first=star(), seed=8, pen=CORAL)
    style = {"align": "centre", "pen": SAND}
    at = (CENTRE[0], 46)
    title = pl.text.lettering("Brain Coral", height=7, face="italic complex", at=at, **style)
    below = f"one line of {line.length / 1000:.0f} metres, off Hollin"
    at = (CENTRE[0], 36)
    small = pl.text.lettering(below, height=2.8, at=at, **style)
    return pl.Drawing([sand(coral), line, title, small])


if __name__ == "__main__":
    from finish import finish

    finish("coral", scene(), SHEET)
