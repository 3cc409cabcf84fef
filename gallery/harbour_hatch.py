"""The harbour of Ternhaven on a still evening, hatched in layers at four angles, on A4 lying.

Gabled houses and boats are painter's-algorithm polygons with a light from the left, mirrored in the
water with ripples. The hatching switches layers on by tone, as an engraver would.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl

SHEET = pl.Sheet.iso("A4", landscape=True, margin=15)
INK = pl.Pen("sepia", width=0.3, colour="#33241a", feed=3_000)
STEP = 0.25
X, Y = np.meshgrid((np.arange(1068) + 0.5) * STEP, (np.arange(720) + 0.5) * STEP)  # mm
QUAY = 66.0


def noise(scale: float, seed: int, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return pl.fields.perlin(scale=scale, seed=seed, octaves=4)(x, y)


def paint(picture: np.ndarray, corners: object, tone: float | np.ndarray) -> None:
    """Lay a polygon, given as corner after corner or as a flat row of numbers, over the picture."""
    area = shapely.Polygon(np.reshape(corners, (-1, 2)))
    left, bottom, right, top = (np.array(area.bounds) / STEP).astype(int).clip(0)
    part = np.s_[bottom : top + 1, left : right + 1]
    inside = shapely.contains_xy(area, X[part], Y[part])
    np.copyto(picture[part], np.broadcast_to(tone, X.shape)[part], where=inside)


def box(x: float, y: float, width: float, height: float) -> tuple[float, ...]:
    return (x, y, x + width, y, x + width, y + height, x, y + height)


def house(picture: np.ndarray, x: float, width: float, height: float, wall: float) -> None:
    """A gable to the front in the light, a long side in shade, roof, windows, door, chimney."""
    deep, y, right, middle = 0.8 * width, QUAY + 3, x + width, x + width / 2
    eaves, ridge = y + height, y + height + 0.62 * width
    plaster = wall + 0.05 * noise(6, 3, X, Y)
    tiles = 0.16 + 0.05 * np.sin(Y * 4.2) + 0.05 * noise(5, 4, X, Y)
    paint(picture, box(right, y, deep, height), 0.32 * plaster)
    paint(picture, (x, y, right, y, right, eaves, middle, ridge, x, eaves), plaster)
    roof = (middle, ridge + 1, middle + deep, ridge + 1, right + deep + 1, eaves - 1, right, eaves)
    paint(picture, roof, tiles)
    paint(picture, box(middle + 0.6 * deep, ridge - 2, 3, 6), 0.14)
    for row in range(int(height // 11)):
        for k in range(int(width // 8)):
            wx, wy = x + 3 + 8 * k + (width % 8) / 2, y + 5 + 11 * row
            if row or abs(wx + 1.5 - middle) > 4.5:
                paint(picture, box(wx - 0.5, wy - 0.5, 4, 6.4), 0.98)
                paint(picture, box(wx, wy, 3, 5.4), 0.05)
        paint(picture, box(right + 0.35 * deep, y + 5 + 11 * row, 2.4, 5.2), 0.02)
    paint(picture, box(middle - 2, y, 4, 8), 0.06)


def boat(picture: np.ndarray, at: tuple[float, float], size: float, hull: float) -> None:
    """A fishing boat: sheered hull with a bright strake, cabin, mast, and a furled sail."""
    t = np.linspace(0, 1, 24)
    sheer = np.c_[t, 0.2 * (0.45 + 1.5 * (t - 0.42) ** 2)] * size + at
    keel = np.c_[0.06 + 0.86 * t, -0.045 * np.sin(np.pi * t) ** 0.5] * size + at
    shade = hull * np.clip(1.35 - 0.09 * (Y - at[1]), 0.3, 1.3)
    paint(picture, np.r_[sheer, keel[::-1]], shade)
    paint(picture, np.r_[sheer, sheer[::-1] - (0, 0.025 * size)], 0.97)
    parts = (
        (box(0.56, 0.1, 0.2, 0.15), 0.85),
        (box(0.68, 0.1, 0.08, 0.15), 0.2),
        (box(0.59, 0.17, 0.06, 0.05), 0.04),
        (box(0.36, 0.1, 0.022, 0.95), 0.05),
        ((0.37, 0.22, 0.86, 0.33, 0.85, 0.37, 0.37, 0.31), 0.55),
    )
    for corners, tone in parts:
        paint(picture, np.reshape(corners, (-1, 2)) * size + at, tone)


def scene() -> np.ndarray:
    """Sky, hill, houses, quay; then the water with all of it upside down; then the boats."""
    glow = np.exp(-(((X - 40) / 120) ** 2 + ((Y - 84) / 60) ** 2))
    cloud = noise(60, 21, X * 0.55 + Y * 0.3, Y * 1.7)
    picture = np.clip(0.72 - 0.2 * (Y - 80) / 100 + 0.35 * glow + 0.3 * cloud, 0.3, 1)
    hill = 98 + 24 * np.exp(-(((X - 205) / 66) ** 2)) + 4 * noise(30, 5, X, 0 * X)
    slope = 0.42 + 0.25 * noise(18, 6, X, Y) - 0.0015 * (X - 130)
    picture = np.where(hill > Y, np.clip(slope, 0.1, 0.8), picture)
    places = (8, 46, 80, 121, 153, 196, 230)
    sizes = ((22, 25), (19, 36), (24, 28), (18, 41), (26, 30), (20, 36), (22, 26))
    for x, (width, height), wall in zip(places, sizes, (8, 9, 7, 9, 8, 9, 7), strict=True):
        house(picture, x, width, height, wall / 10)
    brick = np.sign(np.sin(X * 0.9 + 2.2 * np.floor(Y / 2.2)))
    stone = 0.3 + 0.05 * brick + 0.12 * noise(4, 8, X, Y)
    paint(picture, box(0, QUAY - 8, 270, 11), np.clip(stone, 0.05, 0.7))
    paint(picture, box(0, QUAY + 2, 270, 1.4), 0.9)
    depth = np.clip((QUAY - 8 - Y) / (QUAY - 8), 0, 1)
    ripple = noise(10, 11, X * 0.35, 34 * np.log(depth + 0.12))
    row = ((2 * (QUAY - 8) - Y + ripple * (1 + 7 * depth)) / STEP).astype(int).clip(0, 719)
    column = ((X + ripple * (1 + 5 * depth)) / STEP).astype(int).clip(0, 1067)
    water = 0.1 + 0.74 * picture[row, column] + 0.22 * ripple * (0.4 + depth)
    picture = np.where(QUAY - 8 > Y, np.clip(water, 0.04, 1), picture)
    for x, y, size, hull in ((150, 50, 40, 0.3), (28, 38, 62, 0.2), (188, 22, 78, 0.14)):
        across, down = (X - x) / size - 0.5, (Y - y) / size + 0.09
        shadow = np.exp(-((across / 0.46) ** 2) - (down / 0.075) ** 2) * (y > Y)
        picture *= 1 - 0.8 * np.clip(shadow * (1 + 0.7 * ripple), 0, 1)
        boat(picture, (x, y), size, hull)
    return np.clip(picture, 0, 1)


def hatched() -> pl.Drawing:
    """Rendered, hatched and judged."""
    tone = pl.images.Tone(scene(), SHEET.area.bounds)
    drawing = pl.images.tonal_hatch(tone, pen=INK, seed=5)
    print(pl.images.judge(drawing, tone))
    return drawing


if __name__ == "__main__":
    from finish import finish

    finish("harbour_hatch", hatched(), SHEET, effort="quick")
