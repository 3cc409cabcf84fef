"""The ferries of one day between the Skerrow Isles: every crossing a line, dashed by time.

A dash is three minutes under way, so that dashes are long where a boat runs free and short where it
creeps into a harbour; the pattern is scaled by each boat's speed. Boats keep clear of the land by
following the flow around it.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", landscape=True, margin=13)
SEED = 21
COAST = pl.Pen("ink", width=0.3, colour="#23303a", feed=3_000)
BOATS = pl.Pen("red", width=0.35, colour="#b23a1e", feed=3_000)
FRAME = shapely.box(17, 17, 280, 193)
PLACES = ((58, 66, 33), (148, 158, 26), (152, 46, 25), (246, 136, 26), (246, 50, 22), (62, 140, 17))
NAMES = ("Skerrow", "Tarnberg", "Mewholm", "Fáley", "Vévoe", "Ørgarth")
FREE = 6.0  # mm on the chart for three minutes at full speed
SAILINGS = 9


def islands() -> list[shapely.Polygon]:
    """Six islands of seeded ground, the largest first."""
    noise = pl.fields.perlin(scale=42, seed=SEED, octaves=3)
    domes = [
        pl.fields.distance_to_point((x, y)).shaped(lambda far, r=r: np.exp(-((far / r) ** 2)))
        for x, y, r in PLACES
    ]
    ground = sum(domes, start=pl.fields.constant(-0.5)) + noise * 0.34
    land = pl.regions.rounded(pl.fields.bands(ground, FRAME, levels=[0])[1], 1.2)
    parts = [shapely.Polygon(part.exterior) for part in shapely.get_parts(land) if part.area > 150]
    return sorted(parts, key=lambda part: -part.area)[:6]


def crossing(one: np.ndarray, two: np.ndarray, off: object, bow: float) -> pl.Drawing:
    """A way from quay to quay: a bow, pushed off the land and smoothed, as a helmsman would."""
    share = np.linspace(0, 1, 60)[:, None]
    normal = np.array([-(two - one)[1], (two - one)[0]]) / np.hypot(*(two - one))
    way = one + (two - one) * share + normal * (bow * np.sin(np.pi * share) ** 1.4)
    for _ in range(60):
        far, east, north = off.jet(way[1:-1, 0], way[1:-1, 1])
        ends = np.minimum(np.hypot(*(way[1:-1] - one).T), np.hypot(*(way[1:-1] - two).T))
        push = 0.5 * np.maximum(np.minimum(2.5, ends) - far, 0)
        way[1:-1] += push[:, None] * np.column_stack([east, north])
        way[1:-1] += 0.2 * ((way[:-2] + way[2:]) / 2 - way[1:-1])
    return pl.curves.catmull_rom(way[::4], pen=BOATS)


def scene() -> pl.Drawing:
    """The whole sheet, in sheet mm."""
    parts = islands()
    land = shapely.MultiPolygon(parts)
    off = pl.fields.sampled(pl.fields.distance(land), FRAME, step=1.5)
    quays = []
    for part in parts:
        coast = np.array(part.exterior.coords)
        quays.append(coast[np.argmin(np.hypot(*(coast - (150, 105)).T))])
    lines = []
    for one, two in combinations(quays, 2):
        far = np.hypot(*(one - two))
        ends = shapely.MultiPoint([one, two]).buffer(9)
        if far < 175 and not shapely.LineString([one, two]).difference(ends).intersects(land):
            bows = np.linspace(-0.13, 0.13, SAILINGS) * far
            lines += [crossing(one, two, off, bow) for bow in bows]
    near = pl.fields.distance(shapely.MultiPoint(quays).buffer(1))
    speed = near.shaped(lambda far: 0.16 + 0.84 * (1 - np.exp(-np.maximum(far, 0) / 13)))
    starts = np.random.default_rng(SEED).uniform(0, FREE, len(lines))
    style = {"pattern": (FREE * 0.7, FREE * 0.3), "scale": speed}
    pairs = zip(lines, starts, strict=True)
    wakes = pl.Drawing([one.dashed(offset=go, **style) for one, go in pairs])
    wakes = wakes.erased(land.buffer(0.6), shortest=0.3).thinned(0.7, shortest=1.2)
    deep = -np.array([0.9, 2.1, 3.6, 5.4, 7.5])
    shore = [pl.fields.isolines(pl.fields.distance(part), part, levels=deep) for part in parts]
    style = {"face": "italic complex", "pen": COAST}
    towns = []
    for name, part in zip(NAMES, parts, strict=True):
        at = part.representative_point().coords[0]
        towns.append(pl.text.lettering(name, height=3.4, at=at, anchor="middle centre", **style))
    clear = shapely.union_all([town.box(margin=1.2) for town in towns])
    piers = pl.shapes.circles(quays, 1.1, pen=BOATS)
    bold = {"face": "italic complex", "pen": BOATS}
    title = pl.text.lettering("One Day's Ferries", height=6.8, at=(24, 181), **bold)
    told = "each dash is two minutes, each gap one"
    title += pl.text.lettering(told, height=2.4, at=(24.5, 175), pen=COAST)
    frame = pl.Drawing([FRAME, FRAME.buffer(1.2, join_style="mitre")], pen=COAST)
    chart = pl.Drawing([pl.Drawing(land), *shore]).inked(COAST).erased(clear, shortest=0.5)
    chart += wakes.erased(shapely.MultiPoint(quays).buffer(1.3), shortest=0.3)
    return pl.Drawing([chart, piers, *towns, title, frame])


if __name__ == "__main__":
    from finish import finish

    finish("ferry_wakes", scene(), SHEET)
