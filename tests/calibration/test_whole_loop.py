"""The whole of it: a simulated machine with faults draws the sheets, they are read with errors, and
the corrected machine draws true and presses evenly.
"""

from __future__ import annotations

import dataclasses
import math
import re

import numpy as np
import pytest

import plotlib as pl
from plotlib import calibration
from plotlib.gcode.writer import text_of

RULER = 0.1  # mm: how far a reading of the ruler may be off
EYE = 0.03  # mm: the same for two lines side by side
STEP = 0.05  # mm of backlash from tooth to tooth
RUNG = 0.1  # mm from tick to tick of the ladder
LEFT = 0.02  # mm: what may be left beside the share of the reading errors
SHEET = pl.Sheet(215, 240, margin=5, at=(5, 5))
BENCH = pl.Machine(
    width=225,
    height=250,
    x=pl.Axis(9_000),
    y=pl.Axis(6_000),
    feed=3_000,
    lift=pl.ZLift(up=4, down=0, feed=600),
)


class Faulty:
    """A machine with faults, driven by the words of a program alone: shares no code with writer or
    reader.
    """

    def __init__(self, rng: np.random.Generator) -> None:
        self.scale = rng.uniform(0.985, 1.0, 2)  # draws short: the sheets fit on the bed
        self.lean = math.radians(rng.uniform(-0.6, 0.6))
        self.play = rng.uniform(0.05, 0.5, 2)
        self.tilt = rng.uniform(-0.001, 0.001, 2)
        self.bowl = rng.uniform(-8e-6, 8e-6)

    def bed(self, x: float, y: float) -> float:
        """A tilted bowl."""
        across = x - 110
        up = y - 125
        return float(
            self.tilt[0] * across + self.tilt[1] * up + self.bowl * (across**2 + up**2 - 8_000)
        )

    def true(self, x: float, y: float) -> tuple[float, float]:
        up = self.scale[1] * y
        return self.scale[0] * x + math.sin(self.lean) * up, math.cos(self.lean) * up

    def drawn(self, text: str) -> list[np.ndarray]:
        """The strokes: x, y and how far the pen's tip is above the bed, at every point."""
        strokes: list[list[tuple[float, float, float]]] = []
        at = {"X": 0.0, "Y": 0.0, "Z": 4.0}
        pen = [0.0, 0.0]
        is_down = False
        for line in text.splitlines():
            words = re.findall(r"([XYZ])(-?[\d.]+)", line) if line[0] in "GXYZ" else []
            at |= {letter: float(number) for letter, number in words}
            for axis, count in enumerate((at["X"], at["Y"])):
                pen[axis] = min(max(pen[axis], count - self.play[axis]), count)
            if not words:
                continue
            x, y = self.true(*pen)
            if at["Z"] < 4.0:
                if not is_down:
                    strokes.append([])
                strokes[-1].append((x, y, at["Z"] - self.bed(x, y)))
            is_down = at["Z"] < 4.0
        return [np.array(stroke) for stroke in strokes]


def pairs(plot: pl.Plot, faulty: Faulty) -> list[tuple[np.ndarray, np.ndarray]]:
    """Each stroke as planned, in bed mm, and as drawn."""
    strokes = faulty.drawn(text_of(plot))
    assert len(strokes) == len(plot.drawing)
    return list(zip(plot.drawing, strokes, strict=True))


def read_comb(machine: pl.Machine, faulty: Faulty, rng: np.random.Generator) -> pl.Corrections:
    """On each axis the number of the pair of teeth that looks most like one line."""
    comb = calibration.backlash_comb(SHEET, step=STEP)
    found = []
    for axis in (0, 1):
        teeth = []
        for asked, drawn in pairs(pl.plan(comb, machine, sheet=SHEET, effort="quick"), faulty):
            is_tooth = len(asked) == 4 and np.ptp(asked[1:3, 1 - axis]) == pytest.approx(8.5)
            if is_tooth and asked[1, axis] == asked[2, axis]:
                teeth.append((asked, drawn))
        middle = np.mean([asked[1:3, 1 - axis].mean() for asked, _ in teeth])
        sides: dict[bool, list[tuple[float, float]]] = {True: [], False: []}
        for asked, drawn in teeth:
            along, across = drawn[1:3, 1 - axis], drawn[1:3, axis]
            order = np.argsort(along)
            place = float(np.interp(middle, along[order], across[order]))
            sides[bool(asked[0, axis] < asked[1, axis])].append((asked[1, axis], place))
        upper, lower = (np.array(sorted(sides[side]))[:, 1] for side in (True, False))
        apart = upper - lower + rng.uniform(-EYE, EYE, len(upper))
        found.append(STEP * int(np.argmin(np.abs(apart))))
    return pl.Corrections(backlash_x=found[0], backlash_y=found[1])


