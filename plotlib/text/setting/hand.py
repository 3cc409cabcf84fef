"""An unsteady hand: strokes displaced a little by a smooth field, so that no two letters are alike.

A few plane waves of random direction and phase, as long as one to four capitals are tall. The
field is continuous, so letters that join stay joined, and it is slight from point to point, so
that strokes keep their form.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, Seed, generator

_WAVES = 6
_LONG = (1.1, 4.0)  # capitals; shorter waves would crumple a letter
_REACH = 0.5  # of the height: the displacement at a wobble of 1, root mean square


def unsteady(points: FloatArray, height: float, wobble: float, seed: Seed) -> FloatArray:
    """Points (n, 2) in mm, displaced by some share ``wobble`` of the ``height`` of the capitals."""
    random = generator(seed)
    if not wobble or not len(points):
        return points
    long = height * random.uniform(*_LONG, _WAVES)
    turn = random.uniform(0.0, 2.0 * np.pi, _WAVES)
    waves = 2.0 * np.pi / long * np.array([np.cos(turn), np.sin(turn)])
    phase = random.uniform(0.0, 2.0 * np.pi, (2, _WAVES))
    size = wobble * _REACH * height * np.sqrt(2.0 / _WAVES)
    angles = points @ waves
    moved = [size * np.sin(angles + row).sum(axis=1) for row in phase]
    return np.asarray(points + np.column_stack(moved))
