"""What fields cost, and how even streamlines are. Run: ``python tests/benchmarks/fields.py`` (add
``--large`` for A3 at 0.5 mm).

Times are of this process alone (processor time), the best of three for the short ones, after
warm-up.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from shapely import box

from plotlib import fields

FLOWS = {
    "smooth curl": fields.perlin(scale=60, seed=4).curl(),
    "rough curl": fields.perlin(scale=60, seed=5, octaves=3).curl(),
    "gradient": fields.perlin(scale=80, seed=2).gradient(),
}


def timed(work: Callable[[], Any], rounds: int = 3) -> tuple[float, Any]:
    """The least processor time in seconds, and the result."""
    best = np.inf
    for _ in range(rounds):
        start = time.process_time()
        result = work()
        best = min(best, time.process_time() - start)
    return best, result


def lines(name: str, width: float, height: float, spacing: float) -> None:
    """One row of the table: bounds of Jobard and Lefer 1997 are 0.5 for the nearest, 2 for the
    widest hole where the field is regular.
    """
    area = box(0, 0, width, height)
    for kind, flow in FLOWS.items():
        seconds, drawing = timed(
            lambda flow=flow: fields.streamlines(flow, area, spacing=spacing), 1
        )
        e = fields.evenness(drawing, area, spacing=spacing)
        print(
            f"{name:14} {kind:12} {seconds:6.2f} s {e.lines:6,} lines  mean {e.mean:6.1f}  "
            f"nearest {e.nearest:.3f}  "
            f"covered {100 * e.covered:6.2f} %  widest {e.widest:.2f}",
            flush=True,
        )


def main() -> None:
    """Print everything."""
    fields.streamlines(
        FLOWS["gradient"], box(0, 0, 20, 20), spacing=1
    )  # compiles, or loads what was compiled
    x = np.arange(0, 297.1, 0.25)[None, :]
    y = np.arange(0, 420.1, 0.25)[:, None]
    noise = fields.perlin(scale=40, octaves=4)
    plain = timed(lambda: noise(x, y))[0]
    sloped = timed(lambda: noise.jet(x, y))[0]
    print(
        f"Perlin, four octaves, {x.size * y.size:,} samples: {plain:.2f} s; with slopes "
        f"{sloped:.2f} s"
    )
    nodes = np.linspace(0, 400, 2000)
    ground = noise(nodes[None, :], nodes[:, None])
    field = fields.from_array(ground, (0, 0, 400, 400))
    sheet = box(0, 0, 400, 400)
    levels = np.linspace(-0.6, 0.6, 20)
    fit = timed(lambda: fields.from_array(ground, (0, 0, 400, 400)))[0]
    seconds, drawing = timed(lambda: fields.isolines(field, sheet, levels=levels, step=0.2))
    print(
        f"iso-lines, grid of 2000 x 2000, 20 levels: {seconds:.2f} s ({fit:.2f} s for the "
        f"spline); {drawing}"
    )
    spots = fields.poisson_disk(sheet, spacing=2)
    print(
        f"poisson disk: {timed(lambda: fields.poisson_disk(sheet, spacing=2))[0]:.2f} s for "
        f"{len(spots):,} points"
    )
    cells = timed(lambda: fields.voronoi(spots, sheet))[0]
    sides = timed(lambda: fields.delaunay(spots, sheet))[0]
    print(f"Voronoi of them: {cells:.2f} s; Delaunay {sides:.2f} s")
    seconds, circles = timed(
        lambda: fields.circle_packing(sheet, smallest=0.5, largest=8, gap=0.2, candidates=100_000)
    )
    print(f"circle packing: {seconds:.2f} s for {len(circles):,} circles of 100,000 candidates")
    print(
        f"ridge lines: "
        f"{timed(lambda: fields.ridgelines(noise, sheet, spacing=1.5, height=20))[0]:.2f} s"
    )
    wind = noise.curl() * 100
    flights = {"count": 2000, "duration": 20, "lag": 1}
    seconds = timed(lambda: fields.particles(wind, sheet, **flights))[0]
    print(f"particles, 2,000 for 20 s: {seconds:.2f} s")
    lines("A4 at 1 mm", 210, 297, 1.0)
    if "--large" in sys.argv:
        lines("A3 at 0.5 mm", 297, 420, 0.5)


if __name__ == "__main__":
    main()