def read_frame(machine: pl.Machine, faulty: Faulty, rng: np.random.Generator) -> dict[str, float]:
    """Sides and diagonals by a ruler, from cross to cross."""
    plot = pl.plan(calibration.squareness_frame(SHEET), machine, sheet=SHEET, effort="quick")
    corners: dict[tuple[float, float], list[float]] = {}
    for asked, drawn in pairs(plot, faulty):
        for axis in (0, 1):
            if len(asked) == 2 and np.ptp(asked, axis=0).tolist() == [8 * axis, 8 - 8 * axis]:
                middle = asked.mean(axis=0)
                corners.setdefault((middle[0], middle[1]), [0.0, 0.0])[axis] = drawn[:, axis].mean()
    (a, d, b, c) = (corners[place] for place in sorted(corners))
    size = np.ptp(np.array(list(corners)), axis=0).tolist()

    def ruler(one: list[float], other: list[float]) -> float:
        return math.dist(one, other) + float(rng.uniform(-RULER, RULER))

    return {
        "width": size[0],
        "height": size[1],
        "measured_width": (ruler(a, b) + ruler(d, c)) / 2,
        "measured_height": (ruler(a, d) + ruler(b, c)) / 2,
        "rising": ruler(a, c),
        "falling": ruler(d, b),
    }


def read_ladder(
    machine: pl.Machine, faulty: Faulty, *, columns: int, rows: int
) -> dict[str, float]:
    """At each place the offset of the first tick that is drawn."""
    offsets = np.round(np.arange(4, -5, -1) * RUNG, 3).tolist()
    plots = calibration.height_ladder(machine, offsets, sheet=SHEET, columns=columns, rows=rows)
    names = [f"{chr(65 + column)}{row + 1}" for row in range(rows) for column in range(columns)]
    readings: dict[str, float] = {}
    for offset, plot in zip(offsets, plots, strict=True):
        ticks = [s for s in pairs(plot, faulty) if len(s[0]) == 2 and is_tick(s[0])]
        for name, (_, drawn) in zip(names, ticks[: len(names)], strict=True):
            if drawn[:, 2].min() <= 0:
                readings.setdefault(name, offset)
    return readings


def is_tick(asked: np.ndarray) -> bool:
    return bool(np.ptp(asked[:, 0]) == 0 and np.ptp(asked[:, 1]) == pytest.approx(4))


@pytest.mark.parametrize("seed", range(4))
def test_a_calibrated_machine_draws_true_and_presses_evenly(seed: int) -> None:
    rng = np.random.default_rng(seed)
    faulty = Faulty(rng)
    machine = calibration.corrected(BENCH, read_comb(BENCH, faulty, rng))
    frame = read_frame(machine, faulty, rng)
    machine = calibration.corrected(machine, calibration.from_frame(**frame))
    size = {"columns": 4, "rows": 5}
    readings = read_ladder(machine, faulty, **size)
    bed = calibration.from_heights(SHEET, readings, **size)
    machine = calibration.corrected(machine, bed)
    x, y = np.array(bed.x), np.array(bed.y)
    ways = [[(x[0], place), (x[-1], place)] for place in y]
    ways += [[(place, y[0]), (place, y[-1])] for place in x]
    ways += [[(x[0], y[0]), (x[-1], y[-1])], [(x[-1], y[0]), (x[0], y[-1])]]
    plot = pl.plan(pl.Drawing(ways), machine, keep_order=True)
    made = machine.corrections
    assert made is not None
    play = np.array(made.backlash) - faulty.play
    assert np.abs(play).max() <= STEP / 2 + EYE + 0.005
    most = position_share(frame, np.abs(play), plot)
    bend = abs(faulty.bowl) * (np.diff(x).max() ** 2 + np.diff(y).max() ** 2) / 4
    before = pl.plan(pl.Drawing(ways), BENCH, keep_order=True)
    worst = max(np.hypot(*(d[:, :2] - a).T).max() for a, d in pairs(before, faulty))
    assert worst > most  # what the faults come to without any calibration
    for asked, drawn in pairs(plot, faulty):
        off = np.hypot(*(drawn[:, :2] - asked).T)
        assert off.max() <= LEFT + most
        pressed = -drawn[:, 2]
        assert pressed.min() >= -LEFT - bend
        assert pressed.max() <= LEFT + bend + RUNG


def position_share(frame: dict[str, float], play: np.ndarray, plot: pl.Plot) -> float:
    """What the reading errors are worth at the farthest place of a plot, in mm: of a side e / side
    for each mm along it, of the diagonals d e / wh at most for each mm upwards (derivative of the
    cosine law), and what is left of the backlash, which shifts crosses too.
    """
    far = np.abs(plot.drawing.points).max(axis=0)
    errors = RULER + play
    along = far * errors / (frame["width"], frame["height"])
    diagonal = max(frame["rising"], frame["falling"])
    turn = diagonal * (RULER + np.hypot(*play)) / (frame["width"] * frame["height"])
    return float(np.hypot(*(along + play)) + far[1] * turn)


def test_the_oracle_is_what_corrections_describe() -> None:
    """A machine told all faults exactly draws on the grid: both formulas say the same."""
    faulty = Faulty(np.random.default_rng(7))
    made = pl.Corrections(
        scale_x=faulty.scale[0],
        scale_y=faulty.scale[1],
        skew=math.degrees(faulty.lean),
        backlash_x=faulty.play[0],
        backlash_y=faulty.play[1],
    )
    machine = dataclasses.replace(BENCH, corrections=made)
    plot = pl.plan(pl.shapes.circle((110, 120), 90), machine)
    for asked, drawn in pairs(plot, faulty):
        assert np.abs(drawn[:, :2] - asked).max() < 0.001
