"""A gull over the Sound, in one single stroke that never meets itself, on A5 lying.

The bird is a handful of round, tapering parts with feathers combed into them; sky and sea are
gradients. The line is dense where the picture is dark and leaves the bird to the paper.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

import plotlib as pl

HERE = Path(__file__).parent
OUT = HERE / "out"
SHEET = pl.Sheet.iso("A5", landscape=True, margin=9)
INK = pl.Pen("ink", width=0.5, colour="#12324a", feed=3_000)
MACHINE = pl.Machine.load(HERE / "bench.toml")
X, Y = np.meshgrid((np.arange(768) + 0.5) * 0.25, (np.arange(520) + 0.5) * 0.25)  # mm

# Parts of the bird, far ones first: points of a spline with a half width at each, and how light.
PARTS = {
    "far wing": ([(92, 70, 6), (80, 88, 8), (62, 101, 6), (36, 110, 1.2)], 0.62),
    "tail": ([(126, 52, 4), (140, 45, 5), (151, 41, 3.6)], 0.8),
    "body": ([(68, 71, 4), (84, 68, 8.5), (104, 61, 9.5), (124, 53, 5), (134, 49, 2)], 1.0),
    "head": ([(58, 73.5, 4.6), (65, 72.5, 5.4), (72, 71, 5.6)], 1.0),
    "beak": ([(55, 73.2, 1.5), (51, 72.4, 1.1), (47.5, 71, 0.5)], 0.35),
    "near wing": (
        [(88, 66, 7), (104, 81, 10.5), (128, 99, 8.5), (152, 107, 4.6), (174, 108, 0.8)],
        0.9,
    ),
}


def round_part(points: list[tuple[float, float, float]]) -> tuple[np.ndarray, ...]:
    """How far inside a tapering part each place is (-1 … 1 across), where along it, its size."""
    spine = pl.curves.catmull_rom([point[:2] for point in points])[0]
    along = np.linspace(0, 1, 70)
    length = np.r_[0, np.cumsum(np.hypot(*np.diff(spine, axis=0).T))]
    px = np.interp(along * length[-1], length, spine[:, 0])
    py = np.interp(along * length[-1], length, spine[:, 1])
    knots = np.linspace(0, 1, len(points))
    half = np.interp(along, knots, [point[2] for point in points])
    best = np.full(X.shape, 9.0)
    place, side = np.zeros(X.shape), np.zeros(X.shape)
    for k in range(len(along)):
        j = min(k, len(along) - 2)
        dx, dy = px[j + 1] - px[j], py[j + 1] - py[j]
        away = np.hypot(X - px[k], Y - py[k]) / half[k]
        across = (dx * (Y - py[k]) - dy * (X - px[k])) / np.hypot(dx, dy) / half[k]
        nearer = away < best
        best = np.where(nearer, away, best)
        place = np.where(nearer, along[k], place)
        side = np.where(nearer, across, side)
    return best, place, side


def bird(below: np.ndarray) -> np.ndarray:
    """All parts with the light from above, black wing tips, an eye."""
    made = below
    for name, (points, light) in PARTS.items():
        best, along, side = round_part(points)
        up = np.clip(side if points[-1][0] > points[0][0] else -side, -1, 1)
        tone = light * (0.8 + 0.28 * up)
        if "wing" in name:
            comb = 0.5 + 0.5 * np.sin(95 * along + 2.6 * up)
            tone -= 0.42 * np.clip(0.1 - up, 0, 1) * (0.45 + 0.55 * comb)
            tone = np.where(along > 0.8, 0.05 + 0.12 * comb, tone)
        if name == "body":
            tone -= 0.35 * np.clip(-up - 0.2, 0, 1)
        rim = np.clip((best - 0.86) / 0.1, 0, 1) * (up < 0.1) * 0.35
        shape = np.clip((1 - best) * 8, 0, 1)
        made = made + shape * (np.clip(tone - rim, 0.02, 1) - made)
    eye = np.hypot(X - 60.5, Y - 74.6) < 0.9
    return np.where(eye, 0.0, made)


def air() -> np.ndarray:
    """Sky that darkens upwards, a low sun behind the bird, the sea and its far shore."""
    sun = np.exp(-(((X - 118) / 70) ** 2 + ((Y - 44) / 46) ** 2))
    cloud = pl.fields.perlin(scale=40, seed=6, octaves=4)(X * 0.6, Y * 1.6)
    sky = np.clip(0.56 - 0.22 * Y / 130 + 0.45 * sun + 0.12 * cloud, 0.1, 0.95)
    waves = pl.fields.perlin(scale=7, seed=9, octaves=3)(X * 0.4, 40 * np.log(30 - Y.clip(0, 26)))
    sea = np.clip(0.4 + 0.3 * sun + 0.4 * waves, 0.08, 0.95)
    shore = 24 + 5 * np.exp(-(((X - 30) / 26) ** 2)) + 3 * np.exp(-(((X - 172) / 16) ** 2))
    return np.where(Y < 24, sea, np.where(shore - 1 > Y, 0.16, sky))


def main() -> None:
    """Render, draw one line, judge, plan and write."""
    OUT.mkdir(exist_ok=True)
    tone = pl.images.Tone(np.clip(bird(air()), 0, 1), SHEET.area.bounds)
    drawing = pl.images.single_line(tone, pen=INK, effort="quick")
    judged = pl.images.judge(drawing, tone)
    print(f"{len(drawing.points)} points in {len(drawing)} stroke;", judged)
    judged.png(OUT / "gull_single_line_judged.png")
    plot = pl.plan(drawing, MACHINE, sheet=SHEET)
    print(plot)
    pl.gcode.write(plot, OUT / "gull_single_line.gcode", title="A gull over the Sound")
    pl.svg.write(drawing, OUT / "gull_single_line.svg", sheet=SHEET)
    pl.preview.png(drawing, OUT / "gull_single_line.png", sheet=SHEET, dpi=200)


if __name__ == "__main__":
    main()
