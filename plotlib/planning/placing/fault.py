"""What is told of a drawing that may not be drawn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plotlib.checks import FloatArray
from plotlib.pen import Pen
from plotlib.planning.placing.grid import GridStrokes


@dataclass(frozen=True)
class Fault:
    """The first thing that keeps a drawing out.

    Attributes
    ----------
    told : str
        What, where and by how much.
    stroke : int
        The worst stroke in the drawing that was given.
    side : str
        Where it leaves: a side, "edge" of a sheet that is no rectangle or lies turned, or
        "keep-out".
    excess : float
        By how many mm.
    count : int
        How many strokes do.
    """

    told: str
    stroke: int
    side: str
    excess: float
    count: int


def halves(strokes: GridStrokes, pens: tuple[Pen, ...]) -> FloatArray:
    """Half the width (M,) of each stroke's pen in mm."""
    return np.array([pen.width / 2 for pen in pens], np.float64)[strokes.pen_index]
