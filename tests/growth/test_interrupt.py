"""Ctrl-C is heard by growth: compiled steps run in slices, each well below a second."""

from __future__ import annotations

import gc
import os
import signal
import threading
from collections.abc import Callable
from typing import Any

import pytest
from shapely import Point, box

from plotlib import growth

SOON = 0.2  # seconds from a report of progress, in the middle of what follows
SHEET = box(0, 0, 300, 300)
LAST = {"cracks": 1}  # the report from which the signal is sent, where it is not the third


def cracked(**options: Any) -> Any:
    """Compiled before: the first report of cracks comes before any step."""
    growth.cracks(box(0, 0, 9, 9), spacing=1)
    return growth.cracks(SHEET, spacing=0.7, **options)


LONG: dict[str, Callable[..., Any]] = {  # each of them half a minute or more
    "aggregate": lambda **k: growth.aggregate(
        Point(0, 0).buffer(600), spacing=1, count=500_000, **k
    ),
    "automaton": lambda **k: growth.automaton(SHEET, rule="B3/S23", spacing=0.6, steps=70_000, **k),
    "cracks": cracked,
    "differential growth": lambda **k: growth.differential_growth(SHEET, spacing=1.3, **k),
    "reaction and diffusion": lambda **k: growth.reaction_diffusion(
        SHEET, cell=0.5, steps=200_000, **k
    ),
    "trails": lambda **k: growth.trails(SHEET, cell=0.3, steps=15_000, **k),
    "veins": lambda **k: growth.veins(SHEET, spacing=0.6, **k),
    "veins, closed": lambda **k: growth.veins(SHEET, spacing=0.6, closed=True, **k),
    "wanderers": lambda **k: growth.wanderers(SHEET, spacing=0.7, **k),
}


@pytest.mark.skipif(os.name != "posix", reason="sends a signal as a terminal does")
@pytest.mark.parametrize("name", LONG)
def test_growth_ends_on_ctrl_c(name: str) -> None:
    """The signal comes while compiled steps run; what they would have done is not waited for."""
    told: list[float] = []
    sender = threading.Timer(SOON, os.kill, (os.getpid(), signal.SIGINT))

    def began(share: float) -> None:
        told.append(share)
        if len(told) == LAST.get(name, 3):  # steps were done, so nothing is compiled any more
            sender.start()

    gc.disable()  # what is raised inside a hook of it, as hypothesis has one, is lost
    try:
        with pytest.raises(KeyboardInterrupt):
            LONG[name](progress=began)
    finally:
        sender.cancel()
        gc.enable()
    assert 0 <= told[-1] < 0.9
