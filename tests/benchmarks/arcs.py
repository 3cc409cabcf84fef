"""What arcs save: bytes, lines and processor seconds of one drawing of circles, with and without.

python tests/benchmarks/arcs.py
"""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np

from plotlib.drawing import Drawing
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.writer import text_of
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.planning.plan import plan
from plotlib.shapes import circle

COUNT = 10_000


def circles(count: int) -> Drawing:
    """Circles of 0.5 to 2 mm all over a bed of 400 mm."""
    random = np.random.default_rng(0)
    centres = random.uniform(3, 397, (count, 2))
    radii = random.uniform(0.5, 2.0, count)
    return Drawing([circle(at, size) for at, size in zip(centres, radii, strict=True)])


def main() -> None:
    axis = Axis(9_000, 600)
    lift = ServoLift("M5", "M3 S90", settle_up=0, settle_down=0)
    lines = Machine(width=400, height=400, x=axis, y=axis, lift=lift, feed=3_000)
    drawing = circles(COUNT)
    for machine in (lines, replace(lines, arcs=True)):
        start = time.process_time()
        plot = plan(drawing, machine, effort="quick")
        planned = time.process_time()
        text = text_of(plot)
        prove(text, plot)
        done = time.process_time()
        print(
            f"arcs={machine.arcs}: {len(plot.arcs):,} arcs, {len(text):,} bytes, "
            f"{text.count(chr(10)):,} lines; planned in {planned - start:.1f} s, written and "
            f"proven in {done - planned:.1f} s; drawn in {plot.duration:,.0f} s"
        )


if __name__ == "__main__":
    main()
