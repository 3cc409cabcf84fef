"""The mail boat in a storm off the Skerrows: a rendering in colour, separated into three inks, A4.

Each ink is hatched at angles of its own, so that the colours mix on the paper by chance, as the
separation expects.
"""

from __future__ import annotations

import numpy as np
import shapely
import shapely.affinity

import plotlib as pl

SHEET = pl.Sheet.iso("A4", landscape=True, margin=15)
PENS = [
    pl.Pen("black", width=0.35, colour="#1d2129", feed=3_000),
    pl.Pen("blue", width=0.35, colour="#1f6fa8", feed=3_000),
    pl.Pen("orange", width=0.35, colour="#e8762b", feed=3_000),
]
ANGLES = {"black": (45, 20, 68), "blue": (-15, -40, 8), "orange": (75, 100, 52)}
X, Y = np.meshgrid((np.arange(668) + 0.5) * 0.4, (np.arange(450) + 0.5) * 0.4)  # mm
WHITE, NIGHT = np.array([1.0, 1.0, 1.0]), np.array([0.1, 0.17, 0.24])
TEAL, DEEP = np.array([0.2, 0.46, 0.56]), np.array([0.03, 0.09, 0.16])
FIRE = np.array([1.0, 0.5, 0.16])


def noise(scale: float, seed: int, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return pl.fields.perlin(scale=scale, seed=seed, octaves=5)(x, y)


def mix(one: np.ndarray, other: np.ndarray, share: np.ndarray) -> np.ndarray:
    share = np.clip(share, 0, 1)[..., None]
    return one + share * (other - one)


def sky() -> np.ndarray:
    """Rolling cloud, a burning gap above the horizon, rain that slants from the cloud."""
    warp = 24 * noise(70, 2, X, Y)
    cloud = noise(52, 3, X * 0.7 + warp, Y * 1.25 - warp)
    gap = np.exp(-(((Y - 84 - 0.05 * X - 6 * noise(60, 4, X, 0 * X)) / 15) ** 2))
    gap *= 0.35 + 0.65 * np.exp(-(((X - 205) / 75) ** 2))
    light = mix(NIGHT, np.array([0.78, 0.85, 0.9]), 0.42 + 1.1 * cloud - (Y - 130) / 190)
    rain = noise(4, 5, X * 1.4 - 0.75 * Y, 0.05 * Y) * np.clip((120 - X) / 90, 0, 1)
    light = mix(light, NIGHT, 0.5 * rain + 0.3 * np.clip((110 - X) / 120, 0, 1))
    return mix(mix(light, FIRE, 1.25 * gap), np.array([1.0, 0.93, 0.72]), 1.6 * gap - 1.0)


def crest(level: float, size: float, length: float, seed: int) -> np.ndarray:
    """Height of a range of waves along x, steep to the right, peaked at the top."""
    phase = X / length + 0.45 * noise(length, seed, X / 2, 0 * X)
    saw = phase - np.floor(phase)
    peak = np.where(saw < 0.68, (saw / 0.68) ** 1.8, ((1 - saw) / 0.32) ** 1.25)
    return level + size * peak + 0.12 * size * noise(length / 5, seed + 1, X, 0 * X)


def sea(picture: np.ndarray) -> np.ndarray:
    """Ranges of waves, far ones first, with backs that shine, streaks of foam, and white crests."""
    ranges = ((70, 6, 34, 11), (58, 12, 58, 21), (40, 22, 96, 31), (8, 34, 150, 41))
    for level, size, length, seed in ranges:
        top = crest(level, size, length, seed)
        down = (top - Y) / size
        slope = np.interp(X + 0.9 * (top - Y), X[0], np.gradient(top[0], 0.4))
        slope *= np.exp(-1.6 * down.clip(0))
        swirl = noise(0.3 * length, seed + 2, X + 1.2 * Y, 2.2 * (Y - top))
        body = mix(TEAL, DEEP, 0.35 + 0.75 * down + 0.6 * slope - 0.9 * swirl)
        body = mix(
            body, FIRE, 0.55 * np.exp(-(((X - 205) / 60) ** 2)) * (0.5 - 1.6 * slope + swirl)
        )
        lace = np.abs(noise(0.16 * length, seed + 3, X + 0.8 * Y, 1.6 * (Y - top)))
        foam = np.exp(-((lace / 0.075) ** 2)) * np.clip(1.1 - 0.9 * down, 0, 1)
        cap = np.exp(-down / 0.09) * np.clip(1.6 * noise(0.2 * length, seed + 4, X, Y) + 1.0, 0, 1)
        body = mix(body, WHITE, 0.85 * foam + 1.5 * cap)
        picture = mix(picture, body, down * size / 0.5 + 0.5)
        if level == 58:
            picture = boat(picture)
    return picture


def boat(picture: np.ndarray) -> np.ndarray:
    """The mail boat, bow up, with lit windows, a funnel, and smoke torn away."""
    behind = 118 - X
    aside = Y - 93 - 0.22 * behind - 5 * noise(18, 51, X, Y)
    smoke = np.exp(-((aside / (2 + 0.06 * behind.clip(0))) ** 2)) * (behind > -1)
    picture = mix(picture, DEEP, 0.75 * smoke * np.clip((X - 62) / 40, 0, 1))
    parts = (
        ([(96, 62), (140, 62), (149, 76), (132, 71), (94, 71)], DEEP),
        ([(94, 71), (132, 71), (149, 76), (148.4, 73.6), (131, 68.8), (94.4, 69)], FIRE),
        ([(102, 71), (128, 71), (126.5, 78), (102, 78)], WHITE),
        ([(118, 78), (127, 78), (126, 84), (118, 84)], WHITE),
        ([(107, 78), (114, 78), (113.4, 91), (107.4, 91)], FIRE * 0.9),
        ([(107.3, 88), (113.5, 88), (113.4, 91), (107.4, 91)], DEEP),
        ([(133, 71), (134, 71), (133.6, 98), (133.2, 98)], DEEP),
        ([(119.4, 80), (125.4, 80), (125, 82.6), (119.4, 82.6)], np.array([1.0, 0.8, 0.4])),
    )
    ports = [([(x, 73), (x + 2, 73), (x + 2, 75.6), (x, 75.6)], DEEP) for x in range(104, 123, 4)]
    for corners, colour in (*parts, *ports):
        turned = shapely.affinity.rotate(shapely.Polygon(corners), 9, origin=(118, 66))
        picture[shapely.contains_xy(turned, X, Y)] = colour
    return picture


def hatched() -> pl.Drawing:
    """Rendered, separated, and hatched ink by ink."""
    picture = np.clip(sea(sky()), 0, 1)[::-1]
    tones = pl.images.separated(picture, SHEET.area, PENS, fit="stretch")
    drawing = pl.Drawing()
    for pen, tone in tones.items():
        layer = pl.images.tonal_hatch(tone, angles=ANGLES[pen.name], spacing=0.6, pen=pen, seed=3)
        print(pen.name, pl.images.judge(layer, tone))
        drawing += layer
    return drawing


if __name__ == "__main__":
    from finish import finish

    finish("storm_in_three_inks", hatched(), SHEET, effort="quick", pens=PENS[::-1])
