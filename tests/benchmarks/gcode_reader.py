"""How long reading and proving take; prints, asserts nothing about the clock.

python tests/benchmarks/gcode_reader.py [strokes points]; the large job: 1000000 2
"""

from __future__ import annotations

import resource
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np

from plotlib.drawing import Drawing
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.reader import read
from plotlib.gcode.writer import text_of
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.planning.plan import plan


def timed(name: str, work: Callable[[], Any]) -> Any:
    wall = time.perf_counter()
    cpu = time.process_time()
    result = work()
    print(
        f"{name:<8} {time.perf_counter() - wall:6.2f} s by the clock, "
        f"{time.process_time() - cpu:6.2f} s of processor time"
    )
    return result


def main() -> None:
    given = [int(word) for word in sys.argv[1:3]]
    strokes, points = given or (100_000, 10)
    machine = Machine(
        width=225,
        height=250,
        x=Axis(10_000, 500),
        y=Axis(4_000, 250),
        feed=3_000,
        lift=ServoLift("M5", "M3 S90"),
    )
    rng = np.random.default_rng(1)
    drawn = np.clip(
        rng.uniform(20, 200, (strokes, 1, 2))
        + np.cumsum(rng.normal(0, 1, (strokes, points, 2)), axis=1),
        1,
        220,
    )
    drawing = Drawing(drawn)
    del drawn
    small = plan(drawing[:2], machine, keep_order=True)
    prove(text_of(small), small)  # compiled before the clock starts
    plot = timed("plan", lambda: plan(drawing, machine, keep_order=True))
    text = timed("write", lambda: text_of(plot))
    print(f"{len(text) / 1e6:.1f} MB, {text.count(chr(10)):,} lines; {peak()} so far")
    timed("prove", lambda: prove(text, plot))
    print(f"{peak()} at the most")
    if strokes <= 100_000:
        timed("read", lambda: read(text, machine))


def peak() -> str:
    return f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6:.2f} GB"


if __name__ == "__main__":
    main()
