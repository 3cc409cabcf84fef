"""The sheets are as they were when somebody last looked at them: strokes, ink, box and middle.

After a change that is meant, look at the sheets and then write the figures anew:

    PYTHONPATH=. python tests/calibration/test_layout.py
"""

from __future__ import annotations

import dataclasses
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomli_w

import plotlib as pl
from plotlib import calibration

KEPT = Path(__file__).with_name("layout.toml")
INK = pl.Pen("black", 0.3)
RED = pl.Pen("red", 0.5, "red")
A5 = pl.Sheet.iso("A5", margin=8, at=(5, 5))
WIDE = pl.Sheet.iso("A5", margin=8, landscape=True, at=(5, 5))
SHORT = pl.Sheet(200, 106.5, margin=8)
NARROW = pl.Sheet(106.5, 150, margin=8)
TIGHT = pl.Sheet(140.5, 188.9, margin=8)
BENCH = pl.Machine(
    width=225,
    height=250,
    x=pl.Axis(9_000),
    y=pl.Axis(6_000),
    feed=3_000,
    lift=pl.ZLift(up=4, down=0, feed=600),
)
SMALL = dataclasses.replace(BENCH, width=90, height=60)
FLAT = dataclasses.replace(BENCH, height=80)
NEAR = dataclasses.replace(BENCH, width=200.5, height=200.5)
LIFTS = [pl.ServoLift("M5", "M3 S90", settle_up=time) for time in (0, 0.1, 0.3)]
LAYOUTS: dict[str, Callable[[], pl.Drawing]] = {
    "border": lambda: calibration.border(BENCH, pen=INK),
    "border, inset": lambda: calibration.border(BENCH, inset=7, pen=INK),
    "border of a small bed": lambda: calibration.border(SMALL),
    "border of a flat bed": lambda: calibration.border(FLAT, inset=10),
    "border, numbers near its ends": lambda: calibration.border(NEAR, inset=39.7),
    "frame": lambda: calibration.squareness_frame(A5, pen=INK),
    "frame, just as large": lambda: calibration.squareness_frame(TIGHT),
    "frame, lying": lambda: calibration.squareness_frame(WIDE),
    "comb": lambda: calibration.backlash_comb(A5, pen=INK),
    "comb, coarse": lambda: calibration.backlash_comb(WIDE, step=0.1),
    "comb, short": lambda: calibration.backlash_comb(SHORT),
    "comb, narrow": lambda: calibration.backlash_comb(NARROW),
    "circle": lambda: calibration.roundness(A5, pen=INK),
    "circle, just as large": lambda: calibration.roundness(TIGHT),
    "circle, lying": lambda: calibration.roundness(WIDE),
    "grid": lambda: calibration.flatness_grid(A5, pen=INK),
    "grid, three by four": lambda: calibration.flatness_grid(WIDE, columns=3, rows=4),
    "feeds": lambda: calibration.feed_ladder(A5, [1_000, 2_500, 3_000], pen=INK),
    "feeds, lying": lambda: calibration.feed_ladder(WIDE, [800]),
    "wedge": lambda: calibration.width_wedge(A5, pen=INK),
    "wedge, coarse": lambda: calibration.width_wedge(WIDE, step=0.1),
    "tones": lambda: calibration.tone_ramp(A5, pen=INK),
    "three tones": lambda: calibration.tone_ramp(WIDE, spacings=(3, 2, 1), pen=INK),
    "offsets": lambda: calibration.offset_cross(A5, [INK, RED]),
    "offsets of four": lambda: calibration.offset_cross(
        WIDE, [INK, RED, pl.Pen("blue"), pl.Pen("green")]
    ),
    "lifts": lambda: drawn(calibration.lift_ladder(BENCH, LIFTS, sheet=A5, pen=INK)),
    "heights": lambda: drawn(calibration.height_ladder(BENCH, sheet=A5, pen=INK)),
    "three heights": lambda: drawn(
        calibration.height_ladder(BENCH, (0.2, 0, -0.1), sheet=WIDE, columns=3, rows=2)
    ),
}


def drawn(plots: tuple[pl.Plot, ...]) -> pl.Drawing:
    """The strokes of several plots, one after the other."""
    return pl.Drawing([plot.drawing for plot in plots])


def figures(drawing: pl.Drawing) -> dict[str, Any]:
    """What changes when any stroke is moved, added or left out."""
    return {
        "strokes": len(drawing),
        "points": len(drawing.points),
        "length": round(drawing.length, 4),
        "box": [round(value, 4) for value in drawing.bounds or ()],
        "middle": drawing.points.mean(axis=0).round(4).tolist(),
        "pens": [pen.name for pen in drawing.pens],
    }


@pytest.mark.parametrize("name", LAYOUTS)
def test_a_sheet_is_as_it_was_looked_at(name: str) -> None:
    found = figures(LAYOUTS[name]())
    kept = tomllib.loads(KEPT.read_text(encoding="utf-8"))[name]
    pens = found.pop("pens"), kept.pop("pens")
    assert pens[0] == pens[1]
    assert found.keys() == kept.keys()
    for key, value in kept.items():
        assert found[key] == pytest.approx(value, abs=2e-4), key


if __name__ == "__main__":
    every = {name: figures(made()) for name, made in LAYOUTS.items()}
    KEPT.write_text(tomli_w.dumps(every), encoding="utf-8")
