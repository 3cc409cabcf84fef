"""A plate of six knots, each rope over itself and under itself in turn.

A knot is a closed curve with a height; where it crosses itself, the lower strand ends at the rope
above it. Ropes are laid strand by strand by `regions.stack`, shaded across, and no line is
drawn twice.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=14)
INK = pl.Pen("ink", width=0.3, colour="#2b2622", feed=3_000)
RED = pl.Pen("red", width=0.3, colour="#a8321f", feed=3_000)
PIECES = 220  # of each lap
HALF = 2.8  # mm; half the rope


def rosette(bights: int, leads: int, depth: float) -> tuple[int, object]:
    """A Turk's head: so many loops at the rim, plaited of so many strands; laps, and x, y, z."""
    speed = bights / leads

    def curve(t: np.ndarray) -> tuple[np.ndarray, ...]:
        far = 1 + depth * np.cos(speed * t)
        return far * np.cos(t), far * np.sin(t), np.sin(speed * t)

    return leads, curve


def figure_of_eight(t: np.ndarray) -> tuple[np.ndarray, ...]:
    """The knot of four crossings."""
    far = 0.72 + 0.36 * np.cos(2 * t)
    return far * np.cos(3 * t), far * np.sin(3 * t), np.sin(4 * t)


KNOTS = (
    ("Trefoil", rosette(3, 2, 0.5), 19.5),
    ("Figure of eight", (1, figure_of_eight), 27),
    ("Cinquefoil", rosette(5, 2, 0.42), 20.5),
    ("Four-bight mat", rosette(4, 3, 0.5), 19.5),
    ("Sailor's ring", rosette(8, 3, 0.34), 22),
    ("Seven-bight star", rosette(7, 2, 0.34), 22),
)


def rope(curve: object, laps: int, scale: float) -> pl.Drawing:
    """One knot around (0, 0): pieces from the lowest to the highest, each hiding those below."""
    t = np.linspace(0, 2 * np.pi * laps, PIECES * laps + 1)
    x, y, z = curve(t)
    line = np.column_stack([x, y]) * scale
    line[-1] = line[0]
    way = np.gradient(line, axis=0)
    way[[0, -1]] = line[1] - line[-2]
    side = np.column_stack([-way[:, 1], way[:, 0]]) / np.hypot(*way.T)[:, None]
    run = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    twists = round(run[-1] / 24)
    items = []
    for k in np.argsort(z[:-1], kind="stable"):
        ends = [k, k + 1]
        here, across = line[ends], HALF * side[ends]
        area = shapely.Polygon(np.vstack([here + across, (here - across)[::-1]])).buffer(0)
        strands = [here + across, here - across]
        for strand in range(3):
            turn = 2 * np.pi * (twists * run[ends] / run[-1] + strand / 3)
            if np.sin(turn.mean()) > 0:
                strands.append(here + across * np.cos(turn)[:, None])
        items.append((pl.Drawing(strands), area))
    return pl.regions.stack(items, shortest=0.02)


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    left, _, right, top = SHEET.area.bounds
    parts = []
    for number, (name, (laps, curve), scale) in enumerate(KNOTS):
        x = left + (right - left) * (0.27 + 0.46 * (number % 2))
        y = top - 58 - 80 * (number // 2)
        parts.append(rope(curve, laps, scale).inked(INK).moved(x, y))
        style = {"face": "italic complex", "height": 3.4, "align": "centre", "pen": RED}
        parts.append(pl.text.lettering(name, at=(x, y - 39), **style))
    title = {"height": 7, "face": "roman triplex", "align": "centre", "pen": INK}
    title["at"] = ((left + right) / 2, top - 15)
    parts.append(pl.text.lettering("Knots of the Ferrymen", **title))
    parts.append(pl.Drawing([SHEET.area.exterior], pen=RED))
    return pl.Drawing(parts)


if __name__ == "__main__":
    from finish import finish

    finish("knots", scene(), SHEET)
