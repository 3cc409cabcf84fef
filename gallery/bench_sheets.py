"""The sheets with which a new machine is set up, pinned to the wall above the stationery bench.

Each is a plot of its own, with what to do lettered on it: scale and squareness, backlash,
roundness, flatness, feeds, the width of a pen, spacing and tone, offsets of pens. The picture shows
all eight side by side; the files are drawn one after another on A5.
"""

from __future__ import annotations

from pathlib import Path

import plotlib as pl

HERE = Path(__file__).parent
OUT = HERE / "out"
MACHINE = pl.Machine.load(HERE / "bench.toml")
PAPER = pl.Sheet.iso("A5", margin=8, at=(5, 10))
SHEET = pl.Sheet(4 * 148 + 5 * 12, 2 * 210 + 3 * 12, margin=1)  # the wall

BLACK = pl.Pen("black", width=0.3, colour="#20242a", feed=2_000)
RED = pl.Pen("red", width=0.3, colour="#b4431f", feed=2_000)
BLUE = pl.Pen("blue", width=0.3, colour="#1d4e89", feed=2_000)
OCHRE = pl.Pen("ochre", width=0.3, colour="#a8641e", feed=2_000)
GREEN = pl.Pen("green", width=0.3, colour="#2f6b4f", feed=2_000)
VIOLET = pl.Pen("violet", width=0.3, colour="#5b3f8c", feed=2_000)
EDGE = pl.Pen("edge of the paper", width=0.2, colour="#b8b4a8")

SHEETS = {
    "squareness": pl.calibration.squareness_frame(PAPER, pen=BLACK),
    "backlash": pl.calibration.backlash_comb(PAPER, pen=BLACK),
    "roundness": pl.calibration.roundness(PAPER, pen=BLACK),
    "flatness": pl.calibration.flatness_grid(PAPER, columns=4, rows=6, pen=BLACK),
    "feeds": pl.calibration.feed_ladder(PAPER, range(800, 6_001, 400), pen=BLACK),
    "width": pl.calibration.width_wedge(PAPER, pen=BLACK),
    "tones": pl.calibration.tone_ramp(PAPER, pen=BLACK),
    "offsets": pl.calibration.offset_cross(PAPER, [BLACK, RED, BLUE, OCHRE, GREEN, VIOLET]),
}


def wall() -> pl.Drawing:
    """All sheets in two rows; rows of the feed sheet that differ only in their feed are one pen."""
    parts = []
    for number, (name, drawing) in enumerate(SHEETS.items()):
        row, column = divmod(number, 4)
        corner = (12 + column * 160, 12 + (1 - row) * 222)
        plain = drawing if name == "offsets" else drawing.inked(BLACK)
        paper = pl.shapes.rectangle((0, 0), PAPER.width, PAPER.height, pen=EDGE)
        pins = pl.shapes.circles(
            [(5, 205), (143, 205)] * 3, [0.5, 0.5, 1.1, 1.1, 1.7, 1.7], pen=RED
        )
        parts.append((plain + paper + pins).moved(*corner))
    return pl.Drawing(parts)


def main() -> None:
    OUT.mkdir(exist_ok=True)
    for name, drawing in SHEETS.items():
        plot = pl.plan(drawing, MACHINE, sheet=PAPER)
        pl.gcode.write(plot, OUT / f"bench_sheets_{name}.gcode")
        print(plot)
    pl.svg.write(wall(), OUT / "bench_sheets.svg", sheet=SHEET)
    pl.preview.png(wall(), OUT / "bench_sheets.png", sheet=SHEET, dpi=70)


if __name__ == "__main__":
    main()
