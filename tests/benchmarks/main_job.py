"""The main job at size: drawing, plan, proven file; and a million strokes built, moved, clipped and
measured. Prints, asserts nothing.

python tests/benchmarks/main_job.py
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

import plotlib as pl

MACHINE = pl.Machine(
    width=300,
    height=300,
    x=pl.Axis(10_000, 500),
    y=pl.Axis(4_000, 250),
    lift=pl.ServoLift("M5", "M3 S90"),
    feed=3_000,
)


def strokes(count: int, points: int, seed: int) -> np.ndarray:
    """Random walks of 0.4 mm steps, inside 300 x 300 mm: (count, points, 2)."""
    rng = np.random.default_rng(seed)
    starts = rng.uniform(10, 290, (count, 1, 2))
    turns = np.cumsum(rng.normal(0, 0.5, (count, points - 1)), axis=1) + rng.uniform(
        0, 2 * np.pi, (count, 1)
    )
    steps = 0.4 * np.stack([np.cos(turns), np.sin(turns)], axis=2)
    return np.concatenate([starts, starts + np.cumsum(steps, axis=1)], axis=1)


def peak() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6


def timed(label: str, action):
    began = time.perf_counter()
    result = action()
    print(f"  {label:<34} {time.perf_counter() - began:7.2f} s   peak {peak():5.2f} GB")
    return result


def large() -> None:
    print("1,000,000 strokes of 10 points")
    given = strokes(1_000_000, 10, 2)
    arrays = list(given)
    began = time.perf_counter()
    drawing = timed("build from a list of arrays", lambda: pl.Drawing(arrays))
    moved = timed("move", lambda: drawing.moved(3, -2))
    clipped = timed("clip to a rectangle", lambda: moved.clipped(pl.Sheet(250, 250, margin=20)))
    timed("measure", lambda: (clipped.length, clipped.bounds))
    print(f"  {'together':<34} {time.perf_counter() - began:7.2f} s")


def main_job() -> None:
    print("100,000 strokes of 10 points: drawing to proven file")
    pl.plan(pl.Drawing(strokes(50, 3, 1)), MACHINE)  # compile
    given = strokes(100_000, 10, 1)
    began = time.perf_counter()
    drawing = timed("build", lambda: pl.Drawing(given))
    plot = timed("plan", lambda: pl.plan(drawing, MACHINE))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "plot.gcode"
        timed("write and prove", lambda: pl.gcode.write(plot, path))
        print(
            f"  {'together':<34} {time.perf_counter() - began:7.2f} s   "
            f"{path.stat().st_size / 1e6:.1f} MB"
        )
    print(plot)


def million() -> None:
    print("1,000,000 strokes of 10 points, in the order given: written and proven")
    small = pl.plan(pl.Drawing(strokes(4_000, 3, 1)), MACHINE, keep_order=True, join=None)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "plot.gcode"
        pl.gcode.write(small, path)  # loads the kernels
        drawing = pl.Drawing(strokes(1_000_000, 10, 2))
        plot = timed("plan", lambda: pl.plan(drawing, MACHINE, keep_order=True, join=None))
        timed("time it", lambda: plot.duration)
        began = time.process_time()
        timed("write and prove", lambda: pl.gcode.write(plot, path))
        print(f"  {'':<34} {time.process_time() - began:7.2f} s of the processor")


def start() -> None:
    def seconds(code: str) -> float:
        began = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True)
        return time.perf_counter() - began

    bare, numpy, ours = (
        min(seconds(code) for _ in range(7)) for code in ("pass", "import numpy", "import plotlib")
    )
    print(
        f"import plotlib: {ours - bare:.2f} s more than a bare Python, of which numpy "
        f"{numpy - bare:.2f} s (least of 7)"
    )


if __name__ == "__main__":
    if len(sys.argv) == 1:
        start()
    for part in (main_job, large, million):
        if len(sys.argv) == 1:  # each in a process of its own, so that the peaks are its own
            subprocess.run([sys.executable, __file__, part.__name__], check=True)
        elif sys.argv[1] == part.__name__:
            part()
