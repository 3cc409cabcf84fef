"""Where what grows in steps may set a point, so that the strokes between points stay in an area."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.checks import BoolArray, FloatArray

_CELLS = 3.0  # cells a step
_MOST = 30_000_000  # cells
_ARC = 1.006  # corners of buffers lie up to 0.5 % inside the true arc


class Room(NamedTuple):
    """Cells that lie in the area as a whole, and farther than half a step from its edge. A stroke
    of one step between two points in such cells is nowhere farther than half a step from one of
    its ends, and so in the area.
    """

    is_in: BoolArray  # (rows, columns)
    origin: FloatArray  # (4,): left, bottom, width and height of a cell


def room(area: Polygon | MultiPolygon, step: float, name: str, value: float) -> Room:
    """The room of an area for strokes of ``step`` mm; ``name`` and ``value`` are the argument that
    is to blame for too many cells.
    """
    side = step / _CELLS
    left, bottom, right, top = (0.0,) * 4 if area.is_empty else area.bounds
    columns = np.ceil((right - left) / side) + 1
    rows = np.ceil((top - bottom) / side) + 1
    checks.affordable(name, value, rows * columns, _MOST, "cells", "take a larger one")
    origin = np.array([left, bottom, side, side])
    is_in = np.zeros((int(rows), int(columns)), np.bool_)
    inner = shapely.buffer(area, -step / 2 * _ARC, quad_segs=8)
    for part in shapely.get_parts(inner):
        _fill(is_in, origin, part)
    return Room(is_in, origin)


def _fill(is_in: BoolArray, origin: FloatArray, part: Polygon) -> None:
    """Mark the cells in one part."""
    side = origin[2]
    if part.is_empty:
        return
    left, bottom, right, top = part.bounds
    columns = np.arange(int((left - origin[0]) / side), int((right - origin[0]) / side) + 1)
    rows = np.arange(int((bottom - origin[1]) / side), int((top - origin[1]) / side) + 1)
    shapely.prepare(part)
    for row in rows:  # rows one by one: a square for each cell of a large area is much memory
        low = origin[1] + side * row
        begin = origin[0] + side * columns
        cells = shapely.box(begin, low, begin + side, low + side)
        is_in[row, columns] |= np.asarray(shapely.covers(part, cells), np.bool_)


def middles(place: Room) -> FloatArray:
    """The middles (n, 2) of all cells in the room, row after row."""
    row, column = np.nonzero(place.is_in)
    return np.column_stack(
        [
            place.origin[0] + place.origin[2] * (column + 0.5),
            place.origin[1] + place.origin[3] * (row + 0.5),
        ]
    )
