"""The lower bound: seconds, and how far below the optimum of published instances or below good
tours.

``python tests/benchmarks/bound.py [--instances FOLDER] [--large]``, or with ``--closed`` the closed
runs only. FOLDER holds files of the TSPLIB95 format; published optima count whole-number distances,
so the same rounding of the links would move them by less than 0.1 % (0.5 % where links are as short
as in eil and a280). Processor seconds, kernels warm.
"""

from __future__ import annotations

import argparse
import time
from pathlib import Path

import numpy as np

from plotlib.planning.bounding.bound import lower_bound
from plotlib.planning.metric import Metric, distance_metric

MILLIMETRES = distance_metric(0.001)
SECONDS = Metric(1.0, 60 / 10_000_000, 60 / 4_000_000, 1 / 500_000, 1 / 250_000)
# G. Reinelt, ORSA Journal on Computing 3 (1991), and the later lists of the same library.
OPTIMA = {
    "berlin52": 7542,
    "kroA100": 21282,
    "a280": 2579,
    "pcb442": 50778,
    "pr1002": 259045,
    "pcb3038": 137694,
    "rl5915": 565530,
    "d18512": 645238,
}


def timed(
    points: np.ndarray,
    offsets: np.ndarray,
    metric: Metric,
    home: tuple[int, int] | None,
    *,
    back: bool,
) -> tuple[float, float]:
    began = time.process_time()
    bound = lower_bound(points, offsets, metric, home=home, finish=home if back else None)
    return bound, time.process_time() - began


def published(folder: Path) -> None:
    print(f"{'instance':>12} {'bound':>12} {'optimum':>9} {'below':>8} {'seconds':>8}")
    for name, optimum in OPTIMA.items():
        lines = (
            (folder / f"{name}.tsp")
            .read_text()
            .split("NODE_COORD_SECTION")[1]
            .split("EOF")[0]
            .split("\n")
        )
        dots = np.round(
            1000 * np.array([line.split()[1:] for line in lines if line.strip()], dtype=float)
        ).astype(np.int64)
        home = (int(dots[0, 0]), int(dots[0, 1]))
        bound, seconds = timed(dots[1:], np.arange(len(dots)), MILLIMETRES, home, back=True)
        print(
            f"{name:>12} {bound:12.2f} {optimum:9d} {100 * (1 - bound / optimum):6.3f} % "
            f"{seconds:8.2f}"
        )


def uniform(count: int, seeds: int = 3) -> None:
    """Dots against the tours of a general solver, which are at or above the optimum."""
    import fast_tsp

    below = []
    for seed in range(seeds):
        dots = np.random.default_rng(seed).integers(0, 40_000, (count, 2))
        between = np.hypot(*(dots[:, None] - dots[None]).transpose(2, 0, 1))
        tour = fast_tsp.find_tour(np.round(between).astype(int), duration_seconds=3.0)
        home = (int(dots[0, 0]), int(dots[0, 1]))
        bound, seconds = timed(dots[1:], np.arange(count), MILLIMETRES, home, back=True)
        below.append(1 - bound / (0.001 * between[tour, np.roll(tour, -1)].sum()))
    print(
        f"{count:6d} uniform dots: {100 * np.mean(below):.3f} % below tours of 3 s ({seconds:.2f} "
        f"s)"
    )


def strokes(count: int, longest: int, seed: int = 0) -> tuple[np.ndarray, np.ndarray]:
    """Random strokes of 0.5 mm to ``longest`` micrometres on 225 x 250 mm."""
    rng = np.random.default_rng(seed)
    start = rng.uniform(0, 1, (count, 2)) * (225_000, 250_000)
    angle = rng.uniform(0, 2 * np.pi, count)
    length = rng.uniform(500, longest, count)
    stop = start + length[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    return np.round(np.stack([start, stop], axis=1)).astype(np.int64).reshape(-1, 2), np.arange(
        0, 2 * count + 1, 2
    )


def outlines(count: int, radius: int, seed: int = 0) -> tuple[np.ndarray, np.ndarray]:
    """Regular 24-gons."""
    rng = np.random.default_rng(seed)
    angle = 2 * np.pi * (np.arange(25) % 24) / 24
    centre = rng.uniform(0, 1, (count, 1, 2)) * (225_000, 250_000)
    points = centre + radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    return np.round(points).astype(np.int64).reshape(-1, 2), np.arange(0, 25 * count + 1, 25)


def sizes(large: bool) -> None:
    print(f"{'runs':>24} {'count':>8} {'metric':>7} {'bound':>12} {'seconds':>8}")
    cases = [
        ("strokes of 0.5 to 5 mm", strokes(count, 5_000)) for count in (100, 1_000, 10_000, 100_000)
    ]
    cases += [
        ("strokes of 0.5 to 40 mm", strokes(3_000, 40_000)),
        ("24-gons of radius 1 mm", outlines(1_000, 1_000)),
    ]
    cases += [("strokes of 0.5 to 5 mm", strokes(1_000_000, 5_000))] if large else []
    for name, (points, offsets) in cases:
        for metric in (MILLIMETRES, SECONDS):
            bound, seconds = timed(points, offsets, metric, (0, 0), back=False)
            print(
                f"{name:>24} {len(offsets) - 1:8d} {'s' if metric.timed else 'mm':>7} "
                f"{bound:12.2f} "
                f"{seconds:8.2f}",
                flush=True,
            )


def isolines() -> tuple[np.ndarray, np.ndarray]:
    """Level lines of noise on 120 x 90 mm; about half of them are closed."""
    from plotlib import fields, shapes

    hills = fields.perlin(scale=15, seed=4)
    sheet = shapes.rectangle((0, 0), 120, 90)
    drawing = fields.isolines(hills, sheet, levels=np.arange(-0.8, 0.8, 0.04))
    return np.round(1000 * drawing.points).astype(np.int64), drawing.offsets


def closed() -> None:
    """How far our orders of closed runs may be above the optimum, without and with subtour sets."""
    from plotlib.planning.bounding import sets
    from plotlib.planning.ordering.order import order
    from plotlib.planning.ordering.runs import Runs
    from tests.benchmarks.pen_order import SEED, squares, stars

    subtours = sets._subtours
    cases = {
        "squares in a grid": squares(20),
        "overlapping stars": stars(300, SEED),
        "24-gons": outlines(300, 1_000),
        "isolines": isolines(),
    }
    print(f"{'closed runs':>18} {'metric':>6} {'cost':>9}   gap without subtour sets, with")
    for name, (points, offsets) in cases.items():
        for metric in (MILLIMETRES, SECONDS):
            cost = order(Runs(points, offsets), metric, home=(0, 0), finish=(0, 0)).cost
            sets._subtours = lambda *_: sets.no_sets()
            before, _ = timed(points, offsets, metric, (0, 0), back=True)
            sets._subtours = subtours
            after, seconds = timed(points, offsets, metric, (0, 0), back=True)
            print(
                f"{name:>18} {'s' if metric.timed else 'mm':>6} {cost:9.1f}   "
                f"{cost / before - 1:.1%} {cost / after - 1:.1%} ({seconds:.1f} s)",
                flush=True,
            )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--instances", type=Path)
    parser.add_argument("--large", action="store_true", help="a million strokes too")
    parser.add_argument("--closed", action="store_true", help="closed runs only")
    options = parser.parse_args()
    timed(*strokes(50, 5_000), MILLIMETRES, (0, 0), back=True)
    if options.closed:
        closed()
        return
    if options.instances:
        published(options.instances)
    for count in (1_000, 3_000):
        uniform(count)
    sizes(options.large)
    closed()


if __name__ == "__main__":
    main()
