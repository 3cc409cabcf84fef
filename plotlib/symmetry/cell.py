"""The cell that a wallpaper repeats: checked against the lattice of its group."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue

_WANTED = {
    "oblique": "(a, b, angle)",
    "rectangular": "(a, b)",
    "square": "one length",
    "hexagonal": "one length",
}
_LEAST_ANGLE = 5.0  # degrees; a flatter cell has no use, and its images are countless


def cell_matrix(cell: Any, lattice: str, turned: float) -> FloatArray:
    """The two sides of the cell as columns (2, 2), in mm.

    ``cell`` is one length where the lattice is square or hexagonal, else lengths (a, b), and for an
    oblique lattice also the angle between them (90 degrees when left out).
    """
    sizes = np.atleast_1d(checks.numbers("cell", cell)).ravel().tolist()
    allowed = {"oblique": (1, 2, 3), "rectangular": (1, 2)}.get(lattice, (1,))
    if len(sizes) not in allowed:
        raise InvalidValue(
            f"the cell of a group with a {lattice} lattice is {_WANTED[lattice]} in mm; got "
            f"{len(sizes)} numbers",
            name="cell",
            value=cell,
        )
    a = checks.positive("cell", sizes[0], unit="mm")
    b = checks.positive("cell", sizes[1], unit="mm") if len(sizes) > 1 else a
    between = 120.0 if lattice == "hexagonal" else 90.0
    if len(sizes) > 2:
        between = checks.between(
            "cell's angle", sizes[2], _LEAST_ANGLE, 180 - _LEAST_ANGLE, unit="degrees"
        )
    start = math.radians(turned)
    end = math.radians(turned + between)
    sides: FloatArray = np.array(
        [[a * math.cos(start), b * math.cos(end)], [a * math.sin(start), b * math.sin(end)]]
    )
    return sides
