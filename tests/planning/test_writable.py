from __future__ import annotations

from typing import Any

import pytest

import plotlib as pl
from plotlib.gcode import check_machine
from plotlib.planning import writable

Z = pl.ZLift(4, 0, 600)


def bench(**changes: Any) -> pl.Machine:
    values: dict[str, Any] = {
        "width": 225,
        "height": 250,
        "x": pl.Axis(10_000, 500),
        "y": pl.Axis(4_000, 250),
        "feed": 3_000,
        "lift": pl.ServoLift("M5", "M3 S90"),
    }
    return pl.Machine(**{**values, **changes})


HOPELESS = [
    ({"lift": Z, "epilogue": "G0 Z10"}, "the epilogue lowers the pen"),
    ({"lift": Z, "prologue": ("G21", "G0 Z10")}, "leaves the pen down"),
    ({"lift": Z, "prologue": ("G21", "G90", "G0 Z4", "G92 Z0")}, "leaves the pen down"),
    ({"prologue": "G92 X5 Y5"}, "leaves X at 5, but the machine's home is 0"),
    ({"epilogue": "G0 X300"}, r"leaves the bed by 75\.000 mm on the right.*'G0 X300'"),
]


@pytest.mark.parametrize(("changes", "words"), HOPELESS)
def test_a_machine_that_can_never_write_is_refused_before_any_planning(
    changes: dict[str, Any], words: str
) -> None:
    machine = bench(**changes)
    with pytest.raises(pl.InvalidValue, match="no program of the machine .*" + words):
        check_machine(machine)
    for drawing in (pl.Drawing(), pl.Drawing([[(1, 1)]]), pl.Drawing([[(-999, 0)]])):
        with pytest.raises(pl.InvalidValue, match=words):
            pl.plan(drawing, machine)


@pytest.mark.parametrize(
    "prologue",
    [
        "G92 Z4",
        ("G28", "G92 Z4"),
        ("G21", "G90", "G0 Z10", "G92 Z4"),
        ("G21", "G90", "G0 Z4", "G92 Z4"),
        ("G21", "G90", "G0 Z9", "G92 Z8", "G0 Z4"),
    ],
)
def test_the_height_after_a_prologue_is_what_g92_says(prologue: Any, tmp_path: Any) -> None:
    """RS274NGC 3.5.18: G92 gives the current point new coordinates without motion."""
    drawing = pl.Drawing([[(10, 10), (20, 10)], [(30, 30)]])
    plot = pl.plan(drawing, bench(lift=Z, prologue=prologue))
    pl.gcode.write(plot, tmp_path / "plot.gcode")


def test_each_machine_is_asked_once() -> None:
    asked = []
    machine = bench(name="asked once")
    writable.check_writable.cache_clear()
    writable._PROVERS.append(asked.append)
    try:
        for _ in range(3):
            pl.plan(pl.Drawing(), machine)
    finally:
        writable._PROVERS.remove(asked.append)
        writable.check_writable.cache_clear()
    assert asked == [machine]


def test_a_pen_too_quick_for_the_lines_is_refused() -> None:
    pen = pl.Pen("quick", feed=30_000)
    with pytest.raises(pl.InvalidValue, match="pen 'quick' with a feed of 30000 mm/min"):
        pl.plan(pl.Drawing([[(1, 1)]], pen=pen), bench(longest_line=30))
    pl.plan(pl.Drawing([[(1, 1)]]), bench(longest_line=30))
