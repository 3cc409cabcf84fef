"""The keeper's jersey, drawn stitch by stitch: rows of knitting that follow a body.

The knitting is charted flat, on a grid of stitches with cables and a band of moths; maps then bend
rows and columns round chest, arms and neck, so that stitches grow narrow where the body turns away
and the band goes on from sleeve to sleeve. A purl stitch is a bump, a knit stitch a V.
"""

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=15)
WOOL = pl.Pen("wool", width=0.3, colour="#1c3557", feed=3_000)
RUST = pl.Pen("rust", width=0.3, colour="#a4471f", feed=3_000)
WIDE, TALL, LOW = 65, 78, 41  # stitches, rows, and the row where the moths begin
ARM_WIDE, ARM_TALL, ARM_LOW = 24, 76, 37
MOTH = "..#.....#.. .####.####. .#########. ..###.###.. ...#####... ..##.#.##.. ..#.....#.."
MOTH = MOTH.split()[::-1]  # from the bottom up
CABLES = ((32.5, 6.5, 6), (12.5, 3.5, 3), (52.5, 3.5, 3))  # middle, half of the panel, yarns
STYLE = {"at": (105, 28.5), "align": "centre", "pen": WOOL}
ARM = np.array([(121, 222.5), (161, 209.5), (171, 165), (181, 76)])  # from inside the shoulder down


def rise(low: float, high: float, x: np.ndarray) -> np.ndarray:
    return np.sin(np.pi / 2 * np.clip((x - low) / (high - low), 0, 1)) ** 2


def stitch(column: int, row: int, *, purl: bool) -> np.ndarray:
    """One stitch in the square (column, row) of the chart."""
    if purl:
        bow = np.linspace(-0.36, 0.36, 5)
        return np.column_stack([column + 0.5 + bow, row + 0.62 - 2.2 * bow**2])
    legs = np.array([(0.06, 0.92), (0.14, 0.62), (0.5, 0.06), (0.86, 0.62), (0.94, 0.92)])
    return legs + np.array([column, row])


def knitted(columns: int, rows: int, low: int) -> pl.Drawing:
    """A flat chart: ribs, purl under the cables, a band of moths in rust, a yoke in seed stitch."""
    yarns: dict[bool, list] = {False: [], True: []}
    first = 1 if columns == WIDE else 0
    for row, column in np.ndindex(rows, columns):
        panel = first and any(abs(column + 0.5 - at) < far for at, far, _ in CABLES)
        purl = row > low + 9 and row % 4 == 0 and (column + row // 2) % 4 == 0
        purl |= column % 4 >= 2 if row < 8 else bool(panel) and row < low - 4
        moth = MOTH[row - low] if 0 <= row - low < len(MOTH) and column >= first else ""
        rust = moth.ljust(13)[(column - first) % 13] == "#" or row in (low - 3, low + 9)
        yarns[rust].append(stitch(column, row, purl=purl))
    return pl.Drawing(yarns[False], pen=WOOL) + pl.Drawing(yarns[True], pen=RUST)


def cables(below: pl.Drawing) -> pl.Drawing:
    """Two strands that cross every few rows, each over the other in turn, upon the chart."""
    items = [(below, shapely.box(0, 0, WIDE, TALL))]
    for middle, far, yarns in CABLES:
        side_by_side = np.linspace(-0.27, 0.27, yarns) * far
        for k in range(round(44 / far)):
            share = k + np.linspace(0, 1, 24)
            for side in (1, -1) if k % 4 < 2 else (-1, 1):
                swing = middle + side * far * 0.54 * np.cos(share * np.pi / 2)
                rows = 8.3 + (LOW - 12.5) / round(44 / far) * share
                lines = [np.column_stack([swing + off, rows]) for off in side_by_side]
                strand = shapely.Polygon([*lines[0], *lines[-1][::-1]])
                items.append((pl.Drawing(lines, pen=WOOL), strand))
    return pl.regions.stack(items, shortest=0.3)


def body(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """From the chart to the sheet: round a trunk, in at the hem and at the armholes."""
    up = y / TALL
    half = 43 + 4 * rise(0.06, 0.16, up) + 4 * rise(0.1, 0.6, up) - 9 * rise(0.6, 0.8, up)
    turn = (x / WIDE - 0.5) * 2
    sag = 4 * (1 - np.cos(turn)) * (0.4 - up)
    drop = 14 * np.abs(turn) ** 1.3 * rise(0.5, 1, up)
    return 105 + half * np.sin(turn) / np.sin(1), 62 + 178 * up - sag - drop


def sleeve(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """A tube along the arm, from the cuff up into the shoulder."""
    way = pl.curves.bezier(ARM[::-1], tolerance=0.001)[0]
    far = np.append(0, np.cumsum(np.hypot(*np.diff(way, axis=0).T)))
    up = y / ARM_TALL
    at = [np.interp(up * far[-1] + off, far, part) for off in (-1, 0, 1) for part in way.T]
    ahead = np.column_stack([at[4] - at[0], at[5] - at[1]])
    ahead /= np.hypot(*ahead.T)[:, None]
    turn = (x / ARM_WIDE - 0.5) * 2
    across = (9.5 + 1.5 * rise(0.06, 0.16, up) + 6 * up) * np.sin(turn) / np.sin(1)
    return at[2] + across * ahead[:, 1], at[3] - across * ahead[:, 0] - 2 * (1 - np.cos(turn))


def outline(columns: int, rows: int, bent: object) -> pl.Drawing:
    return pl.shapes.rectangle((0, 0), columns, rows, pen=WOOL).mapped(bent, step=0.2)


def collar(up: float, down: float) -> tuple[pl.Drawing, pl.Drawing]:
    """Ribs round one half of the neck, ``up`` mm high at the fold and ``down`` at the seam."""

    def bent(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        turn = np.pi * (1.08 * x / 40 - 0.04)
        return 105 - (20 - y) * np.cos(turn), 236.5 + (down + (up - down) * y / 5) * np.sin(turn)

    rows = [stitch(x, y, purl=x % 4 >= 2) for x in range(40) for y in range(5)]
    return pl.Drawing(rows, pen=WOOL).mapped(bent, step=0.2), outline(40, 5, bent)


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    front = cables(knitted(WIDE, TALL, LOW)).mapped(body, step=0.2)
    hole = pl.shapes.ellipse((105, 236.5), 15.5, 13).to_shapely()[0]
    trunk = shapely.Polygon(outline(WIDE, TALL, body)[0]).difference(shapely.Polygon(hole))
    arm = knitted(ARM_WIDE, ARM_TALL, ARM_LOW).mapped(sleeve, step=0.2)
    rim = shapely.Polygon(outline(ARM_WIDE, ARM_TALL, sleeve)[0])
    rim = pl.Drawing(rim.intersection(shapely.box(146, 0, 210, 297)))  # from the armhole on
    left = (arm.mirrored(about=(105, 0)), rim.mirrored(about=(105, 0)))
    parts = [collar(2, 7), (arm, rim), left, (front, pl.Drawing(trunk)), collar(-13, -18)]
    parts = [(knit.clipped(edge) + edge.inked(WOOL), edge) for knit, edge in parts]
    jersey = pl.regions.stack(parts, gap=0.4, shortest=0.5)
    title = pl.text.lettering("The Keeper's Jersey", height=6, face="italic complex", **STYLE)
    told = pl.text.lettering("three cables, and moths from sleeve to sleeve", height=2.6, **STYLE)
    return jersey + title.moved(0, 7.5) + told


if __name__ == "__main__":
    from finish import finish

    finish("keepers_jersey", scene(), SHEET)
