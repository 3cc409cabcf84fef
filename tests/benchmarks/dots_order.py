"""Orders of dots beside a general compiled travelling-salesman solver at equal time: published
instances, and boards of drill holes that are made by seed. ``pen_order.py`` prints both.

A folder of published instances (TSPLIB95, two-dimensional, distances rounded to whole numbers) is
read, whatever of them it has, and the gap of the closed tour to the published optimum is printed;
optima: G. Reinelt, ORSA J. Computing 3 (1991), those of fl1400, d1655, u2152, pr2392, fl3795 and
rl5934 from memory. Boards have no published optimum: the gap is to the best tour that any of the
runs in the row has found, one of ours with four times the kicks among them.
"""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np
from drilled import BOARDS

from plotlib.planning.metric import distance_metric
from plotlib.planning.ordering.order import Runs, order

OPTIMA = {
    "berlin52": 7542,
    "kroA100": 21282,
    "a280": 2579,
    "pcb442": 50778,
    "pr1002": 259045,
    "fl1400": 20127,
    "d1655": 62128,
    "u2152": 64253,
    "pr2392": 378032,
    "pcb3038": 137694,
    "fl3795": 28772,
    "rl5915": 565530,
    "rl5934": 556045,
    "d18512": 645238,
}  # fmt: skip
SHUFFLED = 7  # seed: a file may list its nodes in the order of an optimal tour
UNIT = 0.001  # mm
DISTANCE = distance_metric(UNIT)
BOARD_SIZES = 1_000, 1_400, 2_150, 3_800
BOARD_SEED = 31


def general(xy: np.ndarray, seconds: float) -> tuple[np.ndarray, float]:
    """A tour of dots by the general compiled solver in so many seconds, and the seconds of its
    distance matrix, which come on top.
    """
    import fast_tsp
    from scipy.spatial.distance import cdist

    matrix, made = timed(lambda: np.rint(cdist(xy, xy)).astype(np.int32))
    return np.array(fast_tsp.find_tour(matrix, max(seconds, 0.05))), made


def timed(work, clock=time.perf_counter):
    began = clock()
    result = work()
    return result, clock() - began


def published(folder: Path, effort: str | float) -> None:
    """A row for each instance that the folder has, its nodes shuffled."""
    print(
        f"\npublished instances, nodes shuffled, closed tours, percent over the optimum "
        f"(whole-number distances); effort {effort}\n"
        f"{'instance':10s} {'ours':>7s} {'s':>6s}   general solver at the same wall time, its "
        f"matrix (s) counted apart"
    )
    gaps = []
    for name, optimum in OPTIMA.items():
        path = folder / f"{name}.tsp"
        if not path.exists():
            continue
        xy = np.random.default_rng(SHUFFLED).permutation(read(path))
        tour, seconds = timed(lambda xy=xy: toured(xy, effort))
        ours = 100 * (rounded(xy, tour) / optimum - 1)
        other, made = general(xy, seconds)
        theirs = 100 * (rounded(xy, other) / optimum - 1)
        gaps.append((ours, theirs))
        print(f"{name:10s} {ours:7.3f} {seconds:6.1f}   {theirs:7.3f}  + {made:.1f}", flush=True)
    if gaps:
        mean = np.mean(gaps, axis=0)
        print(f"mean       {mean[0]:7.3f}          {mean[1]:7.3f}")


def toured(xy: np.ndarray, effort: str | float) -> np.ndarray:
    """Our closed tour of dots, the first as the depot."""
    grid = np.rint(xy * 100).astype(np.int64)
    depot = (int(grid[0, 0]), int(grid[0, 1]))
    runs = Runs(grid[1:], np.arange(len(grid)))
    found = order(runs, DISTANCE, home=depot, finish=depot, effort=effort)
    return np.append(0, found.sequence + 1)


def boards(effort: str | float) -> None:
    """A row for each kind and size of board."""
    print(
        f"\ndrill holes, closed tours, percent over the best tour found; effort {effort}\n"
        f"{'board':12s} {'holes':>6s} {'ours':>7s} {'s':>6s} {'general solver':>15s} "
        f"{'ours, 4 times':>14s}"
    )
    gaps = []
    for size in BOARD_SIZES:
        for kind, make in BOARDS.items():
            holes = np.random.default_rng(SHUFFLED).permutation(make(size, BOARD_SEED))
            tour, seconds = timed(lambda holes=holes: toured(holes, effort), time.process_time)
            # the solver takes whole numbers up to 65,535
            tours = tour, general(holes / 10, seconds)[0], toured(holes, 4.0)
            costs = np.array([exact(holes, tour) for tour in tours])
            gap = 100 * (costs / costs.min() - 1)
            gaps.append(gap)
            print(
                f"{kind:12s} {size:6,d} {gap[0]:7.3f} {seconds:6.1f} {gap[1]:15.3f} {gap[2]:14.3f}",
                flush=True,
            )
    print(f"mean  {np.mean(gaps, axis=0).round(3)}, most {np.max(gaps, axis=0).round(3)}")


def exact(xy: np.ndarray, tour: np.ndarray) -> float:
    """Length of a closed tour, not rounded."""
    return float(np.hypot(*np.diff(xy[np.append(tour, tour[0])], axis=0).T).sum())


def read(path: Path) -> np.ndarray:
    text = path.read_text().split("NODE_COORD_SECTION")[1].split("EOF")[0]
    return np.array([line.split()[1:3] for line in text.strip().splitlines()], np.float64)


def rounded(xy: np.ndarray, tour: np.ndarray) -> float:
    steps = np.diff(xy[np.append(tour, tour[0])], axis=0)
    return float(np.floor(np.hypot(*steps.T) + 0.5).sum())
