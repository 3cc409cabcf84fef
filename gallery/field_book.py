"""The field book: a number or a direction for every point, and what lines make of it.

Twenty-four squares show the same few fields under every maker that reads them: noise and flow,
lines of one height, lines and points that keep their distance, and cells around points.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=13)
INK = pl.Pen("ink", width=0.25, colour="#1c3144", feed=3_000)
RED = pl.Pen("red", width=0.3, colour="#a8321f", feed=3_000)
TITLE = pl.Pen("title", width=0.5, colour="#1c3144", feed=2_500)
fields = pl.fields
SIDE = 40.0
AREA = shapely.box(0, 0, SIDE, SIDE)
MID = (SIDE / 2, SIDE / 2)
HILLS = pl.fields.perlin(scale=16, seed=6, octaves=2)
DISC = shapely.Point(MID).buffer(8)
PLACES = pl.fields.poisson_disk(AREA, spacing=4.2, seed=3)
EVEN = pl.fields.lloyd(PLACES, AREA, rounds=8)
CELLS = pl.fields.voronoi_cells(EVEN, AREA)


def lines(field: fields.VectorField, spacing: float = 1.3) -> pl.Drawing:
    """Evenly spaced streamlines over the square."""
    return fields.streamlines(field, AREA, spacing=spacing, shortest=3, seed=1)


def contours(field: fields.ScalarField, spacing: float) -> pl.Drawing:
    """Lines of one height over the square."""
    return fields.isolines(field, AREA, spacing=spacing)


def shaded(areas: list) -> pl.Drawing:
    """Each area hatched darker than the one before."""
    return sum(
        pl.fills.hatch(area, spacing=2.4 / (k + 1), angle=45) for k, area in enumerate(areas)
    )


TABLE = np.add.outer(np.sin(np.arange(9)), np.cos(np.arange(9) * 1.3))
WAVES = fields.from_function(lambda x, y: 90 * np.sin(x / 7) + 3 * y)
STAR = pl.shapes.star(MID, 13, tips=5, inner=6)
CURL = HILLS.curl()
PACKED = fields.circle_packing(AREA, smallest=0.7, largest=6, seed=4)
FAR = fields.distance_to_point(MID) * 0.14 + 0.4
SEEDS = [(10, 10), (30, 15), (18, 32)]
BOOK = {
    "Perlin noise": contours(HILLS, 0.12),
    "simplex noise": contours(fields.simplex(scale=14, seed=2), 0.14),
    "bands": shaded(fields.bands(HILLS, AREA, levels=[-0.35, -0.1, 0.15, 0.4])),
    "from an array": contours(fields.from_array(TABLE, extent=AREA.bounds), 0.25),
    "curl": lines(CURL),
    "gradient": lines(HILLS.gradient()),
    "vortex and source": lines(fields.vortex(MID, core=4) + fields.source(MID, core=4)),
    "saddle": lines(fields.saddle(MID, angle=20)),
    "flow round a stone": lines(fields.around(fields.uniform(15), DISC, within=10)).erased(DISC),
    "heading": lines(fields.heading(WAVES)),
    "attractors": lines(fields.attractors(SEEDS)),
    "particles": fields.particles(CURL, AREA, count=220, duration=60, lag=6, seed=2).thinned(0.6),
    "distance": contours(fields.distance(STAR), 1.5),
    "distance to strokes": contours(fields.distance_to_strokes(STAR), 1.5),
    "held to a shore": contours(fields.held(fields.ramp(80), DISC, within=12), 1.3),
    "ridge lines": fields.ridgelines(HILLS.maximum(0), AREA, spacing=1.2, height=7, sky=6),
    "streamlines one by one": sum(fields.streamline(CURL, at, AREA) for at in EVEN[::3]).thinned(
        0.9
    ),
    "Poisson disk": pl.shapes.circles(PLACES, 0.8),
    "Lloyd": pl.shapes.circles(EVEN, 0.8),
    "Voronoi": fields.voronoi(EVEN, AREA),
    "Delaunay": fields.delaunay(EVEN, AREA),
    "cells": pl.Drawing([pl.fills.contour(c.buffer(-0.4), spacing=0.7) for c in CELLS]),
    "circle packing": fields.circles(PACKED),
    "dashed by distance": lines(CURL, 1.0).dashed((1, 0.6), scale=FAR),
}


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    left, _, right, top = SHEET.area.bounds
    step = (right - left + 5) / 4
    parts = []
    for number, (name, drawn) in enumerate(BOOK.items()):
        x = left + step * (number % 4)
        y = top - 56 - 41.3 * (number // 4)
        size = 33.0 / SIDE
        parts.append(drawn.scaled(size).moved(x + 2.5, y).inked(INK))
        parts.append(pl.text.lettering(name, height=2, at=(x + 2.5, y - 4), pen=RED))
    style = {"face": "roman triplex", "height": 8.5, "align": "centre", "pen": TITLE}
    room = shapely.box(left, top - 18, right, top)
    parts.append(pl.text.boxed("A Book of Fields", room, **style))
    return pl.Drawing(parts)


if __name__ == "__main__":
    from finish import finish

    finish("field_book", scene(), SHEET)
