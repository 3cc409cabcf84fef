"""The net-mender's sampler: one gull and one herring bone, repeated in all seventeen ways.

Each square shows one of the wallpaper groups, made from the same small drawing, put where it has
most room; the last three places carry a rosette, three friezes and a kaleidoscope.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=12)
BLUE = pl.Pen("blue", width=0.35, colour="#1d4e89", feed=3_000)
RUST = pl.Pen("rust", width=0.35, colour="#a8452c", feed=3_000)
TITLE = pl.Pen("title", width=0.5, colour="#1d4e89", feed=2_500)
GROUPS = "p1 p2 pm pg cm p2mm p2mg p2gg c2mm p4 p4mm p4gm p3 p3m1 p31m p6 p6mm"
SHAPES = {
    "oblique": (1.1, 0.95, 72),
    "rectangular": (1.1, 0.9),
    "square": (1,),
    "hexagonal": (1.07,),
}
ROOM = 62.0  # mm² for each motif
SIDE = 38.0
PITCH = 46.0


def motif() -> pl.Drawing:
    """A gull over a herring bone, about 6 mm across, off every centre of the groups."""
    wing = [(0.9, 3.9), (1.7, 4.9), (2.6, 4.4), (3.0, 3.7)]
    gull = pl.curves.catmull_rom([*wing, (3.7, 4.6), (4.6, 5.0), (5.6, 4.1)], pen=BLUE)
    spine = pl.Drawing([[(1.2, 1.2), (5.2, 2.6)]], pen=RUST)
    bones = [[(x, y), (x + 0.2, y + 1.0)] for x, y in np.linspace((1.9, 1.45), (4.5, 2.35), 4)]
    back = [[(x, y), (x + 0.8, y - 0.6)] for x, y in np.linspace((1.9, 1.45), (4.5, 2.35), 4)]
    return gull + spine + pl.Drawing([*bones, *back], pen=RUST)


def square(column: int, row: int) -> shapely.Polygon:
    """A place of the sampler, counted from the top left."""
    x = 15.5 + PITCH * column
    y = 297 - 40 - SIDE - 50 * row
    return shapely.box(x, y, x + SIDE, y + SIDE)


def roomiest(group: pl.symmetry.WallpaperGroup, sides: np.ndarray) -> np.ndarray:
    """The place in a cell that is farthest from all its images, in mm from the corner."""
    spots = (np.stack(np.meshgrid(np.arange(24), np.arange(24)), axis=-1).reshape(-1, 2) + 0.5) / 24
    nearest = np.full(len(spots), np.inf)
    for operation in group.operations:
        for shift in np.ndindex(5, 5):
            away = (operation.applied(spots) + shift - 2 - spots) @ sides.T
            far = np.hypot(*away.T)
            is_itself = operation == group.operations[0] and shift == (2, 2)
            nearest = nearest if is_itself else np.minimum(nearest, far)
    return sides @ spots[np.argmax(np.round(nearest, 6))]


def pattern(k: int, name: str) -> pl.Drawing:
    """One group in its frame, with its name."""
    area = square(k % 4, k // 4)
    group = pl.symmetry.wallpaper_group(name)
    *shape, angle = (*SHAPES[group.lattice], 120 if group.lattice == "hexagonal" else 90)
    if group.lattice == "oblique":
        *shape, angle = SHAPES["oblique"]
    side = np.sqrt(ROOM * group.order)
    cell = [side * length for length in shape]
    turn = np.radians(angle)
    sides = np.array([[cell[0], cell[-1] * np.cos(turn)], [0, cell[-1] * np.sin(turn)]])
    corner = np.array(area.centroid.coords[0])
    placed = motif().moved(*(corner + roomiest(group, sides) - (3.2, 3.1)))
    given = [*cell, angle] if group.lattice == "oblique" else cell
    inner = area.buffer(-0.8)
    shown = pl.symmetry.wallpaper(placed, name, inner, cell=given, origin=tuple(corner))
    shown = pl.tidying.without_specks(shown, 0.95)  # what the frame leaves of a motif
    return shown + pl.Drawing([area.exterior.coords], pen=BLUE) + label(name, area)


def label(words: str, area: shapely.Polygon) -> pl.Drawing:
    left, bottom, right, _ = area.bounds
    place = ((left + right) / 2, bottom - 5)
    return pl.text.lettering(words, height=2.8, at=place, align="centre", pen=BLUE)


def last_row() -> pl.Drawing:
    """A rosette, three friezes and a kaleidoscope."""
    round_, band, glass = (square(column, 4) for column in (1, 2, 3))
    x, y = round_.centroid.coords[0]
    rose = pl.symmetry.rosette(motif().scaled(1.5).moved(-4.8, 6.5), 7)
    left, bottom, _, _ = band.bounds
    foot = motif().scaled(0.9)
    friezes = [
        pl.symmetry.frieze(foot, name, period=12.4, count=3).moved(
            left + shift, bottom + 5 + 14 * k
        )
        for k, (name, shift) in enumerate({"p11g": 0.5, "p2": 6.2, "p2mm": 6.2}.items())
    ]
    x2, y2 = glass.centroid.coords[0]
    mirrored = pl.symmetry.kaleidoscope(motif().scaled(1.35).moved(-7.5, 6.5), 6).moved(x2, y2)
    parts = [rose.moved(x, y), label("rosette", round_), *friezes, label("friezes", band)]
    return pl.Drawing([*parts, mirrored, label("kaleidoscope", glass)])


def title() -> pl.Drawing:
    """What the sheet is, above all."""
    style = {"align": "centre", "face": "roman triplex", "pen": TITLE}
    head = pl.text.lettering("The Net-Mender's Sampler", height=7, at=(105, 273), **style)
    told = "a gull and a herring bone, repeated in all seventeen ways"
    return head + pl.text.lettering(told, height=2.6, at=(105, 265), align="centre", pen=RUST)


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    return pl.Drawing(
        [*(pattern(k, name) for k, name in enumerate(GROUPS.split())), last_row(), title()]
    )


if __name__ == "__main__":
    from finish import finish

    finish("wallpaper_sampler", scene(), SHEET)
