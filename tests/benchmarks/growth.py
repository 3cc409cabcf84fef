"""How the time of a call grows with its input: seconds of the process at growing sizes, and the
exponent of the power law fitted to them (1 is linear). Run from the checkout:

    python tests/benchmarks/growth.py            # all cases
    python tests/benchmarks/growth.py stack sum  # those whose names hold one of the words

A case is one line of `CASES`: what makes the input of a size, what is timed, and the sizes.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
import shapely

import plotlib as pl
from plotlib import Drawing, fields, fills, regions, shapes


class Case(NamedTuple):
    """``make(n)`` gives the input, ``call(input)`` is timed."""

    make: Callable[[int], Any]
    call: Callable[[Any], Any]
    sizes: tuple[int, ...]


def places(count: int, spacing: float) -> np.ndarray:
    """Points (count, 2) of a square lattice."""
    side = int(np.ceil(np.sqrt(count)))
    return np.column_stack((np.arange(count) % side, np.arange(count) // side)) * spacing


def squares(count: int) -> shapely.MultiPolygon:
    """Squares of 3 mm, 1 mm apart."""
    return shapely.MultiPolygon([shapely.box(x, y, x + 3, y + 3) for x, y in places(count, 4.0)])


def discs(count: int) -> Any:
    """Discs of 3 mm, 1 mm apart."""
    return regions.as_region(shapes.circles(places(count, 4.0), 1.5))


def angles(count: int) -> shapely.MultiPolygon:
    """Squares of 3 mm, 1 mm apart, each without a corner."""
    square = shapely.box(0, 0, 3, 3).difference(shapely.box(1.5, 1.5, 3, 3))
    corners = shapely.get_coordinates(square)
    return shapely.MultiPolygon([shapely.Polygon(corners + at) for at in places(count, 4.0)])


def scattered(count: int, *, radius: float, side: float) -> list[Drawing]:
    """Circles with random centres in a square."""
    random = np.random.default_rng(1)
    return [shapes.circle(random.uniform(0, side, 2), radius) for _ in range(count)]


def zigzag(count: int) -> Drawing:
    along = np.arange(count)
    return Drawing([np.column_stack((along * 0.5, along % 2 * 3.0))])


def joined_hatch(count: int) -> Drawing:
    along = np.arange(count)
    return Drawing([np.column_stack(((along + 1) // 2 % 2 * 100.0, along // 2 * 0.5))])


def sheet(count: int) -> shapely.Polygon:
    """A square of 8 mm² for each."""
    side = (8.0 * count) ** 0.5
    return shapely.box(0, 0, side, side)


def spots(count: int) -> tuple[np.ndarray, shapely.Polygon]:
    """Random points on the sheet for so many."""
    area = sheet(count)
    return np.random.default_rng(0).uniform(0, area.bounds[2], (count, 2)), area


def star(count: int) -> Drawing:
    """A star with two thirds of so many cm² of area."""
    return shapes.star((0, 0), 6.8977 * count**0.5, tips=7)


def clamps(count: int) -> tuple[Drawing, pl.Machine]:
    """Round keep-outs, 40 mm apart, that the carriage may not pass over, and twelve short strokes
    between them for each.
    """
    middles = places(count, 40.0) + 20.0
    size = float(middles.max()) + 20.0
    round_ones = [shapely.Point(*middle).buffer(12, quad_segs=8) for middle in middles.tolist()]
    axis = pl.Axis(10_000, 500)
    machine = pl.Machine(
        width=size,
        height=size,
        x=axis,
        y=axis,
        lift=pl.ServoLift("M5", "M3 S90"),
        feed=3_000,
        keep_outs=[pl.KeepOut(area, passable=False) for area in round_ones],
    )
    starts = np.random.default_rng(2).uniform(6, size - 6, (12 * count, 1, 2))
    strokes = Drawing(np.concatenate([starts, starts + 2.0], axis=1))
    near = regions.outset(shapely.MultiPolygon(round_ones), 2)
    return strokes.erased(near), machine


CASES: dict[str, Case] = {
    "keep-outs not to be passed over": Case(
        clamps, lambda given: pl.plan(*given, effort="quick").travel, (16, 25, 49, 100)
    ),
    "solid, squares of 4 mm": Case(
        lambda n: shapely.MultiPolygon(
            [shapely.box(x, y, x + 4, y + 4) for x, y in places(n, 5.0)]
        ),
        lambda area: fills.solid(area, pen=pl.Pen("black", width=0.5)),
        (256, 512, 1_024),
    ),
    "solid, a star of cm²": Case(
        star, lambda area: fills.solid(area, pen=pl.Pen("black", width=0.5)), (500, 1_000, 2_000)
    ),
    "dots at random": Case(
        lambda n: shapely.box(0, 0, 10.0 * n**0.5, 10.0 * n**0.5),
        lambda area: fills.dots(area, spacing=2.0, layout="random"),
        (5_000, 10_000, 20_000),
    ),
    "simplified, a zigzag": Case(
        zigzag, lambda one: one.simplified(0.1), (60_000, 120_000, 240_000)
    ),
    "simplified, a joined hatch": Case(
        joined_hatch, lambda one: one.simplified(0.1), (60_000, 120_000, 240_000)
    ),
    "sum of drawings": Case(
        lambda n: scattered(n, radius=1.0, side=200.0),
        lambda many: len(sum(many).points),
        (2_000, 4_000, 8_000, 16_000),
    ),
    "Drawing of drawings": Case(
        lambda n: scattered(n, radius=1.0, side=200.0), Drawing, (2_000, 4_000, 8_000, 16_000)
    ),
    "outset, squares apart": Case(
        squares, lambda area: regions.outset(area, 0.4), (2_500, 5_000, 10_000)
    ),
    "outset, discs that touch": Case(
        discs, lambda area: regions.outset(area, 0.5), (2_500, 5_000, 10_000)
    ),
    "outset, discs that overlap": Case(
        discs, lambda area: regions.outset(area, 0.6), (2_500, 5_000, 10_000)
    ),
    "inset, discs": Case(discs, lambda area: regions.inset(area, 0.5), (2_500, 5_000, 10_000)),
    "rounded, squares": Case(
        squares, lambda area: regions.rounded(area, 0.4), (2_500, 5_000, 10_000)
    ),
    "rounded, discs": Case(discs, lambda area: regions.rounded(area, 0.4), (2_500, 5_000, 10_000)),
    "rounded, angles": Case(
        angles, lambda area: regions.rounded(area, 0.4), (2_500, 5_000, 10_000)
    ),
    "swept, circles": Case(
        lambda n: Drawing(scattered(n, radius=5.0, side=10.0 * n**0.5)),
        regions.swept,
        (500, 1_000, 2_000),
    ),
    "silhouette, circles": Case(
        lambda n: Drawing(scattered(n, radius=5.0, side=10.0 * n**0.5)),
        regions.silhouette,
        (1_000, 2_000, 4_000),
    ),
    "stack, a larger sheet for more": Case(
        lambda n: scattered(n, radius=5.0, side=10.0 * n**0.5), regions.stack, (500, 1_000, 2_000)
    ),
    "stack, a deeper pile": Case(
        lambda n: scattered(n, radius=20.0, side=200.0), regions.stack, (500, 1_000, 2_000)
    ),
    "circle packing, a larger sheet for more": Case(
        lambda n: (n, sheet(n)),
        lambda given: fields.circle_packing(
            given[1], smallest=0.3, largest=6, candidates=16 * given[0]
        ),
        (2_500, 5_000, 10_000, 20_000),
    ),
    "circle packing, more candidates": Case(
        lambda n: n,
        lambda n: fields.circle_packing(sheet(10_000), smallest=0.01, largest=100, candidates=n),
        (80_000, 160_000, 320_000),
    ),
    "poisson disk": Case(
        sheet, lambda area: fields.poisson_disk(area, spacing=1.0), (5_000, 10_000, 20_000)
    ),
    "lloyd, one round": Case(
        spots, lambda given: fields.lloyd(*given, rounds=1), (5_000, 10_000, 20_000)
    ),
    "voronoi": Case(spots, lambda given: fields.voronoi(*given), (5_000, 10_000, 20_000)),
}


def seconds(call: Callable[[Any], Any], given: Any) -> float:
    begin = time.process_time()
    call(given)
    return time.process_time() - begin


def row(name: str, case: Case) -> str:
    case.call(case.make(case.sizes[0]))  # loads and compiles what is used
    times = [seconds(case.call, case.make(size)) for size in case.sizes]
    exponent = np.polyfit(np.log(case.sizes), np.log(np.maximum(times, 1e-6)), 1)[0]
    columns = "  ".join(
        f"{size:>9,}: {time:7.3f} s" for size, time in zip(case.sizes, times, strict=True)
    )
    return f"{name:<32} n^{exponent:4.2f}  {columns}"


def main(words: list[str]) -> None:
    for name, case in CASES.items():
        if not words or any(word in name for word in words):
            print(row(name, case), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
