"""Time joining: streets, hatches with edges and closed outlines, kernels warm. Run ``python
tests/benchmarks/joining.py``.
"""

from __future__ import annotations

import time

import numpy as np

from plotlib.planning.ordering.join import join


def streets(cells: int) -> tuple[np.ndarray, np.ndarray]:
    """Every side of every cell of a square grid is a stroke, in random order: 4 * (cells - 1) / 2
    runs.
    """
    i, j = np.meshgrid(np.arange(cells), np.arange(cells + 1))
    across = np.stack([i, j, i + 1, j], axis=-1).reshape(-1, 4)
    strokes = 100 * np.concatenate([across, across[:, [1, 0, 3, 2]]])
    return np.random.default_rng(0).permutation(strokes).reshape(-1, 2), np.arange(
        0, 2 * len(strokes) + 1, 2
    )


def outlines(side: int) -> tuple[np.ndarray, np.ndarray]:
    """Squares that touch at their corners: one closed run."""
    i, j = (a.ravel() for a in np.meshgrid(np.arange(side), np.arange(side)))
    corner = 200 * np.stack([i, j], axis=1) + 100 * (i + j)[:, None] % 2
    square = np.array([[0, 0], [200, 0], [200, 200], [0, 200], [0, 0]])
    return (corner[:, None] + square).reshape(-1, 2), np.arange(0, 5 * side * side + 1, 5)


def loose(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Random strokes that hardly meet."""
    points = np.random.default_rng(0).integers(0, 225_000, (2 * count, 2))
    return points, np.arange(0, 2 * count + 1, 2)


def main() -> None:
    print(
        f"{'network':>22} {'strokes':>8} {'segments':>9} {'runs':>7} {'least':>7} {'linked':>9} "
        f"{'seconds':>8}"
    )
    shaken = streets(316)
    shaken = 10 * shaken[0] + np.random.default_rng(1).integers(-2, 3, shaken[0].shape), shaken[1]
    cases = [
        ("streets", streets(316), 0.0),
        ("touching squares", outlines(224), 0.0),
        ("loose strokes", loose(200_000), 0.0),
        ("shaken streets, linked", shaken, 6.0),
    ]
    for name, (points, offsets), tolerance in cases:
        join(points[:10], offsets[offsets <= 10], tolerance=tolerance)
        for _ in range(2):
            began = time.perf_counter()
            joined = join(points, offsets, tolerance=tolerance)
            seconds = time.perf_counter() - began
            segments = len(points) - len(offsets) + 1
            runs = len(joined.offsets) - 1
            print(
                f"{name:>22} {len(offsets) - 1:8d} {segments:9d} {runs:7d} {joined.least:7d} "
                f"{joined.linked:9.0f} {seconds:8.2f}"
            )


if __name__ == "__main__":
    main()
