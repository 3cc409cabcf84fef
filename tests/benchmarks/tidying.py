"""What tidying takes: processor seconds, printed.

python tests/benchmarks/tidying.py
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from plotlib.drawing import Drawing
from plotlib.tidying import joined, once

SEGMENTS = 1_000_000


def scattered(count: int) -> Drawing:
    """Half as many random segments of 0 to 1.7 mm in a square of 300 mm, each drawn twice."""
    random = np.random.default_rng(0)
    start = random.integers(0, 3_000, (count // 2, 2)) / 10
    end = start + random.integers(-12, 13, (count // 2, 2)) / 10
    segments = np.stack([start, end], axis=1)
    return Drawing(np.concatenate([segments, segments]))


def cells(count: int) -> Drawing:
    """Closed squares that share their borders."""
    side = int(np.sqrt(count / 4))
    corner = np.array([(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)])
    column, row = np.meshgrid(np.arange(side), np.arange(side))
    places = np.column_stack([column.ravel(), row.ravel()])
    return Drawing((places[:, None, :] + corner) * 0.6)


def walks(count: int) -> Drawing:
    """Long wavy strokes, each traced again a hundredth of a mm beside itself."""
    random = np.random.default_rng(1)
    steps = np.cumsum(np.cumsum(random.normal(0, 0.02, (count // 1_000, 500, 2)), axis=1), axis=1)
    places = steps + random.uniform(0, 300, (count // 1_000, 1, 2))
    return Drawing(np.concatenate([places, places + 0.007]))


def mixed(count: int) -> Drawing:
    """Long hatch lines over tiny segments."""
    hatch = Drawing([[(0, y / 10), (300, y / 10 + 5)] for y in range(3_000)])
    random = np.random.default_rng(2)
    tiny = np.cumsum(random.normal(0, 0.05, (count // 400, 400, 2)), axis=1)
    return hatch + Drawing(tiny + random.uniform(0, 300, (count // 400, 1, 2)))


def main() -> None:
    once(scattered(1_000))
    for make in (scattered, cells, walks, mixed):
        drawing = make(SEGMENTS)
        tidy, seconds = timed(lambda drawing=drawing: once(drawing))
        segments = len(drawing.points) - len(drawing)
        print(
            f"once, {make.__name__}: {segments:,} segments, {drawing.length:,.0f} mm -> "
            f"{len(tidy.points) - len(tidy):,}, {tidy.length:,.0f} mm: {seconds:.1f} s"
        )
    edges = once(cells(40_000))
    _, seconds = timed(lambda: joined(edges))
    print(f"joined, {len(edges):,} strokes: {seconds:.1f} s")


def timed(work: Callable[[], Drawing]) -> tuple[Drawing, float]:
    start = time.process_time()
    result = work()
    return result, time.process_time() - start


if __name__ == "__main__":
    main()
