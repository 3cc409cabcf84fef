"""A net hung up to dry in the loft at Ternhaven, and in it three fish that are nothing but knots.

The net is a knot on a grid that sags. Breaklines round each fish part its strands from those of the
net, so that they can be laid as broader bands with another pen; four more breaklines make its eye.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=10)
INK = pl.Pen("ink", width=0.3, colour="#22384a", feed=3_000)
RUST = pl.Pen("rust", width=0.35, colour="#b4482a", feed=3_000)
MESH = 4.9  # mm
COLUMNS, ROWS = 36, 46  # knots
PEGS = 5  # meshes from one to the next
FISH = ((19.5, 9.5, 8.8, 1), (14.5, 22.0, 10.6, -1), (20.5, 35.0, 8.0, 1))  # x, y, length, way


def hung(places: np.ndarray) -> np.ndarray:
    """Where a place of the grid, counted in knots from the left and from below, hangs."""
    across = places[..., 0] / (COLUMNS - 1)
    depth = 1 - places[..., 1] / (ROWS - 1)
    peg = places[..., 0] / PEGS % 1
    x = (across - 0.5) * (1 - 0.08 * np.sin(np.pi * depth)) * (COLUMNS - 1) * MESH
    fall = depth * (ROWS - 1) * MESH * (0.985 - 0.03 * np.cos(2 * np.pi * across))
    return np.stack([x, -fall - 12 * peg * (1 - peg) * np.exp(-7 * depth)], axis=-1)


def fish(x: float, y: float, length: float, way: int) -> tuple[shapely.Polygon, np.ndarray]:
    """A fish on the grid, made of whole squares, and the knot that is its eye."""
    t = np.linspace(-1, 1, 60)
    back = np.column_stack([t, 0.47 * (1 - t**2) ** 0.75 * (1 + 0.25 * t)])
    body = np.concatenate([back, back[::-1] * [1, -1]])
    tail = [(-0.6, 0.1), (-1.25, 0.62), (-1.6, 0.62), (-1.35, 0), (-1.6, -0.62), (-1.25, -0.62)]
    fin = [(-0.4, 0.3), (-0.2, 0.72), (0.15, 0.72), (0.35, 0.3)]
    parts = [
        shapely.Polygon(np.array(part) * length) for part in (body, [*tail, (-0.6, -0.1)], fin)
    ]
    shape = shapely.transform(shapely.union_all(parts), lambda p: p * [way, 1] + [x, y])
    i, j = np.divmod(np.arange(COLUMNS * ROWS), ROWS)
    cells = shapely.box(i, j, i + 1, j + 1)[shapely.contains_xy(shape, i + 0.5, j + 0.5)]
    whole = shapely.union_all(cells)
    for step in (-0.9, 0.9, 0.9, -0.9):  # without parts and gaps of a single square
        whole = whole.buffer(step, join_style="mitre")
    return shapely.set_precision(whole, 1), np.round([x + 0.55 * length * way, y + 0.12 * length])


def ring_of(knot: np.ndarray) -> list[np.ndarray]:
    """Breaklines across the four edges of a knot, whose strand is a ring then."""
    ends = hung(knot + np.array([(1, 0), (0, 1), (-1, 0), (0, -1)]))
    steps = 0.25 * (ends - hung(knot)) @ np.array([[0, 1], [-1, 0]])
    middles = 0.5 * (ends + hung(knot))
    return [np.array([m - step, m + step]) for m, step in zip(middles, steps, strict=True)]


def net() -> tuple[pl.tilings.Weave, pl.tilings.Weave]:
    """The cords of the net and the bands of the fish."""
    up = [[(i, j) for j in range(ROWS)] for i in range(COLUMNS)]
    across = [[(i, j) for i in range(COLUMNS)] for j in range(ROWS)]
    grid = pl.Drawing([hung(np.array(line, float)) for line in up + across])
    caught = [fish(*one) for one in FISH]
    rings = [hung(shapely.get_coordinates(shape.exterior.segmentize(1.0))) for shape, _ in caught]
    eyes = [line for _, eye in caught for line in ring_of(eye)]
    lines = pl.tilings.knot(grid, breaks=pl.Drawing(rings + eyes))
    inside = shapely.union_all([shapely.Polygon(ring) for ring in rings])
    is_fish = shapely.contains(inside, np.array(lines.to_shapely(), object))
    cords = pl.tilings.interlaced(lines[~is_fish], width=0.8, gap=0.15)
    return cords, pl.tilings.interlaced(lines[is_fish], width=0.8, gap=0.2)


def beam(width: float) -> pl.Drawing:
    """The beam and its grain."""
    x = np.linspace(-width / 2, width / 2, 300)
    lines = []
    for k, y in enumerate(np.linspace(-5, 9, 20)):
        bend = np.sin(x / 23 + 0.22 * k) + 0.6 * np.sin(x / 9.1 - 0.4 * k)
        lines.append(np.column_stack([x, y + 0.28 * bend * np.sin(np.pi * k / 19)]))
    ends = [[(x, -5), (x, 9)] for x in (-width / 2, width / 2)]
    return pl.Drawing(lines + ends, pen=INK)


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    cords, bands = net()
    fill = [pl.fills.contour(area, spacing=0.45, pen=RUST) for area in bands.areas()]
    knots = hung(np.array([(i, ROWS - 1) for i in range(0, COLUMNS, PEGS)], float))
    pegs = pl.Drawing(
        [pl.shapes.circle(knot, r, pen=RUST) for knot in knots for r in (0.35, 0.7, 1)]
    )
    wood = beam(186).erased(shapely.union_all(cords.areas()).buffer(0.4))
    wood = wood.erased(shapely.union_all([shapely.Point(knot).buffer(1.4) for knot in knots]))
    parts = [wood, pegs, cords.edges(pen=INK), bands.edges(pen=RUST), *fill]
    title = {"face": "roman duplex", "height": 4.6, "tracking": 0.6, "align": "centre"}
    parts.append(pl.text.lettering("THE NET LOFT", at=(0, -243), pen=INK, **title))
    note = {"face": "roman simplex", "height": 2.4, "tracking": 0.4, "align": "centre"}
    line = "TERNHAVEN, AFTER THE HERRING"
    parts.append(pl.text.lettering(line, at=(0, -249), pen=RUST, **note))
    left, _, right, top = SHEET.area.bounds
    return pl.Drawing(parts).moved((left + right) / 2, top - 20)


if __name__ == "__main__":
    from finish import finish

    finish("net_loft", scene(), SHEET)
