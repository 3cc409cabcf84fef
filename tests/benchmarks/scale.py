"""The whole chain at 10,000, 100,000, 1,000,000 and 4,000,000 strokes: processor seconds of every
stage, how they grow (the exponent from one size to the next), and the memory. Prints, asserts
nothing.

    python tests/benchmarks/scale.py                 # up to a million
    python tests/benchmarks/scale.py --most 4000000 --points 3 --effort 0

Strokes are curved walks of six points on a bed that grows with them, so that they lie as densely at
every size. Each size runs in a process of its own; kernels are loaded before the first stage. Each
stage is told on stderr when it is done.
"""

from __future__ import annotations

import argparse
import json
import math
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import shapely

import plotlib as pl
from plotlib.compiled import Kernel

SIZES = (10_000, 100_000, 1_000_000, 4_000_000)
AREA = 9.0  # mm2 of the bed for each stroke
MACHINE = pl.Machine(
    width=300,
    height=300,
    x=pl.Axis(10_000, 500),
    y=pl.Axis(4_000, 250),
    lift=pl.ServoLift("M5", "M3 S90"),
    feed=3_000,
)


def walks(count: int, side: float, points: int) -> np.ndarray:
    """Strokes that bend at random, 0.4 mm a step: (count, points, 2)."""
    random = np.random.default_rng(1)
    starts = random.uniform(5, side - 5, (count, 1, 2))
    turns = np.cumsum(random.normal(0, 0.5, (count, points - 1)), axis=1)
    heading = turns + random.uniform(0, 2 * np.pi, (count, 1))
    steps = 0.4 * np.stack([np.cos(heading), np.sin(heading)], axis=2)
    return np.concatenate([starts, starts + np.cumsum(steps, axis=1)], axis=1)


class Stages:
    """Processor seconds of one stage after the other, and the most memory so far."""

    def __init__(self) -> None:
        self.told: dict[str, tuple[float, float]] = {}

    def run(self, name: str, work: Callable[[], Any]) -> Any:
        before = time.process_time()
        result = work()
        seconds = time.process_time() - before
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        self.told[name] = (seconds, memory)
        print(f"{name:16} {seconds:8.2f} s {memory:6.2f} GB", file=sys.stderr, flush=True)
        return result


def chain(count: int, points: int, effort: float) -> dict[str, tuple[float, float]]:
    """One run through everything."""
    side = math.ceil(math.sqrt(count * AREA))
    machine = replace(MACHINE, width=side, height=side)
    disc = shapely.Point(side / 2, side / 2).buffer(side / 2 - 5)
    strokes = walks(count, side, points)
    stages = Stages()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder)
        drawing = stages.run("make", lambda: pl.Drawing(strokes))
        stages.run("move and turn", lambda: drawing.turned(30).moved(5, 5))
        stages.run("simplify", lambda: drawing.simplified(0.05))
        stages.run("clip to a disc", lambda: drawing.clipped(disc))
        stages.run("draw ink once", lambda: pl.tidying.once(drawing))
        plot = stages.run("plan", lambda: planned(drawing, machine, effort))
        stages.run("time", lambda: plot.duration)
        stages.run("write and prove", lambda: pl.gcode.write(plot, path / "a.gcode"))
        stages.run("read", lambda: pl.gcode.read(path / "a.gcode", machine))
        stages.run("SVG", lambda: pl.svg.write(plot, path / "a.svg"))
        stages.run("PNG", lambda: pl.preview.png(plot, path / "a.png", dpi=20))
    return stages.told


def planned(drawing: pl.Drawing, machine: pl.Machine, effort: float) -> pl.Plot:
    """With a search, or, with no effort at all, in the order given."""
    if effort:
        return pl.plan(drawing, machine, effort=effort)
    return pl.plan(drawing, machine, keep_order=True, join=None)


def shown(told: dict[int, dict[str, tuple[float, float]]]) -> None:
    sizes = list(told)
    print(f"{'':16}" + "".join(f"{size:>14,} s   exp" for size in sizes) + "   peak GB")
    for stage in told[sizes[-1]]:
        row = f"{stage:16}"
        for size, smaller in zip(sizes, [None, *sizes], strict=False):
            seconds = told[size][stage][0]
            grown = ""
            if smaller is not None and told[smaller][stage][0] > 0.01:
                ratio = seconds / told[smaller][stage][0]
                grown = f"{math.log(ratio) / math.log(size / smaller):.2f}"
            row += f"{seconds:16.2f} {grown:>5}"
        print(row + f"{told[sizes[-1]][stage][1]:10.2f}")


def main() -> None:
    parser = argparse.ArgumentParser(description="The whole chain at growing sizes.")
    parser.add_argument("--most", type=int, default=1_000_000)
    parser.add_argument("--only", type=int, help=argparse.SUPPRESS)
    parser.add_argument("--points", type=int, default=6, help="points of a stroke")
    parser.add_argument(
        "--effort", type=float, default=1.0, help="of the search; 0: order as given"
    )
    given = parser.parse_args()
    if given.only:
        Kernel.leaves_little_to_python = False
        chain(5_000, given.points, given.effort)  # loads the kernels
        print(json.dumps(chain(given.only, given.points, given.effort)))
        return
    told = {}
    for size in (size for size in SIZES if size <= given.most):
        command = [sys.executable, __file__, "--only", str(size)]
        command += ["--points", str(given.points), "--effort", str(given.effort)]
        print(f"{size:,} strokes", file=sys.stderr, flush=True)
        ended = subprocess.run(command, stdout=subprocess.PIPE, text=True, check=False)
        if ended.returncode:
            print(f"{size:,} strokes: ended by {ended.returncode}")
            break
        told[size] = json.loads(ended.stdout.splitlines()[-1])
        print(f"{size:,} strokes: {sum(seconds for seconds, _ in told[size].values()):.1f} s")
    shown(told)


if __name__ == "__main__":
    main()
