"""Where Z must stand so that the pen just draws on a bed that is not flat."""

from __future__ import annotations

from plotlib.checks import IntArray
from plotlib.machine import Machine


def pressed(places: IntArray, machine: Machine) -> IntArray:
    """Z (N,) of a pen that draws at places (N, 2), all in units, for a machine with a height map:
    the higher the bed, the farther towards the raised pen.
    """
    heights = machine.lift.heights
    bed = machine.height_map
    assert heights is not None
    assert bed is not None
    towards_up = 1.0 if heights.up > heights.down else -1.0
    units: IntArray = machine.to_units(heights.down + towards_up * bed.at(machine.to_mm(places)))
    return units
