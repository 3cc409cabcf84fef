"""A page from the tiler's book of the Skerrow Isles: floors that never repeat, and floors bent.

Twelve figures: hats, kites and darts, rhombs of seven directions, girih tiles and their straps over
and under, Wang tiles, Truchet tiles of one size and of several, a hyperbolic floor with a star in
every tile, and a floor of stars seen in a round mirror, through a lens, and wound round a point.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=13)
INK = pl.Pen("ink", width=0.3, colour="#1f2d3d", feed=3_000)
TITLE = pl.Pen("title", width=0.5, colour="#1f2d3d", feed=2_500)
RED = pl.Pen("red", width=0.3, colour="#a8321f", feed=3_000)
DISC = shapely.Point(0, 0).buffer(27, quad_segs=64)
SIZE = 0.85  # of a figure on the sheet
tilings = pl.tilings


def dark(tiling: pl.tilings.Tiling, kind: int) -> pl.Drawing:
    """The tiles of one kind, hatched."""
    tiles = [pl.regions.inset(tile & DISC, 0.3) for tile in tiling.areas(kind)]
    return pl.Drawing([pl.fills.hatch(tile, spacing=0.7, angle=30, pen=RED) for tile in tiles])


def whirl(lines: pl.Drawing) -> pl.Drawing:
    """A floor wound round a point: seven tiles on and three up are one turn."""
    turn = complex(7, 3) * 5.5 * (1 + 2**0.5)
    corners = [0, turn, turn * (1 + 0.5j), turn * 0.5j]
    strip = shapely.Polygon([(one.real, one.imag) for one in corners])
    wound = lines.moved(turn.real / 3, turn.imag / 3).clipped(strip)
    return pl.symmetry.conformal(wound, lambda z: 27 * np.exp(2j * np.pi * z / turn))


def figures() -> dict[str, pl.Drawing]:
    """Each round the origin, inside a circle of 27 mm."""
    hats = tilings.hats(DISC, side=1.75, seed=2)
    kites = tilings.kites_and_darts(DISC, side=7)
    rhombs = tilings.rhombs(DISC, 7, side=5.2, seed=4)
    girih = tilings.girih(DISC, "all five", side=4.4, angle=36)
    laid = tilings.girih(DISC.buffer(9), side=5.4, angle=18)
    straps = tilings.interlaced(tilings.stars(laid, 54), width=0.62, gap=0.2)
    squares = tilings.wang(DISC, "eleven", side=2.7, seed=3)
    bent = tilings.hyperbolic(7, 3, radius=27, least=1.7)
    floor = tilings.archimedean(shapely.box(-120, -120, 120, 120), "4.8.8", side=5.5)
    lines = tilings.stars(floor, 67).inked(INK)
    wings = tilings.multiscale_truchet(DISC, side=13, levels=3, variety=0.45, seed=6)
    away = lines.clipped(shapely.box(-58, -58, 58, 58).difference(shapely.Point(0, 0).buffer(13)))
    fine = lines.scaled(0.55).clipped(DISC)
    return {
        "hats": hats.edges().inked(INK) + dark(hats, 0),
        "kites and darts": kites.edges().inked(INK) + dark(kites, 1),
        "seven directions": rhombs.edges().inked(INK) + dark(rhombs, 0),
        "girih tiles": girih.edges().inked(INK) + dark(girih, 1) + dark(girih, 3),
        "girih straps": straps.edges(pen=INK),
        "eleven squares": tilings.wang_strands(squares, "eleven", pen=INK),
        "one size": tilings.truchet(DISC, side=4.5, arcs=3, seed=3, pen=INK),
        "several sizes": pl.fills.hatch(wings, spacing=0.55, angle=45, pen=INK)
        + pl.Drawing([wings], pen=INK),
        "beyond the edge": bent.edges().inked(INK) + tilings.stars(bent.straight, 60).inked(RED),
        "in a round mirror": pl.symmetry.inversion(away, (0, 0), 19),
        "through a lens": pl.symmetry.mobius(fine, 729, 8019, 11, 729),
        "in the whirl": whirl(lines),
    }


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    left, _, right, top = SHEET.area.bounds
    parts = []
    for number, (name, drawn) in enumerate(figures().items()):
        x = left + (right - left) * (number % 3 + 0.5) / 3
        y = top - 49 - 62 * (number // 3)
        inner = pl.Drawing([drawn]).clipped(DISC).scaled(SIZE)
        parts.append(inner.moved(x, y))
        parts.append(pl.shapes.circle((x, y), 27.6 * SIZE, pen=INK))
        label = {"height": 3, "align": "centre", "pen": RED}
        parts.append(pl.text.lettering(name, at=(x, y - 30), **label))
    style = {"face": "roman triplex", "height": 6.4, "align": "centre", "pen": TITLE}
    middle = ((left + right) / 2, top - 12)
    parts.append(pl.text.lettering("The Tiler's Book of the Isles", at=middle, **style))
    return pl.Drawing(parts)


if __name__ == "__main__":
    from finish import finish

    finish("tiling_book", scene(), SHEET)
