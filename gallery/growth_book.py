"""A page from the growth book of the Skerrow Isles: what grows, cracks, wanders and turns there.

Twelve figures: ice that cracks, wings of a strange attractor, tracks that never meet, a whelk drawn
by an automaton, dust on an orbit, coral, the net of a slime mould, a wheel, moss that grew grain by
grain, a thorn, a maze and a brook, of which every one is as likely as any other.
"""

from __future__ import annotations

import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=13)
INK = pl.Pen("ink", width=0.3, colour="#1f2d3d", feed=3_000)
TITLE = pl.Pen("title", width=0.5, colour="#1f2d3d", feed=2_500)
RED = pl.Pen("red", width=0.3, colour="#a8321f", feed=3_000)
DISC = shapely.Point(0, 0).buffer(22, quad_segs=64)
SQUARE = shapely.box(-20, -20, 20, 20)
grow = pl.growth
NET = grow.trails(DISC, cell=0.16, sensor_angle=22.5, steps=250, seed=6)

BOOK = {
    "ice": grow.cracks(DISC, spacing=2.8, lead=20, seed=4),
    "wings": grow.attractor(SQUARE, duration=28, seed=2),
    "tracks": grow.wanderers(DISC, spacing=1.1, seed=3),
    "whelk": grow.automaton(DISC, rule=30, spacing=0.75),
    "dust": grow.orbit(SQUARE, count=30_000, spacing=0.55, seed=1),
    "coral": grow.automaton(DISC, rule="B3/S12345", spacing=0.75, steps=60, seed=5),
    "slime": pl.fields.isolines(NET, DISC, levels=[0.4]),
    "wheel": grow.attractor(SQUARE, system="thomas", duration=260),
    "moss": grow.aggregate(DISC, spacing=0.5, count=6_000, seed=3),
    "thorn": grow.branches(DISC, spacing=1.2, seed=5),
    "maze": grow.maze(DISC, spacing=1.7, seed=2),
    "brook": grow.spanning_tree(DISC, spacing=1.7, seed=8),
}


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    left, _, right, top = SHEET.area.bounds
    parts = []
    for number, (name, drawn) in enumerate(BOOK.items()):
        x = left + (right - left) * (number % 3 + 0.5) / 3
        y = top - 44 - 62 * (number // 3)
        parts.append(drawn.inked(INK).moved(x, y))
        if drawn.bounds and name not in {"wings", "dust", "wheel"}:
            parts.append(pl.shapes.circle((x, y), 22.6, pen=INK))
        label = {"height": 3, "align": "centre", "pen": RED}
        parts.append(pl.text.lettering(name, at=(x, y - 29), **label))
    style = {"face": "roman triplex", "height": 6.4, "align": "centre", "pen": TITLE}
    middle = ((left + right) / 2, top - 11)
    parts.append(pl.text.lettering("The Growth Book of the Isles", at=middle, **style))
    return pl.Drawing(parts)


if __name__ == "__main__":
    from finish import finish

    finish("growth_book", scene(), SHEET)
