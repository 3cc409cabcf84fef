"""Processor time of what grows and repeats: ``python tests/benchmarks/systems.py``.

Kernels are warmed first; every row stands in one run.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from shapely import Point, box

from plotlib import Drawing, growth, symmetry
from plotlib.growth.gray_scott_kernel import advance
from plotlib.growth.reaction_diffusion import dish_of

SHEET = box(0, 0, 420, 297)


def gray_scott(side: int, steps: int) -> None:
    ones = np.ones((side + 2, side + 2))
    advance(dish_of(ones, 0.1 * ones, 0.03 * ones, 0.057 * ones, inside=ones > 0), steps)


def curves(nodes: int) -> Drawing:
    """From one small circle until nine tenths of the sheet are full; a node is about 0.32 spacings
    long.
    """
    spacing = (0.9 * SHEET.area / 0.32 / nodes) ** 0.5
    length = 0.32 * spacing * nodes
    return growth.differential_growth(SHEET, spacing=spacing, length=length, progress=False)


def frost() -> Drawing:
    """In an area that is wide enough for all of it."""
    return growth.aggregate(Point(0, 0).buffer(1_100), spacing=1, count=100_000, progress=False)


def timed(what: str, work: Callable[[], object]) -> None:
    begin = time.process_time()
    made = work()
    seconds = time.process_time() - begin
    size = f"{len(made):,}" if isinstance(made, Drawing) else ""
    print(f"{what:<52} {seconds:8.2f} s  {size}")


def main() -> None:
    gray_scott(8, 2)
    growth.maze(box(0, 0, 9, 9), spacing=3)
    growth.differential_growth(box(0, 0, 9, 9), spacing=3, length=30)
    growth.veins(box(0, 0, 20, 20), spacing=3)
    growth.veins(box(0, 0, 20, 20), spacing=3, closed=True)
    growth.aggregate(box(0, 0, 20, 20), spacing=1, count=9)
    motif = Drawing([[(1, 1), (3, 4), (5, 3)], [(2, 2), (4, 1)]])
    timed("Gray-Scott, 512 x 512 cells, 10,000 steps", lambda: gray_scott(512, 10_000))
    for nodes in (25_000, 50_000, 100_000):
        timed(f"differential growth, {nodes:,} nodes", lambda nodes=nodes: curves(nodes))
    timed("veins, open", lambda: growth.veins(SHEET, spacing=2.5))
    timed("veins, closed", lambda: growth.veins(SHEET, spacing=2.5, closed=True))
    timed("aggregate of 100,000 particles", frost)
    timed("maze of 100,000 cells", lambda: growth.maze(SHEET, spacing=1.117))
    for name in ("p2", "p4gm", "p6mm"):
        timed(f"wallpaper {name}", lambda name=name: symmetry.wallpaper(motif, name, SHEET, cell=8))


if __name__ == "__main__":
    main()
