"""Where what grows in steps may set a point, so that the strokes between points stay in an area."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.checks import BoolArray, FloatArray
from plotlib.growth.afford import Limit, affordable
from plotlib.growth.afford import cells as cells_in

_MOST = 30_000_000  # cells
CELLS = 3.0  # in a step
_ARC = 1.006  # corners of buffers lie up to 0.5 % inside the true arc


class Room(NamedTuple):
    """Cells that lie in the area as a whole, and farther than half a step from its edge. A stroke
    of one step between two points in such cells is nowhere farther than half a step from one of
    its ends, and so in the area.
    """

    is_in: BoolArray  # (rows, columns)
    origin: FloatArray  # (4,): left, bottom, width and height of a cell

    def holds(self, points: FloatArray) -> BoolArray:
        """Which points (n, 2) are in the room."""
        cell = np.floor((points - self.origin[:2]) / self.origin[2:]).astype(np.int64)
        rows, columns = self.is_in.shape
        fits = (cell >= 0) & (cell < (columns, rows))
        inside = np.asarray(fits.all(axis=1), np.bool_)
        inside[inside] = self.is_in[cell[inside, 1], cell[inside, 0]]
        return inside


def cells_of(bounds: tuple[float, float, float, float], share: float) -> Limit:
    """The limit of a room whose cells have a ``share`` of a length as their side."""
    return Limit(cells_in(bounds, share), _MOST, "cells")


def room(
    area: Polygon | MultiPolygon, step: float, name: str, value: float, *, cells: float = CELLS
) -> Room:
    """The room of an area for strokes of ``step`` mm, in so many ``cells`` a step; ``name`` and
    ``value`` are the argument that is to blame for too many of them.
    """
    side = step / cells
    left, bottom, right, top = (0.0,) * 4 if area.is_empty else area.bounds
    limit = cells_of((left, bottom, right, top), side / value)
    affordable(name, value, limit, remedy="take a larger one, {} mm or more")
    columns = np.ceil((right - left) / side) + 1
    rows = np.ceil((top - bottom) / side) + 1
    origin = np.array([left, bottom, side, side])
    is_in = np.zeros((int(rows), int(columns)), np.bool_)
    inner = shapely.buffer(area, -step / 2 * _ARC, quad_segs=8)
    if inner.is_empty:
        return Room(is_in, origin)
    return Room(_within(inner, origin, is_in), origin)


def _within(inner: Polygon | MultiPolygon, origin: FloatArray, is_in: BoolArray) -> BoolArray:
    """Cells that the edge does not come near, where the first of each patch of them is inside."""
    from scipy import ndimage

    samples = shapely.get_coordinates(shapely.segmentize(inner.boundary, 0.5 * origin[2]))
    cell = np.floor((samples - origin[:2]) / origin[2:]).astype(np.int64)
    is_edge = np.zeros_like(is_in)
    is_edge[cell[:, 1], cell[:, 0]] = True
    is_edge = ndimage.binary_dilation(is_edge, np.ones((3, 3), np.bool_))
    patch, count = ndimage.label(~is_edge)
    names, first = np.unique(patch, return_index=True)
    row, column = np.unravel_index(first, patch.shape)
    shapely.prepare(inner)
    x = origin[0] + origin[2] * (column + 0.5)
    y = origin[1] + origin[3] * (row + 0.5)
    inside = np.zeros(count + 1, np.bool_)
    inside[names] = shapely.contains_xy(inner, x, y)
    inside[0] = False
    found: BoolArray = inside[patch]
    return found


def middles(place: Room) -> FloatArray:
    """The middles (n, 2) of all cells in the room, row after row."""
    row, column = np.nonzero(place.is_in)
    return np.column_stack(
        [
            place.origin[0] + place.origin[2] * (column + 0.5),
            place.origin[1] + place.origin[3] * (row + 0.5),
        ]
    )
