"""The coverage that is wanted, asked for at points."""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray
from plotlib.images.wanted import Wanted


def at(asked: Wanted, points: FloatArray) -> FloatArray:
    """Coverage at points (n, 2) in mm, bilinear between the middles of cells; that of the edge
    beyond the rectangle.
    """
    from scipy.ndimage import map_coordinates

    column = (points[:, 0] - asked.left) / asked.cell_x - 0.5
    row = (points[:, 1] - asked.bottom) / asked.cell_y - 0.5
    found = map_coordinates(asked.values, np.stack([row, column]), order=1, mode="nearest")
    return np.asarray(found, np.float64)
