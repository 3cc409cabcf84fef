"""The lift that a program has: the machine's own, or that of its pens."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from plotlib.checks import IntArray
from plotlib.machine import Machine
from plotlib.pen import Pen


def with_lift_of(pens: tuple[Pen, ...], machine: Machine) -> Machine | None:
    """The machine with the one lift that all pens have; None where they have different ones."""
    lifts = {pen.lift or machine.lift for pen in pens}
    if len(lifts) > 1:
        return None
    lift = next(iter(lifts), machine.lift)
    return machine if lift == machine.lift else replace(machine, lift=lift)


def mean_seconds(
    pens: tuple[Pen, ...], pen_index: IntArray, machine: Machine
) -> tuple[float, float]:
    """Seconds of raising and of lowering the pen, in the mean of all strokes."""
    lifts = [pen.lift or machine.lift for pen in pens]
    seconds = np.array([(lift.seconds_up, lift.seconds_down) for lift in lifts])
    if len(set(lifts)) < 2:
        lift = lifts[0] if lifts else machine.lift
        return lift.seconds_up, lift.seconds_down
    up, down = seconds[pen_index].mean(axis=0).tolist()
    return up, down
