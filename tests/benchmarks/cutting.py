"""How long cutting strokes and making areas takes, and how much memory.

Run with ``python tests/benchmarks/cutting.py``; give names of figures to print only those.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import numpy as np
import shapely

from plotlib.arrays.areas import evenodd
from plotlib.arrays.cutting import cut


def walks(strokes: int, points: int, *, size: float, step: float) -> tuple[np.ndarray, np.ndarray]:
    """Random walks with starts spread over a square."""
    rng = np.random.default_rng(0)
    steps = rng.normal(0, step, (strokes, points, 2))
    steps[:, 0] = rng.uniform(0, size, (strokes, 2))
    return np.cumsum(steps, axis=1).reshape(-1, 2), np.arange(strokes + 1) * points


def blossom(corners: int, *, petals: int = 7, size: float = 300.0) -> shapely.Polygon:
    """A wavy outline in the middle of a square."""
    angle = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    radius = size * (0.33 + 0.07 * np.sin(petals * angle))
    return shapely.Polygon(
        size / 2 + radius[:, None] * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    )


def rings(radius: float) -> tuple[np.ndarray, np.ndarray]:
    """10,000 rings of 50 corners, 10 mm apart."""
    centre = 10.0 * np.stack(np.meshgrid(np.arange(100), np.arange(100)), axis=-1).reshape(-1, 1, 2)
    angle = np.linspace(0, 2 * np.pi, 50, endpoint=False)[np.append(np.arange(50), 0)]
    corners = centre + radius * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    return corners.reshape(-1, 2), np.arange(10_001) * 51


def wound(corners: int) -> tuple[np.ndarray, np.ndarray]:
    """One ring that winds around 50 times and crosses itself all the way."""
    angle = np.linspace(0, 2 * np.pi, corners)
    radius = 100 * np.cos(2.5 * angle)
    ring = radius[:, None] * np.stack((np.cos(100 * angle), np.sin(100 * angle)), axis=1)
    ring[-1] = ring[0]
    return ring, np.array([0, corners])


def peak() -> float:
    """Most memory that this process had so far, or since it was told to forget, in MB (Linux)."""
    with open("/proc/self/status") as file:
        return next(int(line.split()[1]) / 1e3 for line in file if line.startswith("VmHWM"))


def forget_peak() -> None:
    """Let the peak start from the memory in use."""
    with open("/proc/self/clear_refs", "w") as file:
        file.write("5")


def measure(name: str, work: Callable[[], object], *, repeat: int = 3) -> None:
    """Print the best of several times (all, and of the processor alone), and the greatest memory
    beyond that in use before.
    """
    best = np.inf
    busy = np.inf
    forget_peak()
    before = peak()
    for _ in range(repeat):
        start = time.perf_counter()
        start_busy = time.process_time()
        work()
        best = min(best, time.perf_counter() - start)
        busy = min(busy, time.process_time() - start_busy)
    print(f"{name:70} {best:7.3f} s, processor {busy:7.3f} s {peak() - before:6.0f} MB")


def main(chosen: list[str]) -> None:
    """Print all figures, or those whose names contain a chosen word."""
    many = walks(1_000_000, 10, size=300, step=1)
    few = walks(10_000, 11, size=300, step=2)
    long = walks(1, 1_000_001, size=150, step=0.3)
    angle = np.radians(30)
    row = np.arange(-1400, 1400)[:, None, None] * 0.3 * np.array([-np.sin(angle), np.cos(angle)])
    hatch = (
        (
            150 + row + np.array([[-500.0], [500.0]]) * np.array([np.cos(angle), np.sin(angle)])
        ).reshape(-1, 2),
        np.arange(2801) * 2,
    )
    square = shapely.box(75, 75, 225, 225)
    five = blossom(500)
    big = blossom(100_000, petals=700)
    figures = {
        "1,000,000 strokes of 10 points by a rectangle, inside": lambda: cut(
            *many, square, keep="inside"
        ),
        "1,000,000 strokes of 10 points by a rectangle, outside": lambda: cut(
            *many, square, keep="outside"
        ),
        "1,000,000 strokes of 10 points by 500 corners, inside": lambda: cut(
            *many, five, keep="inside"
        ),
        "10,000 strokes of 10 segments by 500 corners, inside": lambda: cut(
            *few, five, keep="inside"
        ),
        "10,000 strokes of 10 segments by 100,000 corners, inside": lambda: cut(
            *few, big, keep="inside"
        ),
        "1 stroke of 1,000,000 segments by 500 corners, inside": lambda: cut(
            *long, five, keep="inside"
        ),
        "2,800 long slanting strokes by 100,000 corners, inside": lambda: cut(
            *hatch, big, keep="inside"
        ),
        "area of 10,000 rings of 50 corners apart": lambda: evenodd(*rings(4.0)),
        "area of 10,000 rings of 50 corners that overlap": lambda: evenodd(*rings(6.0)),
        "area of 1 ring of 100,000 corners": lambda: evenodd(
            shapely.get_coordinates(big), np.array([0, 100_001])
        ),
        "area of 1 ring of 100,000 corners that crosses itself 40,000 times": lambda: evenodd(
            *wound(100_001)
        ),
    }
    for name, work in figures.items():
        if not chosen or any(word in name for word in chosen):
            measure(name, work)


if __name__ == "__main__":
    main(sys.argv[1:])
