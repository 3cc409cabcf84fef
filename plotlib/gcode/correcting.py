"""Corrections in the words of a program: where the controller must count so that the pen is where
the plot has it.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.machine import Machine
from plotlib.planning.plot import Plot

FINER = 1  # decimals more, so that what is read back finds the very point of the grid


class Spoken(NamedTuple):
    """What the controller is told, in units of the decimals that are written.

    Attributes
    ----------
    ink, ink_before : ndarray (N, 2)
        For each point of the strokes where the controller must count, and where it does before; of
        the first points of strokes neither is said.
    travel, travel_before : ndarray (L, 2)
        The same for each leg.
    """

    ink: IntArray
    ink_before: IntArray
    travel: IntArray
    travel_before: IntArray


def spoken(plot: Plot) -> Spoken:
    """All places of a plot in the order in which they are gone to, corrected."""
    units = plot.units
    offsets = plot.drawing.offsets
    legs = plot.legs
    places = []
    rows = []  # where each place belongs: a point of the ink, or -1 - the leg
    for leg, stroke in enumerate(legs.stroke.tolist()):
        places.append(legs.end[leg : leg + 1])
        rows.append(np.array([-1 - leg]))
        if stroke >= 0:
            first = offsets[stroke] + 1
            places.append(units[first : offsets[stroke + 1]])
            rows.append(np.arange(first, offsets[stroke + 1]))
    counted = counts(np.concatenate(places), plot.machine)
    before = np.vstack([home_count(plot.machine), counted[:-1]])
    row = np.concatenate(rows)
    out = [np.zeros((len(units), 2), np.int64) for _ in range(2)]
    out += [np.zeros((len(legs.stroke), 2), np.int64) for _ in range(2)]
    is_ink = row >= 0
    out[0][row[is_ink]] = counted[is_ink]
    out[1][row[is_ink]] = before[is_ink]
    out[2][-1 - row[~is_ink]] = counted[~is_ink]
    out[3][-1 - row[~is_ink]] = before[~is_ink]
    return Spoken(*out)


def home_count(machine: Machine) -> IntArray:
    """What the controller counts at home (1, 2), in the units that are written."""
    return _controller(_fine(machine.to_units([machine.home])), machine)


def counts(places: IntArray, machine: Machine) -> IntArray:
    """What the controller must count at places (K, 2) in units of the bed, gone to in this order
    from home; in the units that are written.
    """
    nominal = nominal_places(places, machine)
    home = _fine(machine.to_units([machine.home]))
    steps = np.sign(np.diff(np.vstack([home, nominal]), axis=0))
    assert machine.corrections is not None
    away = _away(machine)
    signs = _last_signs(steps, before=-away)
    play = np.array(machine.corrections.backlash) * 10.0 ** (machine.decimals + FINER)
    taken_up = np.where(signs == away, np.rint(play).astype(np.int64) * away, 0)
    return _controller(nominal + taken_up, machine)


def nominal_places(places: IntArray, machine: Machine) -> IntArray:
    """Where the controller would have to believe to be (K, 2) without any backlash, on the bed, in
    the units that are written.
    """
    assert machine.corrections is not None
    (a, b), (_, d) = machine.corrections.matrix
    home = machine.to_units(machine.home)
    dx, dy = (places - home).T.astype(np.float64)
    true: FloatArray = np.column_stack([(dx - b / d * dy) / a, dy / d])
    scale = 10**FINER
    return np.asarray(np.rint(true * scale).astype(np.int64) + home * scale)


def _fine(units: IntArray) -> IntArray:
    return np.asarray(units * 10**FINER)


def _controller(fine: IntArray, machine: Machine) -> IntArray:
    """From its zero, along its own directions."""
    signs = np.array([-1 if axis.reversed else 1 for axis in (machine.x, machine.y)])
    return np.asarray((fine - _fine(machine.to_units(machine.zero))) * signs)


def _away(machine: Machine) -> IntArray:
    """For each axis (2,) the direction that leads away from home: 1 or -1."""
    nearer_low = np.array(machine.home) * 2 <= (machine.width, machine.height)
    return np.where(nearer_low, 1, -1).astype(np.int64)


def _last_signs(steps: IntArray, *, before: IntArray) -> IntArray:
    """For each move and axis (K, 2) the direction of the last step that was one; ``before`` it has
    moved, what homing leaves.
    """
    row = np.arange(len(steps))[:, None]
    last = np.maximum.accumulate(np.where(steps != 0, row, -1), axis=0)
    signs = np.take_along_axis(steps, np.maximum(last, 0), axis=0)
    return np.where(last >= 0, signs, before)
