"""The light on Gannet Stack before sunrise: dots of one pen on A5, each at its distance.

Sky, beam, tower, rock and sea are shaded forms that some lines of numpy render; the stippling turns
their tones into dots, and nothing else is drawn.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

import plotlib as pl

HERE = Path(__file__).parent
OUT = HERE / "out"
SHEET = pl.Sheet.iso("A5", margin=10)
INK = pl.Pen("ink", width=0.6, colour="#1b2436", feed=3_000)
MACHINE = pl.Machine.load(HERE / "bench.toml")
X, Y = np.meshgrid((np.arange(640) + 0.5) * 0.2, (np.arange(950) + 0.5) * 0.2)  # mm
MIDDLE, FOOT, TOP = 84.0, 84.0, 140.0  # of the tower
HORIZON = 52.0


def noise(scale: float, seed: int, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return pl.fields.perlin(scale=scale, seed=seed, octaves=5)(x, y)


def inside(edge: np.ndarray, blur: float = 0.3) -> np.ndarray:
    """1 where ``edge`` (mm) is above 0, 0 below, softly."""
    return np.clip(edge / blur + 0.5, 0, 1)


def over(below: np.ndarray, tone: np.ndarray | float, shape: np.ndarray) -> np.ndarray:
    return below + shape * (tone - below)


def sky() -> np.ndarray:
    """Darker above, a bright horizon, banks of cloud, and two beams through the haze."""
    light = 0.98 - 0.66 * np.clip((Y - HORIZON) / 138, 0, 1) ** 0.8
    banks = noise(44, 3, X * 0.5 + 0.25 * Y, Y * 1.9)
    light += 0.22 * banks * np.clip((Y - HORIZON) / 40, 0, 1)
    dx, dy = X - MIDDLE, Y - TOP - 4
    away = np.hypot(dx, dy)
    for turn, reach in ((173, 110), (14, 70)):
        aside = np.sin(np.arctan2(dy, dx) - np.radians(turn))
        ahead = np.cos(np.arctan2(dy, dx) - np.radians(turn)) > 0
        light += 0.8 * ahead * np.exp(-((aside / 0.085) ** 2) - away / reach)
    return np.clip(light + 0.7 * np.exp(-away / 7), 0.12, 1)


def sea() -> np.ndarray:
    """Waves that shrink towards the horizon, and the light on them."""
    near = np.clip((HORIZON - Y) / HORIZON, 0.01, 1)
    waves = noise(9, 5, X * 0.55 / (near + 0.12), 60 * np.log(near + 0.06))
    path = np.exp(-(((X - 38 - 6 * waves) / (9 + 26 * near)) ** 2))
    return np.clip(0.72 - 0.34 * near + 0.5 * waves + 0.45 * path, 0.06, 1)


def rock(below: np.ndarray) -> np.ndarray:
    """The stack: folded stone, lit from the left, with surf at its foot."""
    height = 22 + 64 * np.exp(-(np.abs((X - 88) / 34) ** 3.2)) + 5 * noise(16, 7, X, 0 * X)
    fold = noise(26, 11, X + 0.3 * Y, Y * 0.55) * 9 + noise(6, 12, X, Y) * 1.4
    slope = np.gradient(fold, 0.2, axis=1) - 0.4 * np.gradient(fold, 0.2, axis=0)
    stone = np.clip(0.2 - 0.5 * slope - 0.004 * (X - 88), 0.01, 0.9)
    shape = inside(height - Y) * inside(Y - 24 - 2.5 * noise(8, 13, X, 0 * X), 2)
    surf = np.exp(-(((Y - 25 - 3 * noise(10, 14, X, 0 * X)) / 3.2) ** 2)) * inside(
        44 - abs(X - 88), 14
    )
    return over(over(below, stone, shape), 1.0, np.clip(1.2 * surf, 0, 1))


def tower(below: np.ndarray) -> np.ndarray:
    """Round and tapered, with bands, gallery, lantern and dome."""
    half = 8.2 - 2.6 * (Y - FOOT) / (TOP - FOOT)
    aside = np.clip((X - MIDDLE) / half, -1, 1)
    shade = 0.1 + 0.9 * np.clip(-0.62 * aside + 0.78 * np.sqrt(1 - aside**2), 0, 1)
    band = inside(4.5 - abs(Y - 97)) + inside(4.5 - abs(Y - 121))
    window = inside(0.8 - abs(X - MIDDLE + 1.5)) * inside(
        1.3 - abs(abs(Y - 109) - 21.5 * (Y > 120))
    )
    wall = over(shade * (1 - 0.72 * band), 0.02, window)
    made = over(below, wall, inside(half - abs(X - MIDDLE)) * inside(TOP - Y) * inside(Y - FOOT))
    for level, wide, high, tone in ((TOP, 8.0, 0.9, 0.08), (TOP + 7.6, 5.6, 0.5, 0.05)):
        made = over(made, tone, inside(wide - abs(X - MIDDLE)) * inside(high - abs(Y - level)))
    bars = np.abs(np.abs(X - MIDDLE) % 3.4 - 1.7) < 0.22
    lantern = inside(4.8 - abs(X - MIDDLE)) * inside(3.4 - abs(Y - TOP - 4.2))
    made = over(made, np.where(bars, 0.1, 1.0), lantern)
    dome = inside(5.2 - np.hypot(X - MIDDLE, (Y - TOP - 7.8) * 1.25)) * inside(Y - TOP - 7.8)
    made = over(made, np.clip(0.12 - 0.06 * (X - MIDDLE), 0.02, 0.6), dome)
    return over(made, 0.02, inside(0.3 - abs(X - MIDDLE)) * inside(2.4 - abs(Y - TOP - 13.4)))


def main() -> None:
    """Render, stipple, judge, plan and write."""
    OUT.mkdir(exist_ok=True)
    scene = tower(rock(np.where(HORIZON > Y, sea(), sky())))
    tone = pl.images.Tone(np.clip(scene, 0, 1), SHEET.area.bounds).gamma_corrected(1.3)
    drawing = pl.images.stipple(tone, pen=INK, seed=2)
    judged = pl.images.judge(drawing, tone)
    print(judged)
    judged.png(OUT / "lighthouse_stipple_judged.png")
    plot = pl.plan(drawing, MACHINE, sheet=SHEET, effort="quick")
    print(plot)
    pl.gcode.write(plot, OUT / "lighthouse_stipple.gcode", title="The light on Gannet Stack")
    pl.svg.write(drawing, OUT / "lighthouse_stipple.svg", sheet=SHEET)
    pl.preview.png(drawing, OUT / "lighthouse_stipple.png", sheet=SHEET, dpi=200)


if __name__ == "__main__":
    main()
