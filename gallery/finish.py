"""How every piece ends: planned for the bench, and written as proven G-code, SVG and a picture."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import plotlib as pl

HERE = Path(__file__).parent


def finish(name: str, drawing: pl.Drawing, sheet: pl.Sheet, **options: Any) -> None:
    """Plan a drawing in sheet mm, write ``out/NAME.gcode``, ``.svg`` and ``.png``, and report;
    ``options`` go to ``plan``.
    """
    machine = pl.Machine.load(HERE / "bench.toml")
    plot = pl.plan(drawing, machine, sheet=sheet, **options)
    out = HERE / "out"
    out.mkdir(exist_ok=True)
    pl.gcode.write(plot, out / f"{name}.gcode", title=name.replace("_", " "))
    pl.svg.write(plot, out / f"{name}.svg")
    pl.preview.png(plot, out / f"{name}.png", dpi=200)
    print(plot)
