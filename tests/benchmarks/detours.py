"""Pen-up ways around keep-outs with passable=False: process seconds against their number and
corners.

Run: python tests/benchmarks/detours.py
"""

from __future__ import annotations

import math
import time
from dataclasses import replace

import numpy as np
import shapely

from plotlib.drawing import Drawing
from plotlib.machine import Axis, KeepOut, Machine, ServoLift
from plotlib.planning.placing.detour import around
from plotlib.planning.plan import plan

CELL = 40.0  # mm from keep-out to keep-out
STROKES = 12  # for each keep-out


def bed_with(count: int, corners: int) -> tuple[Drawing, Machine]:
    """Round keep-outs on a square lattice, and short strokes between them."""
    side = math.isqrt(count)
    size = side * CELL
    middles = (np.stack(np.meshgrid(np.arange(side), np.arange(side)), -1) + 0.5) * CELL
    closed = [
        shapely.Point(*middle).buffer(CELL * 0.3, quad_segs=corners // 4)
        for middle in middles.reshape(-1, 2).tolist()
    ]
    machine = Machine(
        width=size,
        height=size,
        x=Axis(10_000, 500),
        y=Axis(10_000, 500),
        lift=ServoLift("M5", "M3 S90"),
        feed=3_000,
        keep_outs=[KeepOut(area, passable=False) for area in closed],
    )
    rng = np.random.default_rng(1)
    starts = rng.uniform(2, size - 2, (STROKES * count, 1, 2))
    strokes = np.clip(starts + rng.uniform(-5, 5, (len(starts), 2, 2)), 0, size)
    rim = shapely.union_all(closed).buffer(1)
    return Drawing(list(strokes)).erased(rim), machine


def report(counts: list[tuple[int, int]], *, across: bool = False) -> None:
    """With ``across`` the pen-up moves lead from anywhere to anywhere."""
    last = (0, 0.0)
    for count, corners in counts:
        drawing, machine = bed_with(count, corners)
        plot = plan(drawing, _open(machine), effort="quick", keep_order=across)
        start = time.process_time()
        ways = len(around(plot.legs, machine).stroke) - len(plot.legs.stroke)
        took = time.process_time() - start
        size = count * corners
        grows = math.log(took / last[1]) / math.log(size / last[0]) if last[1] > 0 else math.nan
        print(
            f"{count:>6} keep-outs of {corners:>5} corners {ways:>7} way points {took:>8.2f} s"
            f"   exponent {grows:.2f}"
        )
        last = (size, took)


def _open(machine: Machine) -> Machine:
    return replace(machine, keep_outs=[KeepOut(item.area) for item in machine.keep_outs])


if __name__ == "__main__":
    drawing, machine = bed_with(1, 16)
    plan(drawing, machine, effort="quick")  # kernels are ready
    print("more keep-outs")
    report([(4, 64), (16, 64), (49, 64), (100, 64), (400, 64)])
    print("moves across the whole bed")
    report([(4, 64), (16, 64), (49, 64), (100, 64)], across=True)
    print("more corners")
    report([(16, 16), (16, 64), (16, 256), (16, 1_024)])
