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


def main() -> None:
    """Print the table."""
    print(f"{'':26}{'acceleration':>14}{'arc':>10}{'deviation':>12}{'arc is above by':>18}")
    for name, drawing in drawings().items():
        for accelerations in ((500, 250), (500, 500), (2_000, 2_000)):
            arc = seconds(drawing, "arc", accelerations)
            plain = seconds(drawing, "deviation", accelerations)
            row = f"{name:26}{accelerations[0]:>8},{accelerations[1]:>5}"
            print(f"{row}{arc:>9.1f}s{plain:>11.1f}s{100 * (arc / plain - 1):>16.1f} %")


if __name__ == "__main__":
    main()
