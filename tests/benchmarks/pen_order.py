"""The order of the pen: nearest neighbour, ours, the proven bound, and a general
travelling-salesman solver at equal wall time.

    python tests/benchmarks/pen_order.py [--instances FOLDER] [--boards] [--large]
                                         [--effort normal]

Instances are made by seed. The constants of the search and of the bound were tuned on instances of
the seeds 0 to 13 and on the published boards pcb3038, rl5915, pr1002 and d18512 themselves; the
rows here use other seeds, three of them up to 10,000 strokes, and give the means and the largest
gap. Seconds are processor seconds of the order alone, all threads together, kernels warm, unless
said. ``--instances`` and ``--boards`` print the rows of ``dots_order.py`` first.
"""

from __future__ import annotations

import argparse
import resource
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from dots_order import DISTANCE, UNIT, boards, published, timed

from plotlib.planning.bounding.bound import lower_bound
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.join import join
from plotlib.planning.ordering.order import Order, Runs, naive_order, order

SEEDS = 21, 22, 23
SEED = SEEDS[0]
ANNEALED = 100_000  # steps of the annealing for each run
# a bed with unequal axes: 10,000 and 4,000 mm/min, 500 and 250 mm/s²
TIME = Metric(1.0, UNIT * 60 / 10_000, UNIT * 60 / 4_000, UNIT / 500, UNIT / 250)
BED = np.array([225_000, 250_000])
Strokes = tuple[np.ndarray, np.ndarray]


def ragged(strokes: np.ndarray) -> Strokes:
    count, length, _ = strokes.shape
    return np.rint(strokes).astype(np.int64).reshape(-1, 2), np.arange(
        0, count * length + 1, length
    )


def dots(count: int, seed: int) -> Strokes:
    return ragged(np.random.default_rng(seed).uniform(0, BED, (count, 1, 2)))


