"""From shapely geometries to ragged strokes and back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from plotlib.arrays.ragged import Ragged, empty, offsets_of, stroke_of
from plotlib.checks import FloatArray, IntArray
from plotlib.errors import InvalidValue

_COLLECTIONS = (
    4,
    5,
    6,
    7,
)  # shapely's type numbers: multi point, multi line, multi polygon, collection
_POLYGON = 3


def unpack(geometries: Sequence[Any]) -> Ragged:
    """Points as dots, lines and rings as strokes, polygons as their outer and inner rings, in the
    order given; nothing from empty ones.
    """
    parts = np.asarray(geometries, dtype=object)
    while np.isin(shapely.get_type_id(parts), _COLLECTIONS).any():
        parts = shapely.get_parts(parts)
    if shapely.has_z(parts).any():
        raise InvalidValue(
            "the shapely geometry has z; a drawing is flat: use shapely.force_2d first"
        )
    polygons = shapely.get_type_id(parts) == _POLYGON
    if polygons.any():
        rings, owner = shapely.get_rings(parts[polygons], return_index=True)
        keys = np.concatenate([np.flatnonzero(~polygons), np.flatnonzero(polygons)[owner]])
        parts = np.concatenate([parts[~polygons], rings])[np.argsort(keys, kind="stable")]
    points, owner = shapely.get_coordinates(parts, return_index=True)
    counts = np.bincount(owner, minlength=len(parts)).astype(np.int64)
    return (points, offsets_of(counts[counts > 0])) if len(points) else empty()


def to_lines(points: FloatArray, offsets: IntArray) -> Any:
    """An object array (M,) of shapely geometries: a Point for a dot, else a LineString."""
    counts = np.diff(offsets)
    result = np.empty(len(counts), dtype=object)
    dots = counts == 1
    result[dots] = shapely.points(points[offsets[:-1][dots]])
    if not dots.all():
        index = stroke_of(offsets)
        long = ~dots[index]
        renumbered = (np.cumsum(~dots) - 1)[index[long]]
        result[~dots] = shapely.linestrings(points[long], indices=renumbered)
    return result
