"""The keeper's jersey, drawn stitch by stitch: rows of knitting that follow a body.

The knitting is charted flat, on a grid of stitches with cables and a band of moths; a map then
bends rows and columns around chest, waist and sleeves, so that stitches grow narrow where the body
turns away. Purl stitches are bumps, knit stitches are the V that every knitter knows.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=15)
WOOL = pl.Pen("wool", width=0.3, colour="#1c3557", feed=3_000)
RUST = pl.Pen("rust", width=0.3, colour="#a4471f", feed=3_000)
WIDE = 64
TALL = 78
MOTH = "..#.....#.. .####.####. .#########. ..###.###.. ...#####... ..##.#.##.. ..#.....#.."
MOTH = MOTH.split()[::-1]  # from the bottom up
STRANDS = (-1.8, -1.1, -0.4, 0.4, 1.1, 1.8)
LOW = 50  # the row where the moths begin


def stitch(column: int, row: int, *, purl: bool) -> np.ndarray:
    """One stitch in the square (column, row) of the chart."""
    if purl:
        bow = np.linspace(-0.36, 0.36, 5)
        return np.column_stack([column + 0.5 + bow, row + 0.62 - 2.2 * bow**2])
    legs = np.array([(0, 0.95), (0.14, 0.62), (0.5, 0.06), (0.86, 0.62), (1, 0.95)])
    return legs + np.array([column, row])


def is_purl(column: int, row: int) -> bool:
    """Ribs at the hem and the neck, and a moss of purl beside the cables."""
    if row < 9 or row >= TALL - 5:
        return column % 4 >= 2
    return 17 <= column < WIDE - 17 and (column - 17) % 10 in (0, 9)


def is_moth(column: int, row: int) -> bool:
    """Whether a stitch belongs to the band of moths across the chest."""
    if not (LOW <= row < LOW + len(MOTH) and 1 <= column < WIDE - 1):
        return False
    return MOTH[row - LOW].ljust(13, ".")[(column + 1) % 13] == "#"


def cable(middle: float) -> pl.Drawing:
    """Two strands that cross every seven rows, each over the other in turn."""
    items = []
    for k in range(11):
        rows = np.linspace(9.4 + 3.5 * k, min(9.4 + 3.5 * (k + 1), 47.6), 24)
        for side in (1, -1) if k % 4 < 2 else (-1, 1):
            swing = middle + side * 3.3 * np.cos((rows - 9.4) * np.pi / 7)
            lines = [np.column_stack([swing + off, rows]) for off in STRANDS]
            items.append((pl.Drawing(lines), shapely.Polygon([*lines[0], *lines[-1][::-1]])))
    return pl.regions.stack(items, shortest=0.3)


def body(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """From the chart to the sheet: around a trunk that is fuller at the chest."""
    up = y / TALL
    half = 43 + 7 * np.sin(np.pi * (up - 0.15)) - 2 * np.cos(2 * np.pi * up)
    half = half - 10 * np.maximum(up - 0.72, 0) / 0.28
    turn = (x / WIDE - 0.5) * 2
    across = half * np.sin(turn * np.radians(74)) / np.sin(np.radians(74))
    sag = 5 * (1 - np.cos(turn * np.radians(74))) * (0.4 - up)
    shoulder = -12 * np.maximum(up - 0.8, 0) / 0.2 * np.abs(turn) ** 1.4
    return 105 + across, 62 + 172 * up - sag + shoulder


def sleeve(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The right sleeve: 22 stitches round an arm that hangs from the shoulder."""
    up = y / 62
    half = 10.5 + 6 * up
    turn = (x / 22 - 0.5) * 2
    across = half * np.sin(turn * np.radians(72)) / np.sin(np.radians(72))
    lean = np.radians(9) * (1 - 0.5 * up)
    middle = 147 + 21 * (1 - up)
    cap = 22 * np.maximum(up - 0.72, 0) / 0.28 * (1 - 0.5 * (turn + 1))
    return middle + across * np.cos(lean), 74 + 134 * up + cap + across * np.sin(lean)


def knitted(columns: int, rows: int, *, is_front: bool) -> pl.Drawing:
    """A flat chart, the moths in the second colour."""
    yarns: dict[bool, list] = {False: [], True: []}
    for row in range(rows):
        for column in range(columns):
            if is_front and 26 <= column < 38 and 9 <= row < 48:
                continue  # the cable's place
            purl = is_purl(column, row) if is_front else row < 8 and column % 4 >= 2
            one = stitch(column, row, purl=purl)
            yarns[is_front and is_moth(column, row)].append(one)
    return pl.Drawing(yarns[False], pen=WOOL) + pl.Drawing(yarns[True], pen=RUST)


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    front = knitted(WIDE, TALL, is_front=True) + cable(32).inked(WOOL)
    front = front.mapped(body, step=0.2)
    front = front.erased(pl.shapes.ellipse((105, 241), 19, 12), shortest=0.4)
    edge = pl.shapes.rectangle((0, 0), WIDE, TALL).mapped(body, step=0.2)
    arm = knitted(22, 62, is_front=False).mapped(sleeve, step=0.2)
    rim = pl.shapes.rectangle((0, 0), 22, 62).mapped(sleeve, step=0.2)
    other = (arm.mirrored(about=(105, 0)), rim.mirrored(about=(105, 0)))
    jersey = pl.regions.stack([(arm, rim), other, (front, edge)], gap=0.6, shortest=0.5)
    style = {"face": "italic complex", "height": 6, "align": "centre", "pen": WOOL}
    return jersey + pl.text.lettering("The Keeper's Jersey", at=(105, 38), **style)


if __name__ == "__main__":
    from finish import finish

    finish("keepers_jersey", scene(), SHEET)
