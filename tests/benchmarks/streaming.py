"""How near the sender comes to the rate of the link: a file of 50,000 lines over a simulated line
of 115,200 bits per second, in both ways, with a controller that is never the slower part.

Prints bytes lost, and the share of the link's line rate: the time that the bytes of the file take
on the wire (in the way line by line: the bytes of the lines and of their answers), by the simulated
time that was needed. Run it as ``python tests/benchmarks/streaming.py``.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

import plotlib as pl
from plotlib import streaming
from plotlib.streaming.simulated import Controller, VirtualPort

sys.path.insert(0, str(Path(__file__).parents[1]))
from streaming_bench import bench

BAUD = 115_200
LINES = 50_000


def job() -> pl.Plot:
    """One long curve in moves so short that the machine waits for its lines."""
    fast = pl.Axis(1e8)
    machine = bench(x=fast, y=fast, feed=1e7, baud=BAUD, look_ahead=64)
    turn = np.linspace(0, 400 * np.pi, LINES)
    radius = np.linspace(1, 35, LINES)
    points = np.column_stack([50 + radius * np.cos(turn), 40 + radius * np.sin(turn)])
    return pl.plan(pl.Drawing([points]), machine)


def main() -> None:
    plot = job()
    for keep_full in (False, True):
        controller = Controller(plot.machine)
        controller.machine = replace(plot.machine, corner_model="deviation")
        controller._seconds = lambda block: 0.0  # type: ignore[method-assign]
        port = VirtualPort(controller, baud=BAUD)
        begun = time.process_time()
        outcome = streaming.send(plot, port=port, log=None, keep_full=keep_full)
        spent = time.process_time() - begun
        counts = controller.counts
        answers = 0 if keep_full else counts.lines * len("taken\r\n")
        wire = (counts.received + answers) * 10 / BAUD
        opening = 0.5  # s: the greeting that never comes
        print(
            f"{'full buffer ' if keep_full else 'line by line'}: {counts.lines:,} lines, "
            f"{counts.received:,} bytes, {counts.dropped} lost, {wire / (port.time - opening):.1%} "
            f"of the link's line rate; {outcome.kind}; {spent:.1f} s of processor time"
        )


if __name__ == "__main__":
    main()
