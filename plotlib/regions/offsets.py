"""Areas made smaller and larger by a distance."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from plotlib.checks import BoolArray, finite
from plotlib.drawing import RegionLike
from plotlib.regions.door import as_region

# Chords in a quarter of a round corner: they stand 0.03 % of the radius off it.
_QUARTER = 32
_EXACT = 1e-9  # mm
_FARTHER = (1.0004, 1.001, 1.003, 1.01, 1.02, 1.05)


def inset(region: RegionLike, distance: float) -> Polygon | MultiPolygon:
    """The part of an area at least ``distance`` from its edge.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    distance : float
        In mm. Parts thinner than twice this vanish; a negative distance gives `outset`.

    Returns
    -------
    Polygon or MultiPolygon
        Outside corners stay sharp, inside corners become round. No point is nearer to the edge than ``distance`` less 1e-9 mm.
        Empty when nothing is left.

    Examples
    --------
    >>> inset(shapely.box(0, 0, 10, 10), 2).bounds
    (2.0, 2.0, 8.0, 8.0)
    """
    area, wanted = as_region(region), finite("distance", distance, unit="mm")
    if wanted <= 0 or area.is_empty:
        return area if wanted == 0 or area.is_empty else outset(area, -wanted)
    parts = shapely.get_parts(area)
    smaller = shapely.buffer(parts, -wanted, quad_segs=_QUARTER)
    near = np.flatnonzero(_too_near(smaller, parts, wanted))
    for factor in _FARTHER:  # chords of round corners, and shapely's own simplifying, come a hair too near to the edge
        if not len(near):
            break
        smaller[near] = shapely.buffer(parts[near], -factor * wanted, quad_segs=_QUARTER)
        near = near[_too_near(smaller[near], parts[near], wanted)]
    return smaller[0] if len(smaller) == 1 else only_areas(shapely.GeometryCollection(list(smaller)))


def _too_near(smaller: NDArray[np.object_], parts: NDArray[np.object_], distance: float) -> BoolArray:
    edge = shapely.boundary(parts)
    shapely.prepare(edge)
    near: BoolArray = shapely.dwithin(edge, shapely.boundary(smaller), distance - _EXACT)
    return near


def outset(region: RegionLike, distance: float) -> Polygon | MultiPolygon:
    """An area and all within ``distance`` of it.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    distance : float
        In mm; a negative distance gives `inset`.

    Returns
    -------
    Polygon or MultiPolygon
        Outside corners become round: their chords lie inside the true arc, by no more than 0.03 % of the distance.

    Examples
    --------
    >>> outset(shapely.box(0, 0, 10, 10), 2).bounds
    (-2.0, -2.0, 12.0, 12.0)
    """
    area, wanted = as_region(region), finite("distance", distance, unit="mm")
    if wanted <= 0 or area.is_empty:
        return area if wanted == 0 or area.is_empty else inset(area, -wanted)
    return only_areas(shapely.buffer(area, wanted, quad_segs=_QUARTER))


def only_areas(thing: shapely.Geometry) -> Polygon | MultiPolygon:
    """The polygons of whatever shapely gave, which do not overlap."""
    if isinstance(thing, (Polygon, MultiPolygon)):
        return thing
    parts = shapely.get_parts(shapely.get_parts(thing))
    parts = parts[(shapely.get_type_id(parts) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(parts)]
    return Polygon() if not len(parts) else parts[0] if len(parts) == 1 else MultiPolygon(list(parts))
