"""The lamp seen through its lens: rings upon rings, and a picture that only their meeting makes.

Both families are the same circles around the lamp. One is drawn as it is; the other is pushed out
by half the distance between two rings, except where a lighthouse and its beams stand. There rings
fall upon rings and the paper shows; elsewhere they fall between and it is dark (moiré). No line
of the picture is an outline.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=15)
INK = pl.Pen("ink", width=0.5, colour="#16283c", feed=3_500)
CENTRE = (105.0, 162.0)
RADIUS = 86.0
APART = 1.3


def lighthouse() -> shapely.Geometry:
    """The tower below the lamp, its rock, and two beams that widen."""
    x, y = CENTRE
    shaft = shapely.Polygon([(x - 13, y - 66), (x - 6, y - 13), (x + 6, y - 13), (x + 13, y - 66)])
    parts = [shaft, shapely.box(x - 10, y - 12, x + 10, y - 8.5)]
    parts.append(shapely.Polygon([(x - 8, y + 9), (x + 8, y + 9), (x, y + 20)]))
    parts.append(shapely.Point(CENTRE).buffer(7))
    for side in (-1, 1):
        corners = [(13, -2.5), (13, 2.5), (92, 26), (92, -6)]
        parts.append(shapely.Polygon([(x + side * dx, y + dy) for dx, dy in corners]))
    return shapely.union_all(parts)


def frame() -> pl.Drawing:
    """A ring of brass with its screws, and the title."""
    edge = pl.shapes.circles([CENTRE] * 2, [RADIUS + 1.5, RADIUS + 3])
    style = {"at": (CENTRE[0], 42), "align": "centre", "pen": INK}
    title = pl.text.lettering("THE LENS", height=7, tracking=3, **style)
    style["at"] = (CENTRE[0], 32)
    below = pl.text.lettering("Two families of rings · Outer Skerry", height=3, **style)
    return pl.Drawing([edge.inked(INK), title, below])


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    off = pl.fields.sampled(pl.fields.distance(lighthouse()), SHEET, step=0.5)

    def bent(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        dx, dy = x - CENTRE[0], y - CENTRE[1]
        far = np.maximum(np.hypot(dx, dy), 1e-9)
        push = 0.5 * APART * (0.5 + 0.5 * np.tanh(off(x, y) / 0.7))
        return x + dx / far * push, y + dy / far * push

    radii = np.arange(APART, RADIUS, APART)
    rings = [pl.shapes.circle((0, 0), radius, pen=INK) for radius in radii]
    spread = [ring.turned(137.5 * k) for k, ring in enumerate(rings)]  # no seam where all begin
    rings = pl.Drawing(spread).moved(*CENTRE)
    return rings + rings.mapped(bent, tolerance=0.01, step=0.5) + frame()


if __name__ == "__main__":
    from finish import finish

    finish("lamp_lens", scene(), SHEET)
