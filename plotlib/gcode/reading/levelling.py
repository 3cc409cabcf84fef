"""What a machine's height map makes of the heights that its controller counts: how high the pen
stands over the bed, wherever that is.

The bilinear interpolation is scipy's, and not that by which heights are found for writing.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray
from plotlib.machine import HeightMap, Machine

_ROUNDED = 0.5 + 1e-6  # units: what a height that was rounded to the grid may be off


def levelled(z: FloatArray, places: FloatArray, machine: Machine) -> FloatArray:
    """Heights Z (n,) at places (n, 2) as they would be over a flat bed, all in mm; where that is
    ``down`` but for rounding, the lift's own float. Not a number where something is unknown.
    """
    bed = machine.height_map
    heights = machine.lift.heights
    if bed is None or heights is None or not len(z):
        return z
    risen = bed_at(places, bed)
    flat = z - risen if heights.up > heights.down else z + risen
    is_down = np.abs(flat - heights.down) <= _ROUNDED * machine.unit
    return np.where(is_down, heights.down, flat)


def bed_at(places: FloatArray, bed: HeightMap) -> FloatArray:
    """How high (n,) the bed is at places (n, 2), in mm; not a number where one is unknown."""
    from scipy.interpolate import RegularGridInterpolator

    table = RegularGridInterpolator((np.array(bed.x), np.array(bed.y)), np.array(bed.heights).T)
    low = (bed.x[0], bed.y[0])
    high = (bed.x[-1], bed.y[-1])
    risen: FloatArray = np.full(len(places), np.nan)
    known = ~np.isnan(places).any(axis=1)
    risen[known] = table(np.clip(places[known], low, high))
    return risen
