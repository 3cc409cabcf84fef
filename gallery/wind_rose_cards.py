"""Four cards of the winds over the Skerrow Isles, one for each season, on A4 to be cut in four.

On each card the lines of the wind turn out from the middle through the season's weather; they reach
farther and stand closer where the wind blows from more often, so that the rose is its own shading.
A year of seeded weather gives the frequencies.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import shapely

import plotlib as pl

HERE = Path(__file__).parent
OUT = HERE / "out"
SEED = 7
INK = pl.Pen("ink", width=0.25, colour="#1f3a4d", feed=3_000)
RED = pl.Pen("red", width=0.35, colour="#b8352a", feed=2_500)
SHEET = pl.Sheet.iso("A4", margin=8)
RADIUS = 37.0
SEASONS = (
    ("SPRING", 250, 0.6, 0.9),
    ("SUMMER", 215, 0.9, -1.1),
    ("AUTUMN", 285, 1.1, 1.3),
    ("WINTER", 330, 1.5, -0.8),
)
MACHINES = [pl.Machine.load(HERE / name) for name in ("bench.toml", "table.toml")]


def frequencies(main: float, narrow: float, random: np.random.Generator) -> np.ndarray:
    """Share of the days (16,) that the wind blew from each point of the compass, north first,
    clockwise.
    """
    around_main = random.vonmises(np.radians(main), narrow, 700)
    backing = random.vonmises(np.radians(main - 130), 2.5 * narrow, 220)
    points = np.round(np.degrees(np.concatenate([around_main, backing])) / 22.5).astype(int) % 16
    return np.bincount(points, minlength=16) / len(points)


def rose(centre: tuple[float, float], share: np.ndarray, twist: float, seed: int) -> pl.Drawing:
    """Lines of the wind, reaching as far as it blew often, and closer there; rings for a third and
    two thirds of the longest.
    """
    x, y = centre
    bearings = np.linspace(0, 16, 721)
    share = np.interp(bearings, np.arange(17), np.append(share, share[0])) / share.max()
    share = np.convolve(
        np.concatenate([share[-46:-1], share, share[1:46]]),
        np.hanning(61) / np.hanning(61).sum(),
        mode="same",
    )[45:-45]
    turns = np.radians(90 - 22.5 * bearings)
    reach = 7 + (RADIUS - 8) * share / share.max()
    outline = shapely.Polygon(
        np.stack([x + reach * np.cos(turns), y + reach * np.sin(turns)], axis=1)
    )
    area = outline.difference(shapely.Point(centre).buffer(2.5))

    def apart(px: np.ndarray, py: np.ndarray) -> np.ndarray:
        bearing = np.mod(90 - np.degrees(np.arctan2(py - y, px - x)), 360) / 22.5
        return 0.5 + 0.75 * (1 - np.interp(bearing, bearings, share / share.max()))

    weather = pl.fields.perlin(scale=15, seed=seed, octaves=2).curl()
    wind = pl.fields.source(centre, core=12) + pl.fields.vortex(centre, core=12) * twist
    near = pl.fields.from_function(apart)
    lines = pl.fields.streamlines(
        wind + weather * 2.6, area, spacing=near, shortest=3, taper=2.5, seed=seed, pen=INK
    )
    rings = pl.fields.isolines(
        pl.fields.distance_to_point(centre),
        SHEET.area.difference(outline.buffer(1)),
        levels=[RADIUS / 3, RADIUS * 2 / 3],
        pen=RED,
    )
    return lines + rings


def card(number: int, random: np.random.Generator) -> pl.Drawing:
    """One season: the rose, the compass around it, its name and the mark of the cut."""
    name, main, narrow, twist = SEASONS[number]
    x = 8 + 97 * (number % 2) + 48.5
    y = 8 + 140.5 * (1 - number // 2) + 80
    share = frequencies(main, narrow, random)
    edges = (RADIUS, RADIUS + 2)
    ring = pl.Drawing([pl.shapes.circle((x, y), radius, pen=RED) for radius in edges])
    bearings = np.radians(np.arange(0, 360, 7.5))
    ticks = [[(x + r * np.cos(b), y + r * np.sin(b)) for r in edges] for b in bearings]
    letters = [("N", 0, 1), ("E", 1, 0), ("S", 0, -1), ("W", -1, 0)]
    far = RADIUS + 6
    names = [
        pl.text.lettering(
            letter, height=4, at=(x + far * dx, y + far * dy - 2), align="centre", pen=RED
        )
        for letter, dx, dy in letters
    ]
    title = pl.text.lettering(name, height=6, at=(x, y - 64), align="centre", pen=INK)
    return pl.Drawing(
        [rose((x, y), share, twist, SEED + number), ring, pl.Drawing(ticks, pen=RED), *names, title]
    )


def main() -> None:
    """Draw once; plan, write and report for both machines."""
    OUT.mkdir(exist_ok=True)
    random = np.random.default_rng(SEED)
    cuts = [[(105, y), (105, y + 8)] for y in (8, 144.5, 281)]
    cuts += [[(x, 148.5), (x + 8, 148.5)] for x in (8, 101, 194)]
    drawing = pl.Drawing([*(card(k, random) for k in range(4)), pl.Drawing(cuts, pen=RED)])
    for machine in MACHINES:
        plot = pl.plan(drawing, machine, sheet=SHEET)
        pl.gcode.write(
            plot,
            OUT / f"wind_rose_cards_{machine.name}.gcode",
            title="Winds over the Skerrow Isles",
        )
        print(plot)
    pl.svg.write(drawing, OUT / "wind_rose_cards.svg", sheet=SHEET)
    pl.preview.png(drawing, OUT / "wind_rose_cards.png", sheet=SHEET, dpi=200)


if __name__ == "__main__":
    main()
