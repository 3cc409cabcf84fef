"""The edges of an area, made ready for compiled kernels."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

if TYPE_CHECKING:
    from plotlib.fields.walls_kernel import Walls

_ACROSS = 400  # cells along the longer side, at most


def walls_of(area: Polygon | MultiPolygon, least: float) -> Walls:
    """Walls in cells of at least ``least`` mm; the area must not be empty."""
    from plotlib.fields.walls_kernel import MIDDLE_X, MIDDLE_Y, Walls, sort_edges

    left, bottom, right, top = area.bounds
    cell = max(least, max(right - left, top - bottom) / _ACROSS)
    columns, rows = (max(1, math.ceil(side / cell)) for side in (right - left, top - bottom))
    corners, owner = shapely.get_coordinates(
        shapely.get_rings(shapely.get_parts(area)), return_index=True
    )
    edges = np.hstack([corners[:-1], corners[1:]])[owner[1:] == owner[:-1]]
    shapely.prepare(area)
    x = left + cell * (np.arange(columns) + MIDDLE_X)
    y = bottom + cell * (np.arange(rows) + MIDDLE_Y)
    middle = shapely.contains_xy(area, x[None, :], y[:, None])
    starts, listed = sort_edges(edges, left, bottom, cell, columns, rows)
    return Walls(edges, starts, listed, middle.ravel(), left, bottom, cell, columns, rows)
