"""The first minute of a newcomer: the first plot of the README, the first picture in a notebook,
the first streamlines, with an empty and with a filled store of compiled kernels. Prints, asserts
nothing.

python tests/benchmarks/cold_start.py            # this checkout
python tests/benchmarks/cold_start.py FOLDER     # another checkout of plotlib, to compare

Seconds of the processor (of all processes) and of the clock; on a busy machine only the first mean
something. The sources are compiled to bytecode beforehand, as an installation does it.
"""

from __future__ import annotations

import compileall
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

CHART = """
import plotlib as pl
machine = pl.Machine(
    width=225, height=250,
    x=pl.Axis(rate=10_000, acceleration=500), y=pl.Axis(rate=4_000, acceleration=250),
    lift=pl.ServoLift(up="M5", down="M3 S90", settle_up=0.2, settle_down=0.2), feed=3_000,
)
sheet = pl.Sheet.iso("A5", landscape=True, at=(5, 10), margin=8)
blue = pl.Pen("blue", width=0.4, colour="#1d4e89", feed=2_500)
moon = pl.shapes.circle((105, 74), 40, pen=blue)
drawing = moon + pl.fills.hatch(moon, spacing=0.8, angle=30, pen=blue)
"""
CASES = {
    "first plot of the README": CHART
    + """
plot = pl.plan(drawing, machine, sheet=sheet)
print(plot)
pl.gcode.write(plot, "moon.gcode")
pl.svg.write(plot, "moon.svg")
pl.preview.png(plot, "moon.png")
""",
    "the same, and its bound": CHART + "print(pl.plan(drawing, machine, sheet=sheet).bound)",
    "first picture in a notebook": CHART + "drawing._repr_svg_()",
    "first streamlines": """
import plotlib as pl
pl.fields.streamlines(pl.fields.perlin(scale=40).curl(), pl.Sheet(200, 200), spacing=3)
""",
    "2,000 strokes": """
import numpy as np
import plotlib as pl
machine = pl.Machine(
    width=225, height=250, x=pl.Axis(10_000, 500), y=pl.Axis(4_000, 250),
    lift=pl.ServoLift("M5", "M3 S90"), feed=3_000,
)
strokes = np.random.default_rng(1).uniform(10, 210, (2_000, 1, 2))
strokes = np.concatenate([strokes, strokes + 4.0], axis=1)
pl.gcode.write(pl.plan(pl.Drawing(strokes), machine, effort="quick"), "many.gcode")
""",
}


def spent(code: str, checkout: Path, store: str, folder: str) -> tuple[float, float]:
    """Processor's seconds and clock's seconds of a Python of its own."""
    environment = {**os.environ, "PYTHONPATH": str(checkout), "NUMBA_CACHE_DIR": store}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    began = time.perf_counter()
    subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        cwd=folder,
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    clock = time.perf_counter() - began
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, clock


def main() -> None:
    checkout = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parents[2]
    compileall.compile_dir(checkout / "plotlib", quiet=1)
    print(f"{'seconds: processor (clock)':<30} {'empty store':>16} {'filled store':>16}")
    for name, code in CASES.items():
        with tempfile.TemporaryDirectory() as store, tempfile.TemporaryDirectory() as folder:
            cold, *warm = [spent(code, checkout.resolve(), store, folder) for _ in range(3)]
        best = min(warm)
        print(
            f"{name:<30} {cold[0]:8.1f} ({cold[1]:5.1f}) {best[0]:8.2f} ({best[1]:5.2f})",
            flush=True,
        )


if __name__ == "__main__":
    main()
