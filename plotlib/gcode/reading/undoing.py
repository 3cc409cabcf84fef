"""What a machine's corrections make of the places that its controller counts: where the pen truly
is.
"""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.machine import Machine

_AT_ONCE = 1 << 16  # places turned together, so that what is between stays in the cache
_SNAP = 1e-9  # mm: coordinates this near to the machine's grid are the grid's own floats
_CORRECTED = 0.2  # units: the same, where a count of one more decimal was rounded


class Bed:
    """Turns places of the controller (n, 2), in mm, into places on the bed.

    Parameters
    ----------
    machine : Machine
        Whose zero, directions and corrections count.
    spots : ndarray (K, 2)
        Where each move ends, as the controller counts.
    jumps : dict of int to (float, float)
        Moves that start elsewhere than where the one before ended.
    """

    def __init__(
        self, machine: Machine, spots: FloatArray, jumps: dict[int, tuple[float, float]]
    ) -> None:
        self.machine = machine
        middle = np.array([machine.width, machine.height]) / 2
        self.out = np.where(np.asarray(machine.home) <= middle, 1.0, -1.0)  # away from home
        self.hand = -1 if machine.x.reversed != machine.y.reversed else 1  # 1: left stays left
        self.signs = np.zeros((len(spots) + 1, 2))
        if machine.corrections is not None and len(spots):
            self.signs = _signs(self._nominal(spots), self._jumped(jumps))

    def _jumped(self, jumps: dict[int, tuple[float, float]]) -> dict[int, FloatArray]:
        """The same on the bed; from an unknown place a carriage comes as if from home."""
        home = np.asarray(self.machine.home)
        places = {index: self._nominal(np.array([spot]))[0] for index, spot in jumps.items()}
        return {index: np.where(np.isnan(at), home, at) for index, at in places.items()}

    def _nominal(self, spots: FloatArray) -> FloatArray:
        machine = self.machine
        sign = np.where([machine.x.reversed, machine.y.reversed], -1.0, 1.0)
        bed: FloatArray = np.asarray(machine.zero) + sign * spots
        return bed

    def places(self, spots: FloatArray, done: IntArray) -> FloatArray:
        """Bed places of ``spots`` (n, 2), each reached after so many (n,) moves; where that is on
        the grid, the grid's own floats.
        """
        bed = np.empty(spots.shape)
        for first in range(0, len(spots), _AT_ONCE):
            part = slice(first, first + _AT_ONCE)
            bed[part] = self._snapped(spots[part], done[part])
        return bed

    def _snapped(self, spots: FloatArray, done: IntArray) -> FloatArray:
        bed = self._nominal(spots)
        machine = self.machine
        near = _SNAP
        if machine.corrections is not None:
            bed = self._true(bed, self.signs[done])
            near = _CORRECTED * machine.unit
        scale = 10.0**machine.decimals
        snapped = np.rint(bed * scale) / scale + 0.0
        return np.where(np.abs(snapped - bed) <= near, snapped, bed)

    def _true(self, nominal: FloatArray, signs: FloatArray) -> FloatArray:
        made = self.machine.corrections
        assert made is not None
        lean = math.radians(made.skew)
        home = np.asarray(self.machine.home)
        lag = np.array([made.backlash_x, made.backlash_y]) * np.where(signs == self.out, signs, 0)
        x, y = (nominal - lag - home).T
        across = made.scale_x * x + made.scale_y * math.sin(lean) * y
        up = made.scale_y * math.cos(lean) * y
        true = home + np.column_stack([across, up])
        unknown = np.isnan(nominal).any(axis=1, keepdims=True)
        return np.where(unknown, nominal, true)


def _signs(nominal: FloatArray, jumps: dict[int, FloatArray]) -> FloatArray:
    """Which way (K + 1, 2) each axis went last, after so many moves; 0 where it has not moved
    since it was at home.
    """
    signs = np.zeros((len(nominal) + 1, 2))
    starts = np.vstack([nominal[:1], nominal[:-1]])
    for index, place in jumps.items():
        if index < len(nominal):
            starts[index] = place
    steps = nominal - starts
    steps[np.abs(steps) < _SNAP] = 0.0
    begins = sorted({0, *(index for index in jumps if index < len(nominal))})
    for first, end in zip(begins, [*begins[1:], len(nominal)], strict=True):
        row = np.arange(end - first)[:, None]
        part = np.sign(np.nan_to_num(steps[first:end]))
        last = np.maximum.accumulate(np.where(part != 0, row, -1), axis=0)
        found = np.take_along_axis(part, np.maximum(last, 0), axis=0)
        signs[first + 1 : end + 1] = np.where(last >= 0, found, 0.0)
    return signs
