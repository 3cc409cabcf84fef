"""The refusal of open strokes where an area is wanted: which one is open, by how much, and what
would close it.
"""

from __future__ import annotations

import numpy as np

from plotlib.arrays.ragged import closed, gaps
from plotlib.checks import FloatArray, IntArray
from plotlib.errors import InvalidValue

_REMEDY = "repeat its first point at its end, or draw it with closed=True"


def check_rings(points: FloatArray, offsets: IntArray, name: str, *, every: bool = False) -> None:
    """Refuse strokes none of which is closed, or with ``every`` those of which some are not; no
    strokes at all are legal.

    Raises
    ------
    InvalidValue
        With the attributes ``stroke`` (the first open one of three or more points, else the first
        open one), ``gap`` (mm between its ends) and ``count`` (of open strokes).
    """
    rings = closed(points, offsets)
    if rings.all() or (rings.any() and not every):
        return
    is_open = np.flatnonzero(~rings)
    sizes = np.diff(offsets)
    stroke = int(is_open[np.argmax(sizes[is_open] >= 3)])
    gap = float(gaps(points, offsets)[stroke])
    which = "every stroke of it must be closed" if every else "it has no closed stroke"
    raise InvalidValue(
        f"{name} must be an area, but {which}: stroke {stroke} "
        f"{_described(points[offsets[stroke] : offsets[stroke + 1]], gap)}"
        f"{_others(len(is_open) - 1)}; {_REMEDY}",
        name=name,
        stroke=stroke,
        gap=gap,
        count=len(is_open),
    )


def _described(stroke: FloatArray, gap: float) -> str:
    if len(stroke) == 1:
        return f"is a dot at ({stroke[0, 0]:g}, {stroke[0, 1]:g})"
    if not gap:
        return "goes to one other point and back"
    start = f"({stroke[0, 0]:g}, {stroke[0, 1]:g})"
    end = f"({stroke[-1, 0]:g}, {stroke[-1, 1]:g})"
    return f"is open, it begins at {start} and ends at {end}, {gap:.3g} mm away"


def _others(count: int) -> str:
    if not count:
        return ""
    return f" (and {count:,} more)"
