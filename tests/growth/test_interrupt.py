"""Ctrl-C is heard by growth: compiled steps run in slices, each well below a second."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable
from typing import Any

import pytest
from shapely import Point, box

from plotlib import growth

SOON = 0.2  # seconds from the first report of progress, in the middle of what follows
SHEET = box(0, 0, 300, 300)
LONG: dict[str, Callable[..., Any]] = {  # each of them half a minute or more
    "aggregate": lambda **k: growth.aggregate(
        Point(0, 0).buffer(600), spacing=1, count=500_000, **k
    ),
    "automaton": lambda **k: growth.automaton(SHEET, rule="B3/S23", spacing=0.6, steps=70_000, **k),
    "cracks": lambda **k: growth.cracks(SHEET, spacing=0.7, **k),
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
        if not told:
            sender.start()
        told.append(share)

    try:
        with pytest.raises(KeyboardInterrupt):
            LONG[name](progress=began)
    finally:
        sender.cancel()
    assert 0 <= told[-1] < 0.9