def clustered(count: int, seed: int) -> Strokes:
    rng = np.random.default_rng(seed)
    centres = rng.uniform(30_000, BED - 30_000, (max(count // 100, 1), 2))
    return ragged(
        np.clip(
            centres[rng.integers(0, len(centres), count)] + rng.normal(0, 3_000, (count, 2)), 0, BED
        )[:, None]
    )


def lines(count: int, seed: int, *, longest: float = 5_000) -> Strokes:
    rng = np.random.default_rng(seed)
    turn = rng.uniform(0, 2 * np.pi, count)
    length = rng.uniform(500, longest, count)
    start = rng.uniform(0, BED, (count, 2))
    return ragged(
        np.stack(
            [start, start + length[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1)],
            axis=1,
        )
    )


def hatch(count: int, seed: int) -> Strokes:
    """Rows over a few hundred patches, as fills of a map give them."""
    rng = np.random.default_rng(seed)
    patches = max(count // 40, 1)
    corner = rng.uniform(0, BED - 12_000, (patches, 2))
    size = rng.uniform(3_000, 12_000, (patches, 2))
    k = np.arange(count)
    y = corner[k % patches, 1] + (k // patches) * size[k % patches, 1] / 40
    x0 = corner[k % patches, 0]
    x1 = corner[k % patches, 0] + size[k % patches, 0]
    return ragged(np.stack([np.stack([x0, y], axis=1), np.stack([x1, y], axis=1)], axis=1))


def outlines(count: int, seed: int) -> Strokes:
    rng = np.random.default_rng(seed)
    turn = np.linspace(0, 2 * np.pi, 25)
    ring = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    ring[-1] = ring[0]
    return ragged(rng.uniform(2_000, BED - 2_000, (count, 1, 2)) + 1_000 * ring)


KINDS = {
    "dots": dots,
    "clustered dots": clustered,
    "lines 0.5-5 mm": lines,
    "hatches": hatch,
    "outlines": outlines,
}


def streaks(count: int, seed: int) -> Strokes:
    return lines(count, seed, longest=60_000)


def mixed(count: int, seed: int) -> Strokes:
    """Dots, lines and closed outlines, a third each."""
    third = count // 3
    parts = dots(count - 2 * third, seed), lines(third, seed), outlines(third, seed)
    sizes = np.concatenate([np.diff(offsets) for _, offsets in parts])
    return np.concatenate([points for points, _ in parts]), np.concatenate([[0], np.cumsum(sizes)])


def network(count: int, seed: int) -> Strokes:
    """Three fifths of the sides of a grid of streets, joined into runs: many fewer than
    ``count``.
    """
    cells = int(np.ceil(np.sqrt(count / 1.2)))
    i, j = np.meshgrid(np.arange(cells), np.arange(cells))
    across = np.stack([i, j, i + 1, j], axis=-1).reshape(-1, 4)
    sides = np.random.default_rng(seed).permutation(
        np.concatenate([across, across[:, [1, 0, 3, 2]]])
    )[:count]
    joined = join(
        (sides.reshape(-1, 2) * (BED // (cells + 1))).astype(np.int64),
        np.arange(0, 2 * len(sides) + 1, 2),
    )
    return joined.points, joined.offsets


KINDS |= {"long lines": streaks, "mixed": mixed, "networks": network}


HEAD = (
    f"\n{'kind':15s} {'strokes':>8s} unit {'effort':>6s} {'nearest':>12s} {'ours':>12s} "
    f"{'bound':>12s}"
    f" {'gap %':>6s} {'most':>5s} {'less %':>6s} {'s':>6s} {'GB':>4s}"
)


def rows(
    kinds: dict, sizes: list[int], effort: str | float, metrics=((DISTANCE, "mm"), (TIME, "s"))
) -> Iterator[str]:
    """A row for each size, kind and metric: means over the seeds, and the largest gap."""
    for size in sizes:
        seeds = SEEDS if size <= 10_000 else SEEDS[:2]
        for kind, make in kinds.items():
            for metric, unit in metrics:
                every = np.array(
                    [figures(Runs(*make(size, seed)), metric, effort) for seed in seeds]
                )
                naive, ours, bound, seconds = every.mean(axis=0)
                gaps = 100 * (every[:, 1] / every[:, 2] - 1)
                saved = 100 * (1 - ours / naive)
                costs = f"{naive:12,.0f} {ours:12,.0f} {bound:12,.0f}"
                costs += f" {gaps.mean():6.2f} {gaps.max():5.2f} {saved:6.1f}"
                what = f"{kind:15s} {size:8,d} {unit:4s} {effort!s:>6s}"
                yield f"{what} {costs} {seconds:6.1f} {peak():4.1f}"


def figures(runs: Runs, metric: Metric, effort: str | float) -> tuple[float, float, float, float]:
    """Cost of the nearest-neighbour order, of ours, the bound, and the processor seconds of
    ours.
    """
    naive = naive_order(runs, metric, home=(0, 0), finish=(0, 0)).cost
    found, seconds = timed(
        lambda: order(runs, metric, home=(0, 0), finish=(0, 0), effort=effort), time.process_time
    )
    return (
        naive,
        found.cost,
        lower_bound(runs.points, runs.offsets, metric, home=(0, 0), finish=(0, 0)),
        seconds,
    )


def metrics(sizes: list[int]) -> None:
    print(
        "\ntime metric against distance metric on a bed with unequal axes, seconds of pen-up "
        "moves, lines 0.5-5 mm"
    )
    for size in sizes:
        runs = Runs(*lines(size, SEED))
        short, quick = (
            order(runs, metric, home=(0, 0), finish=(0, 0)) for metric in (DISTANCE, TIME)
        )
        spent = cost_in_time(runs, short)
        print(
            f"{size:8,d}  by distance {spent:9.1f} s   by time {quick.cost:9.1f} s   saving "
            f"{100 * (1 - quick.cost / spent):.1f} %"
        )


def cost_in_time(runs: Runs, found: Order) -> float:
    from plotlib.planning.ordering.order import order_cost

    return order_cost(
        runs, found.sequence, found.reverse, found.start, TIME, home=(0, 0), finish=(0, 0)
    )


def closed(effort: str | float) -> None:
    """Ours against the annealing that judges the tests, on drawings of closed runs alone."""
    import sys

    sys.path.insert(0, str(Path(__file__).parents[1]))
    from oracles_order import annealed

    print("\nclosed runs, mm: ours (processor s), a plain annealing (processor s), ours over it")
    for kind, (points, offsets) in {
        "squares in a grid": squares(20),
        "overlapping stars": stars(300, SEED),
        "outlines": outlines(300, SEED),
    }.items():
        runs = Runs(points, offsets)
        found, seconds = timed(
            lambda runs=runs: order(runs, DISTANCE, home=(0, 0), finish=(0, 0), effort=effort),
            time.process_time,
        )
        other, longer = timed(
            lambda points=points, offsets=offsets: (
                UNIT * annealed(points, offsets, (0, 0), steps=ANNEALED)
            ),
            time.process_time,
        )
        gap = 100 * (found.cost / other - 1)
        print(
            f"{kind:18s} {len(runs):4d} {found.cost:9.1f} ({seconds:.1f}) {other:9.1f} "
            f"({longer:.1f}) {gap:6.2f} %",
            flush=True,
        )


def squares(side: int) -> Strokes:
    """Squares of 8 mm, 2 mm apart."""
    square = 8_000 * np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]])
    corner = 10_000 * np.stack(np.meshgrid(np.arange(side), np.arange(side)), axis=-1)
    return ragged(corner.reshape(-1, 1, 2) + square)


def stars(count: int, seed: int) -> Strokes:
    """Stars of five points, up to 24 mm wide."""
    rng = np.random.default_rng(seed)
    turn = np.arange(11) % 10 * np.pi / 5 + rng.uniform(0, 2 * np.pi, (count, 1))
    reach = np.where(np.arange(11) % 2, 0.4, 1.0) * rng.uniform(4_000, 12_000, (count, 1))
    around = reach[..., None] * np.stack([np.cos(turn), np.sin(turn)], axis=-1)
    around[:, -1] = around[:, 0]
    return ragged(rng.uniform(15_000, 200_000, (count, 1, 2)) + around)


def peak() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6


def warm() -> None:
    for make in (dots, lines, outlines):
        for metric in (DISTANCE, TIME):
            runs = Runs(*make(12_500, 1))
            order(runs, metric, home=(0, 0), finish=(0, 0), effort=0.02)
            lower_bound(*make(300, 1), metric, home=(0, 0), finish=(0, 0))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--instances", type=Path)
    parser.add_argument("--boards", action="store_true", help="drill holes, some minutes")
    parser.add_argument("--large", action="store_true", help="100,000 and 1,000,000 strokes too")
    parser.add_argument("--effort", default="normal")
    given = parser.parse_args()
    effort = given.effort if given.effort.isalpha() else float(given.effort)
    warm()
    if given.instances:
        published(given.instances, effort)
    if given.boards:
        boards(effort)
    closed(effort)
    print(HEAD)
    for row in rows(KINDS, [100, 1_000, 10_000], effort):
        print(row, flush=True)
    metrics([1_000, 10_000])
    if given.large:
        print(HEAD)
        for row in rows({"lines 0.5-5 mm": lines}, [100_000], 0.25, [(DISTANCE, "mm")]):
            print(row, flush=True)
        for row in rows(KINDS, [100_000], effort):
            print(row, flush=True)
        runs = Runs(*lines(1_000_000, SEED))
        naive = naive_order(runs, DISTANCE, home=(0, 0), finish=(0, 0)).cost
        found, seconds = timed(
            lambda: order(runs, DISTANCE, home=(0, 0), finish=(0, 0), effort=effort)
        )
        saved = 100 * (1 - found.cost / naive)
        gain = f"nearest {naive:,.0f} mm, ours {found.cost:,.0f} mm, {saved:.1f} % less"
        print(f"1,000,000 lines 0.5-5 mm on two cores: {gain}, {seconds:.0f} s, {peak():.1f} GB")


if __name__ == "__main__":
    main()
