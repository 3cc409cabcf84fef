"""Cutting geometry where the map ends: at the meridian opposite its middle."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely
from shapely import affinity

from plotlib.checks import FloatArray, finite
from plotlib.maps.reading import read

_FARTHEST = 720.0  # degrees: rings that wind round the pole more than once are no places


def cut_at(geometry: Any, meridian: float = 180.0) -> Any:
    """Cut geometry along a meridian, so that no part of it reaches across.

    Steps of more than 180 degrees of longitude are taken to go the short way round, as in RFC 7946,
    3.1.9; a ring that goes all round the earth encloses the pole that is nearer.

    Parameters
    ----------
    geometry : GeoJSON, WKT or shapely geometry
        As `read` takes it.
    meridian : float, default 180
        Degrees, -360 to 360.

    Returns
    -------
    shapely geometry
        With longitudes from ``meridian - 360`` to ``meridian``.

    Raises
    ------
    InvalidValue
        If an argument is invalid.
    NotRead
        If ``geometry`` is a path to a file that is missing or cannot be read.

    Examples
    --------
    The example of RFC 7946, 3.1.9:

    >>> cut_at("LINESTRING (170 45, -170 45)").wkt
    'MULTILINESTRING ((170 45, 180 45), (-180 45, -170 45))'
    """
    edge = finite("meridian", meridian)
    whole = read(geometry)
    parts = [
        part
        for single in singles(whole)
        for part in _shifted(_unwrapped(single), edge)
        if not part.is_empty
    ]
    if len(parts) == 1:
        return parts[0]
    kinds = {part.geom_type for part in parts}
    if kinds == {"LineString"}:
        return shapely.MultiLineString(parts)
    if kinds == {"Polygon"}:
        return shapely.MultiPolygon(parts)
    return shapely.GeometryCollection(parts)


def singles(geometry: Any) -> list[Any]:
    """The points, lines and areas of a geometry one by one, without the empty ones."""
    parts = [geometry]
    while any(hasattr(part, "geoms") for part in parts):
        parts = [inner for part in parts for inner in getattr(part, "geoms", [part])]
    return [part for part in parts if not part.is_empty]


def _unwrapped(single: Any) -> Any:
    """The geometry with longitudes that do not jump."""
    if single.geom_type == "Polygon":
        shell = _ring(single.exterior)
        holes = [_beside(_ring(hole), shell) for hole in single.interiors]
        return shapely.make_valid(shapely.Polygon(shell, holes))
    if single.geom_type == "Point":
        return single
    return shapely.LineString(_line(single))


def _line(line: Any) -> FloatArray:
    points = shapely.get_coordinates(line)
    points[:, 0] = np.unwrap(points[:, 0], period=360.0)
    return points


def _ring(ring: Any) -> FloatArray:
    """The ring (n, 2); one that goes round the earth is closed over the pole."""
    points = _line(ring)
    if abs(points[-1, 0] - points[0, 0]) < 180.0:
        return points
    pole = math.copysign(90.0, float(points[:, 1].mean()))
    over = [(points[-1, 0], pole), (points[0, 0], pole), tuple(points[0])]
    return np.vstack([points, over])


def _beside(hole: FloatArray, shell: FloatArray) -> FloatArray:
    """The hole on the same turn round the earth as its shell."""
    middle = (shell[:, 0].min() + shell[:, 0].max()) / 2
    off = (hole[:, 0].min() + hole[:, 0].max()) / 2 - middle
    moved = hole.copy()
    moved[:, 0] -= 360.0 * np.round(off / 360.0)
    return moved


def _shifted(single: Any, edge: float) -> list[Any]:
    """The parts of a geometry on each turn, all moved onto the one that ends at ``edge``."""
    west, _, east, _ = single.bounds
    first = math.floor((west - edge) / 360.0 + 1.0)
    last = max(first, math.ceil((east - edge) / 360.0))
    parts = []
    for turn in range(first, last + 1):
        right = edge + 360.0 * turn
        inside = single
        if west < right - 360.0 or east > right:
            band = shapely.box(right - 360.0, -90.0, right, 90.0)
            inside = shapely.intersection(single, band)
        moved = affinity.translate(inside, -360.0 * turn)
        parts += [part for part in singles(moved) if part.geom_type != "Point" or _is_dot(single)]
    return parts


def _is_dot(single: Any) -> bool:
    return bool(single.geom_type == "Point")
