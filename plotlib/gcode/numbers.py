"""Numbers as text: whole grid units as fixed decimals, feeds and dwells without needless zeros."""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import IntArray
from plotlib.machine import Machine


def to_controller(units: IntArray, machine: Machine) -> IntArray:
    """Bed units (N, 2) as the controller counts them: from its zero, along its own directions."""
    signs = np.array([-1 if axis.reversed else 1 for axis in (machine.x, machine.y)])
    return np.asarray((units - machine.to_units(machine.zero)) * signs)


def fixed(letter: str, units: IntArray, decimals: int) -> list[str]:
    """One word for each number of whole units: ``X12.340``; there is no minus zero."""
    if decimals == 0:
        return [f"{letter}{value}" for value in units.tolist()]
    scale = 10**decimals
    plus = f"{letter}%d.%0{decimals}d"
    minus = f"{letter}-%d.%0{decimals}d"
    return [
        plus % divmod(value, scale) if value >= 0 else minus % divmod(-value, scale)
        for value in units.tolist()
    ]


def feed_word(feed: float) -> str:
    """``F`` and a feed in mm/min, in thousandths rounded down so that no limit is passed."""
    return "F" + f"{math.floor(feed * 1000 + 1e-6) / 1000:.3f}".rstrip("0").rstrip(".")


def dwell_line(seconds: float, machine: Machine) -> str:
    """``G4 P`` and a time in the machine's unit, rounded up to thousandths of a second."""
    millis = math.ceil(seconds * 1000 - 1e-9)
    if machine.dwell == "milliseconds":
        return f"G4 P{millis}"
    return f"G4 P{millis // 1000}.{millis % 1000:03d}".rstrip("0").rstrip(".")
