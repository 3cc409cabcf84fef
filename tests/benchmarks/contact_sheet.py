"""Print how long a contact sheet of 24 designs of a second each takes, by one process and by one
for each core: ``python tests/benchmarks/contact_sheet.py``.

First a second of waiting, which tells what making the sheet adds however busy the computer is; then
a second of work, whose wall time tells of other work on the computer too.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import plotlib as pl
from plotlib.preview.variants import cores

SECONDS = 1.0
SEEDS = 24


def waiting(seed: int) -> pl.Drawing:
    """A star that waits."""
    time.sleep(SECONDS)
    return pl.shapes.star((0, 0), 20, tips=5 + seed % 7)


def working(seed: int) -> pl.Drawing:
    """A star that keeps a processor busy."""
    end = time.process_time() + SECONDS
    while time.process_time() < end:
        pass
    return pl.shapes.star((0, 0), 20, tips=5 + seed % 7)


def told(make: Callable[[int], pl.Drawing], workers: int) -> None:
    begin = time.perf_counter()
    sheet = pl.preview.contact_sheet(make, seeds=range(SEEDS), workers=workers)
    wall = time.perf_counter() - begin
    what = f"{SEEDS} seeds {make.__name__}, {workers} workers"
    print(f"{what}: {wall:6.2f} s wall, {len(sheet):,} strokes")


def main() -> None:
    for make in (waiting, working):
        for workers in sorted({1, cores()}, reverse=True):
            told(make, workers)


if __name__ == "__main__":
    main()
