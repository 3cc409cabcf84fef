"""Four cards of the winds over the Skerrow Isles, one for each season, on A4 to be cut in four.

On each card the lines of the wind turn out from the middle through the season's weather; they reach
farther and stand closer where the wind blows from more often, so that the rose is its own shading.
Figures tell the days in a hundred; a year of seeded weather gives them.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", margin=8)
SEED = 7
INK = pl.Pen("ink", width=0.25, colour="#1f3a4d", feed=3_000)
RED = pl.Pen("red", width=0.35, colour="#b8352a", feed=2_500)
RADIUS = 32.5
SEASONS = (
    ("Spring", 250, 0.6, 0.9),
    ("Summer", 215, 0.9, -1.1),
    ("Autumn", 285, 1.1, 1.3),
    ("Winter", 330, 1.5, -0.8),
)


def frequencies(main: float, narrow: float, random: np.random.Generator) -> np.ndarray:
    """Share of the days (16,) that the wind blew from each point of the compass, clockwise."""
    around_main = random.vonmises(np.radians(main), narrow, 700)
    backing = random.vonmises(np.radians(main - 130), 2.5 * narrow, 220)
    points = np.round(np.degrees(np.concatenate([around_main, backing])) / 22.5).astype(int) % 16
    return np.bincount(points, minlength=16) / len(points)


def rose(centre: tuple[float, float], share: np.ndarray, twist: float, seed: int) -> pl.Drawing:
    """Lines of the wind, reaching as far as it blew often, and closer there."""
    x, y = centre
    bearings = np.linspace(0, 16, 721)
    share = np.interp(bearings, np.arange(17), np.append(share, share[0])) / share.max()
    window = np.hanning(61) / np.hanning(61).sum()
    wider = np.concatenate([share[-46:-1], share, share[1:46]])
    share = np.convolve(wider, window, mode="same")[45:-45]
    turns = np.radians(90 - 22.5 * bearings)
    reach = 7 + (RADIUS - 8) * share / share.max()
    rim = np.column_stack([x + reach * np.cos(turns), y + reach * np.sin(turns)])
    area = shapely.Polygon(rim).difference(shapely.Point(centre).buffer(2.5))

    def apart(px: np.ndarray, py: np.ndarray) -> np.ndarray:
        bearing = np.mod(90 - np.degrees(np.arctan2(py - y, px - x)), 360) / 22.5
        return 0.5 + 0.75 * (1 - np.interp(bearing, bearings, share / share.max()))

    weather = pl.fields.perlin(scale=15, seed=seed, octaves=2).curl()
    wind = pl.fields.source(centre, core=12) + pl.fields.vortex(centre, core=12) * twist
    near = pl.fields.from_function(apart)
    style = {"shortest": 3, "taper": 2.5, "seed": seed, "pen": INK}
    return pl.fields.streamlines(wind + weather * 2.6, area, spacing=near, **style)


def card(number: int, random: np.random.Generator) -> pl.Drawing:
    """One season: the rose, the compass around it, figures, and its name."""
    name, main, narrow, twist = SEASONS[number]
    x = 8 + 97 * (number % 2) + 48.5
    y = 8 + 140.5 * (1 - number // 2) + 78
    share = frequencies(main, narrow, random)
    edges = (RADIUS + 1, RADIUS + 3)
    ring = pl.shapes.circles([(x, y)] * 2, edges, pen=RED)
    bearings = np.radians(np.arange(0, 360, 7.5))
    ticks = [[(x + r * np.cos(b), y + r * np.sin(b)) for r in edges] for b in bearings]
    parts = [rose((x, y), share, twist, SEED + number), ring, pl.Drawing(ticks, pen=RED)]
    far = RADIUS + 7
    for k, point in enumerate(("N", "NE", "E", "SE", "S", "SW", "W", "NW")):
        turn = np.radians(90 - 45 * k)
        at = (x + far * np.cos(turn), y + far * np.sin(turn))
        days = f"{100 * (share[2 * k] + share[2 * k - 1] / 2 + share[(2 * k + 1) % 16] / 2):.0f}"
        if k % 2 == 0:
            at = (at[0] + 2.6 * np.cos(turn), at[1])
            left = (at[0] - 2.4, at[1])
            style = {"height": 3.6, "anchor": "middle centre", "pen": RED}
            parts.append(pl.text.lettering(point, at=left, **style))
            at = (at[0] + 2.4, at[1] - 0.6)
        parts.append(pl.text.lettering(days, height=2.2, at=at, anchor="middle centre", pen=INK))
    style = {"face": "italic complex", "height": 6, "align": "centre", "pen": INK}
    parts.append(pl.text.lettering(name, at=(x, y - 62), **style))
    return pl.Drawing(parts)


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    random = np.random.default_rng(SEED)
    cuts = [[(105, y), (105, y + 8)] for y in (8, 144.5, 281)]
    cuts += [[(x, 148.5), (x + 8, 148.5)] for x in (8, 101, 194)]
    return pl.Drawing([*(card(k, random) for k in range(4)), pl.Drawing(cuts, pen=RED)])


if __name__ == "__main__":
    from finish import finish

    finish("wind_rose_cards", scene(), SHEET)
