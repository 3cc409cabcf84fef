"""Print how long SVG, PNG and notebook pictures take: ``python tests/benchmarks/pictures.py``."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from plotlib.drawing import Drawing
from plotlib.preview import png
from plotlib.sheet import Sheet
from plotlib.svg import write

SHEET = Sheet.iso("A4")


def wavy(strokes: int, points: int = 10) -> Drawing:
    """Short gently bent strokes all over an A4 sheet."""
    rng = np.random.default_rng(0)
    angle = rng.uniform(0, 2 * np.pi, (strokes, 1)) + np.cumsum(
        rng.normal(0, 0.3, (strokes, points)), axis=1
    )
    steps = 0.5 * np.stack([np.cos(angle), np.sin(angle)], axis=2)
    start = rng.random((strokes, 1, 2)) * [190, 277] + 10
    return Drawing.from_arrays(
        (start + np.cumsum(steps, axis=1)).reshape(-1, 2),
        np.arange(0, strokes * points + 1, points),
    )


def told(name: str, work: Callable[[], object], path: Path | None = None) -> None:
    wall = time.perf_counter()
    cpu = time.process_time()
    result = work()
    wall = time.perf_counter() - wall
    cpu = time.process_time() - cpu
    size = path.stat().st_size if path else len(str(result))
    print(f"{name:<44} {wall:7.2f} s wall {cpu:7.2f} s cpu {size / 1e6:8.2f} MB")


def main() -> None:
    with TemporaryDirectory() as folder:
        svg = Path(folder, "a.svg")
        picture = Path(folder, "a.png")
        png(Drawing([[(0, 0), (1, 1)]]), picture)  # compile first
        for strokes in (100_000, 1_000_000):
            drawing = wavy(strokes)
            told(f"svg.write {strokes:,} x 10", lambda d=drawing: write(d, svg, sheet=SHEET), svg)
            for dpi in (150, 300):
                told(
                    f"preview.png {strokes:,} x 10, A4 at {dpi} dpi",
                    lambda d=drawing, n=dpi: png(d, picture, sheet=SHEET, dpi=n),
                    picture,
                )
            told(f"notebook picture {strokes:,} x 10", drawing._repr_svg_)


if __name__ == "__main__":
    main()
