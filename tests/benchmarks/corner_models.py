"""How much the corner model changes the time of a drawing: seconds with the pen down, computed.

Run it from the top of the checkout: ``python tests/benchmarks/corner_models.py``. No clock is read;
the same figures come everywhere.
"""

from __future__ import annotations

import numpy as np
import shapely

import plotlib as pl
from plotlib.planning.moving.motion import Controller, motion_times

PAGE = shapely.box(0, 0, 180, 120)
UNIT = 0.001


def drawings() -> dict[str, pl.Drawing]:
    """What is timed, under its name."""
    ground = pl.fields.perlin(scale=30, seed=3, octaves=4)
    wind = pl.fields.perlin(scale=40, seed=4, octaves=2).curl()
    return {
        "iso-lines, step 0.25 mm": pl.fields.isolines(ground, PAGE, spacing=0.1, step=0.25),
        "iso-lines, step 0.5 mm": pl.fields.isolines(ground, PAGE, spacing=0.1, step=0.5),
        "iso-lines, step 1 mm": pl.fields.isolines(ground, PAGE, spacing=0.1, step=1),
        "streamlines": pl.fields.streamlines(wind, PAGE, spacing=2),
        "circles of 1 to 10 mm": pl.Drawing([pl.shapes.circle((0, 0), r) for r in range(1, 11)]),
        "lettering of 3 mm": pl.text.lettering(
            "Outer Skerry and Mewholm " * 8, height=3, at=(0, 0)
        ),
        "hatch, joined": pl.fills.hatch(PAGE, spacing=1, joined=True),
    }


def seconds(drawing: pl.Drawing, model: str, accelerations: tuple[float, float]) -> float:
    """Seconds with the pen down at 3,000 mm/min."""
    controller = Controller(
        rates=(10_000, 4_000), accelerations=accelerations, corner_model=model, look_ahead=16
    )
    points = np.rint(drawing.points / UNIT).astype(np.int64)
    return motion_times(points, drawing.offsets, controller, unit=UNIT, feed=3_000).drawing


def lap(chords: int) -> float:
    """Seconds around a circle of 4 mm, in the mean of twenty laps, over those at the even speed
    that the acceleration of 600 mm/s² towards its centre allows: no feed limits it.
    """
    laps = 20
    angle = np.linspace(0, 2 * np.pi * laps, chords * laps + 1)
    points = np.rint(4 * np.column_stack([np.cos(angle), np.sin(angle)]) / 1e-6).astype(np.int64)
    controller = Controller(rates=(1e6, 1e6), accelerations=(600, 600), look_ahead=64)
    ends = np.array([0, len(points)])
    seconds = motion_times(points, ends, controller, unit=1e-6, feed=1e6).drawing
    speed = (600 * 4) ** 0.5
    return (seconds - speed / 600) / (2 * np.pi * 4 * laps / speed)


def best_lap() -> float:
    """The same where the axes share their acceleration between turning and speeding up as well as
    they can: at an angle t from the nearer axis the speed is sqrt(2 a r / (1 + cos t)), so a lap
    takes 16 sin(pi / 8) sqrt(r / a) instead of 2 pi sqrt(r / a).
    """
    return float(16 * np.sin(np.pi / 8) / (2 * np.pi))


def main() -> None:
    """Print the tables."""
    print(f"{'':26}{'acceleration':>14}{'arc':>10}{'deviation':>12}{'arc is above by':>18}")
    for name, drawing in drawings().items():
        for accelerations in ((500, 250), (500, 500), (2_000, 2_000)):
            arc = seconds(drawing, "arc", accelerations)
            plain = seconds(drawing, "deviation", accelerations)
            row = f"{name:26}{accelerations[0]:>8},{accelerations[1]:>5}"
            print(f"{row}{arc:>9.1f}s{plain:>11.1f}s{100 * (arc / plain - 1):>16.1f} %")
    print("\naround a circle, beside the even speed sqrt(a r):")
    for chords in (24, 48, 96, 192, 384):
        print(f"  {chords:>4} chords, arc {100 * (lap(chords) - 1):>17.2f} %")
    print(f"  the best that two axes can do {100 * (best_lap() - 1):>6.2f} %")


if __name__ == "__main__":
    main()
