"""Many images of one motif as one drawing."""

from __future__ import annotations

import numpy as np

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue

_MOST = 20_000_000  # points of all images, and images


def as_motif(drawing: Drawing) -> Drawing:
    """The drawing, or an error for what is none."""
    if not isinstance(drawing, Drawing):
        raise InvalidValue(
            f"drawing must be a Drawing; got {type(drawing).__name__}", name="drawing"
        )
    return drawing


def affordable(name: str, value: float, count: float, what: str, remedy: str) -> None:
    """Refuse what would make too many images, or points of them."""
    checks.affordable(name, value, count, _MOST, what, remedy)


def together(motif: Drawing, points: FloatArray, count: int) -> Drawing:
    """``count`` images of the motif, whose points (count * N, 2) follow one another."""
    offsets = ragged.offsets_of(np.tile(np.diff(motif.offsets), count))
    return Drawing._make(points, offsets, np.tile(motif.pen_index, count), motif.pens)
