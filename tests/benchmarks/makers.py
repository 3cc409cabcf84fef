"""Times of the makers: ``python tests/benchmarks/makers.py`` prints the best of several runs of
each.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from plotlib import curves, shapes
from plotlib.curves.rewriting import rewritten
from plotlib.drawing import Drawing

PLANT = {"X": "F-[[X]+X]+F[+FX]-X", "F": "FF"}


def makers() -> dict[str, Callable[[], Drawing]]:
    rng = np.random.default_rng(0)
    centres = rng.uniform(0, 200, (10_000, 2))
    radii = rng.uniform(0.2, 5, 10_000)
    swings = curves.Swing(60, 2, damping=0.01), curves.Swing(60, 3.005, phase=90, damping=0.01)
    rows = Drawing([[(0, y), (200, y)] for y in np.arange(0, 200, 0.4)])

    def bent(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return x + 9 * np.sin(y / 11), y + 9 * np.sin(x / 13)

    return {
        "circle, radius 40": lambda: shapes.circle((60, 60), 40),
        "10,000 circles": lambda: shapes.circles(centres, radii),
        "cubic Bézier": lambda: curves.bezier([(0, 0), (0, 40), (60, 40), (60, 0)]),
        "1,000 cubic Béziers in a path": lambda: curves.bezier(centres[:3001]),
        "spline through 1,000 points": lambda: curves.catmull_rom(centres[:1000]),
        "Lissajous 5:4": lambda: curves.lissajous((0, 0), 80, 60, x=5, y=4),
        "hypotrochoid 105, 45, 30": lambda: curves.hypotrochoid((0, 0), 105, 45, arm=30),
        "pendulums, 180 swings": lambda: curves.pendulum((0, 0), *swings, duration=60),
        "spiral, 100 turns": lambda: curves.archimedean_spiral((0, 0), 100, pitch=1),
        "superformula": lambda: curves.superformula((0, 0), 20, m=6, n1=1, n2=7, n3=8),
        "any function": lambda: curves.parametric(lambda t: (t, 20 * np.sin(t)), 0, 60),
        "Hilbert, depth 9": lambda: curves.hilbert((0, 0), 200, depth=9),
        "100,000 mm of hatching, mapped": lambda: rows.mapped(bent),
        "the same, dashed": lambda: rows.dashed((3, 1)),
        "the same, dashed by a field": lambda: rows.dashed((3, 1), scale=lambda x, y: 1 + x / 200),
        f"plant of {len(rewritten('X', PLANT, 9)):,} symbols": lambda: curves.lsystem(
            "X", PLANT, depth=9, angle=22.5
        ),
        "the same at 22 degrees": lambda: curves.lsystem("X", PLANT, depth=9, angle=22),
    }


def main() -> None:
    for name, make in makers().items():
        points = len(make().points)
        runs = []
        while sum(runs) < 0.5:
            begin = time.perf_counter()
            make()
            runs.append(time.perf_counter() - begin)
        print(f"{name:32} {points:10,} points {min(runs) * 1e3:10.3f} ms")


if __name__ == "__main__":
    main()
