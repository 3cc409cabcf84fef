"""A machine with words of our own, a plot on it, and what must hold after any run on the simulated
controller.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

import plotlib as pl
from plotlib import streaming
from plotlib.streaming.simulated import Controller

WORDS: dict[str, Any] = {
    "accepted": "taken",
    "refused": ("cannot", "danger"),
    "greeting": "awake",
    "asides": "note",
    "receive_bytes": 96,
    "opening": 0.5,
}
SIGNS: dict[str, Any] = {
    "hold": "\x01",
    "go_on": "\x02",
    "halt": "\x03",
    "ask": "\x04",
    "resting": "resting",
}
SERVO = pl.ServoLift("M5", "M3 S90")
HEIGHTS = pl.ZLift(up=4, down=0, feed=600)
BENT = pl.HeightMap(
    x=(5, 40, 95), y=(10, 30, 75), heights=[(0, 0.4, 0.1), (0.3, -0.2, 0), (-0.3, 0.1, 0.5)]
)
RAMP = pl.ServoLift("M3 S30", ("M3 S50", "M3 S70", "M3 S90"), 0.15, 0.05)


def bench(*, signs: bool = True, lift: Any = SERVO, **changes: Any) -> pl.Machine:
    """A machine; with ``signs`` its controller hears characters at once."""
    words = pl.Dialogue(**{**WORDS, **(SIGNS if signs else {})})
    prologue = "G0 Z4" if lift is HEIGHTS else ()
    values: dict[str, Any] = {
        "width": 100,
        "height": 80,
        "x": pl.Axis(9_000, 500),
        "y": pl.Axis(6_000, 300),
        "feed": 3_000,
        "lift": lift,
        "dialogue": words,
        "look_ahead": 4,
        "prologue": prologue,
    }
    return pl.Machine(**{**values, **changes})


@cache
def two_pens(machine: pl.Machine) -> pl.Plot:
    """A wave, some rows and dots, in two pens."""
    x = np.linspace(5, 90, 12)
    wave = pl.Drawing([np.column_stack([x, 40 + 20 * np.sin(x / 8)])])
    rows = pl.Drawing([[(10, y), (60, y + 3), (80, y)] for y in (10, 18)])
    dots = pl.Drawing([[(20, 70)], [(30, 72)]])
    red = pl.Pen("red", 0.3, "#aa2222")
    return pl.plan(wave + dots + rows.inked(red), machine)


def run_out(controller: Controller) -> None:
    """Let the machine do whatever it still has to do."""
    for _ in range(10_000):
        if controller.next_event == float("inf"):
            return
        controller.advance(controller.next_event)
    raise AssertionError("the controller never comes to rest")


def is_prefix(short: Any, whole: Any) -> bool:
    """Whether one polyline lies on the beginning of another."""
    if len(short) > len(whole) or not np.allclose(short[:-1], whole[: len(short) - 1], atol=1e-6):
        return False
    if len(short) == 1:
        return bool(np.allclose(short, whole[:1], atol=1e-6))
    a, b, p = whole[len(short) - 2], whole[len(short) - 1], short[-1]
    way = np.linalg.norm(b - a)
    return bool(abs(np.linalg.norm(p - a) + np.linalg.norm(b - p) - way) < 1e-6)


def check_drawn(controller: Controller, plot: pl.Plot) -> None:
    """Everything is drawn, once."""
    drawn = controller.strokes
    assert len(drawn) == len(plot.drawing)
    for mine, planned in zip(drawn, plot.drawing, strict=True):
        assert np.allclose(mine, planned, atol=1e-6)


def check_resumed(
    controller: Controller, plot: pl.Plot, rest: streaming.Rest, *, only_prefix: bool = True
) -> None:
    """What was drawn and what is left are the whole: nothing is missing, and nothing comes twice
    beyond what the resumption tells.
    """
    drawn = [np.array(stroke) for stroke in controller.strokes]
    whole = list(plot.drawing)
    assert len(drawn) >= rest.stroke
    for mine, planned in zip(drawn[: rest.stroke], whole, strict=False):
        assert np.allclose(mine, planned, atol=1e-6)
    left = list(rest.plot.drawing)
    assert len(left) == len(whole) - rest.stroke
    for mine, planned in zip(left[1:], whole[rest.stroke + 1 :], strict=True):
        assert np.array_equal(mine, planned)
    if not left:
        return
    first = plot.drawing[rest.stroke : rest.stroke + 1]
    cut = first.length - rest.along
    assert abs(rest.plot.drawing[:1].length - cut) <= 2 * plot.machine.unit
    if not only_prefix:
        return  # where lines were lost on the way, what came after them is drawn awry
    assert len(drawn) <= len(whole)
    for mine, planned in zip(drawn[rest.stroke :], whole[rest.stroke :], strict=False):
        assert is_prefix(mine, planned)
    again = pl.Drawing(drawn[rest.stroke :]).length - rest.along
    assert again <= rest.twice + 1e-6
    if rest.along > 0:
        assert pl.Drawing(drawn[rest.stroke : rest.stroke + 1]).length >= rest.along - 1e-3


def check_stopped(controller: Controller, outcome: streaming.Outcome) -> None:
    """Nothing moves, and the pen is told up where anybody could tell it."""
    assert not controller.moves
    if outcome.is_lifted:
        assert controller.told_up
        assert not controller.is_down


def kept(folder: Path, number: int) -> Path:
    """A name for a log that is not there yet."""
    return folder / f"log {number}.jsonl"
