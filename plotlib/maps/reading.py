"""Places in longitude and latitude from GeoJSON (RFC 7946), WKT or shapely."""

from __future__ import annotations

import json
import math
import os
import re
from typing import Any

import shapely

from plotlib.errors import InvalidValue
from plotlib.files import read_text

_KINDS: dict[str, tuple[Any, int]] = {  # what makes it, and how deep its positions lie
    "Point": (shapely.Point, 0),
    "MultiPoint": (shapely.MultiPoint, 1),
    "LineString": (shapely.LineString, 1),
    "MultiLineString": (shapely.MultiLineString, 2),
    "Polygon": (shapely.Polygon, 2),
    "MultiPolygon": (shapely.MultiPolygon, 3),
}
_WKT = re.compile(r"[A-Z]+( Z| M| ZM)?\s*(\(.*\)|EMPTY)", re.IGNORECASE | re.DOTALL)
_DEEPEST = 50  # collections inside collections; RFC 7946, 3.1.8, says to avoid any


def read(geometry: Any) -> Any:
    """Places in longitude and latitude as one shapely geometry.

    Parameters
    ----------
    geometry : str, path, dict or shapely geometry
        GeoJSON (RFC 7946) as a file, as its text or as what ``json.loads`` makes of it; a text in
        WKT; or a geometry of shapely. In degrees, longitude first, WGS 84.

    Returns
    -------
    shapely geometry
        A single one, or a collection of all. Heights, properties, features without a geometry and
        the order in which rings turn are overlooked.

    Raises
    ------
    InvalidValue
        If it is none of these, or a position is not finite, off the poles, or a ring is not closed;
        the message says where.
    NotRead
        If a file cannot be read.

    Examples
    --------
    >>> read("LINESTRING (170 45, -170 45)").length
    340.0
    >>> read({"type": "Point", "coordinates": [-7.6, 57.1, 12]}).wkt
    'POINT (-7.6 57.1)'
    """
    found = _geometry(geometry)
    coordinates = shapely.get_coordinates(found)
    bad = ~(abs(coordinates) <= (720.0, 90.0)).all(axis=1)
    if bad.any():
        lon, lat = coordinates[bad][0].tolist()
        raise InvalidValue(
            f"({lon:g}, {lat:g}) is no longitude and latitude in degrees; positions are longitude "
            f"first, and latitudes from -90 to 90",
            name="geometry",
            value=(lon, lat),
        )
    return found


def _geometry(thing: Any) -> Any:
    if isinstance(thing, shapely.Geometry):
        return shapely.force_2d(thing)
    if isinstance(thing, dict):
        return _from_object(thing, "$", 0)
    if isinstance(thing, str) and thing.lstrip()[:1] == "{":
        return _from_json(thing)
    if (isinstance(thing, str) and "(" in thing) or (isinstance(thing, str) and "EMPTY" in thing):
        try:
            return shapely.force_2d(shapely.from_wkt(thing))
        except shapely.errors.GEOSException as error:
            raise InvalidValue(
                f"this is no WKT: {str(error)[:200]}", name="geometry", value=thing
            ) from error
    if isinstance(thing, (str, os.PathLike)):
        return _from_json(read_text(thing, "geometry (a GeoJSON file)"))
    raise InvalidValue(
        f"geometry must be GeoJSON, WKT or a shapely geometry, got {thing!r:.200}",
        name="geometry",
        value=thing,
    )


def _from_json(text: str) -> Any:
    try:
        value = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InvalidValue(f"this is no JSON: {str(error)[:200]}", name="geometry") from error
    return _from_object(value, "$", 0)


def _from_object(value: Any, where: str, depth: int) -> Any:
    """A GeoJSON object; ``where`` is its place in the document."""
    kind = value.get("type") if isinstance(value, dict) else None
    if depth > _DEEPEST:
        raise _wrong(where, f"collections lie more than {_DEEPEST} deep in each other")
    if kind == "Feature":
        inner = value.get("geometry")
        if inner is None:  # RFC 7946, 3.2: an unlocated feature
            return shapely.GeometryCollection()
        return _from_object(inner, f"{where}.geometry", depth + 1)
    if kind in ("FeatureCollection", "GeometryCollection"):
        name = "features" if kind == "FeatureCollection" else "geometries"
        items = value.get(name)
        if not isinstance(items, list):
            raise _wrong(where, f"a {kind} needs an array {name}")
        parts = [
            _from_object(item, f"{where}.{name}[{k}]", depth + 1) for k, item in enumerate(items)
        ]
        return shapely.GeometryCollection([part for part in parts if not part.is_empty])
    if kind not in _KINDS:
        raise _wrong(where, f"type must be one of GeoJSON's, got {kind!r:.60}")
    return _from_coordinates(str(kind), value.get("coordinates"), f"{where}.coordinates")


def _from_coordinates(kind: str, value: Any, where: str) -> Any:
    make, depth = _KINDS[kind]
    places = _positions(value, where, depth)
    if kind == "Polygon":
        return _polygon(places, where)
    if kind == "MultiPolygon":
        return shapely.MultiPolygon([_polygon(each, where) for each in places])
    if kind == "LineString" and len(places) == 1:
        raise _wrong(where, "a LineString needs two positions or more")
    if kind == "Point" and not places:
        return shapely.Point()
    return make(places)


def _polygon(rings: Any, where: str) -> Any:
    for ring in rings:
        if len(ring) < 4 or ring[0] != ring[-1]:  # RFC 7946, 3.1.6
            raise _wrong(where, "a ring needs four positions or more, the last as the first")
    return shapely.Polygon(rings[0], rings[1:]) if rings else shapely.Polygon()


def _positions(value: Any, where: str, depth: int) -> Any:
    """Nested arrays of positions as tuples of two numbers."""
    if not isinstance(value, list):
        raise _wrong(where, f"an array is needed, got {value!r:.60}")
    if depth:
        return [_positions(item, f"{where}[{k}]", depth - 1) for k, item in enumerate(value)]
    if not value:
        return ()
    if len(value) < 2 or not all(_is_number(number) for number in value[:2]):
        raise _wrong(where, f"a position is two numbers or three, got {value!r:.60}")
    return (float(value[0]), float(value[1]))


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


def _wrong(where: str, reason: str) -> InvalidValue:
    return InvalidValue(f"GeoJSON, {where}: {reason}", name="geometry", where=where)
