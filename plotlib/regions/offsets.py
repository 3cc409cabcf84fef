"""Areas made smaller and larger by a distance."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.constructive import BufferJoinStyle

from plotlib.checks import BoolArray, IntArray, finite, not_negative, one_of
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
        Outside corners stay sharp, inside corners become round. No point is nearer to the edge than
        ``distance`` less 1e-9 mm. Empty when nothing is left.

    Raises
    ------
    InvalidValue
        If ``region`` is no area, or ``distance`` is not finite.

    References
    ----------
    J. Serra, *Image Analysis and Mathematical Morphology*, Academic Press 1982 (erosion by a disc;
    from memory).

    Examples
    --------
    >>> inset(shapely.box(0, 0, 10, 10), 2).bounds
    (2.0, 2.0, 8.0, 8.0)
    """
    area = as_region(region)
    wanted = finite("distance", distance, unit="mm")
    if wanted <= 0 or area.is_empty:
        return area if wanted == 0 or area.is_empty else outset(area, -wanted)
    parts = shapely.get_parts(area)
    smaller = shapely.buffer(parts, -wanted, quad_segs=_QUARTER)
    near = np.flatnonzero(_too_near(smaller, parts, wanted))
    # Chords of round corners, and shapely's own simplifying, come a hair too near to the edge.
    for factor in _FARTHER:
        if not len(near):
            break
        smaller[near] = shapely.buffer(parts[near], -factor * wanted, quad_segs=_QUARTER)
        near = near[_too_near(smaller[near], parts[near], wanted)]
    return (
        smaller[0] if len(smaller) == 1 else only_areas(shapely.GeometryCollection(list(smaller)))
    )


def _too_near(
    smaller: NDArray[np.object_], parts: NDArray[np.object_], distance: float
) -> BoolArray:
    edge = shapely.boundary(parts)
    shapely.prepare(edge)
    near: BoolArray = shapely.dwithin(edge, shapely.boundary(smaller), distance - _EXACT)
    return near


def outset(
    region: RegionLike, distance: float, *, corners: str = "round"
) -> Polygon | MultiPolygon:
    """An area and all within ``distance`` of it.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    distance : float
        In mm; a negative distance gives `inset`.
    corners : {"round", "sharp"}
        What outside corners become. Round ones have chords inside the true arc, by no more than
        0.03 % of the distance; sharp ones reach farther than the distance, and are cut off at five
        times of it.

    Returns
    -------
    Polygon or MultiPolygon
        The larger area, accurate to 1 % of the distance (shapely straightens dents smaller than
        that); inside corners stay sharp.

    Raises
    ------
    InvalidValue
        If ``region`` is no area, or ``distance`` is not finite.
    UnknownName
        If ``corners`` is another word.

    References
    ----------
    J. Serra, *Image Analysis and Mathematical Morphology*, Academic Press 1982 (dilation by a disc;
    from memory).

    Examples
    --------
    >>> outset(shapely.box(0, 0, 10, 10), 2).bounds
    (-2.0, -2.0, 12.0, 12.0)
    """
    area = as_region(region)
    wanted = finite("distance", distance, unit="mm")
    shape = one_of("corners", corners, ("round", "sharp"))
    if wanted <= 0 or area.is_empty:
        return area if wanted == 0 or area.is_empty else inset(area, -wanted)
    style = BufferJoinStyle.round if shape == "round" else BufferJoinStyle.mitre
    parts = shapely.get_parts(area)
    larger = _larger(parts, wanted, style)
    # Shapely's buffer of parts that stay apart takes time that grows with their square.
    return _put_together(
        [
            larger[group[0]]
            if len(group) == 1
            else _larger(MultiPolygon(list(parts[group])), wanted, style)
            for group in clusters(larger)
        ]
    )


def _larger(area: Any, distance: float, style: BufferJoinStyle) -> Any:
    return shapely.buffer(area, distance, quad_segs=_QUARTER, join_style=style, mitre_limit=5.0)


def rounded(region: RegionLike, radius: float, *, corners: str = "all") -> Polygon | MultiPolygon:
    """An area with round corners.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    radius : float
        Of the corners in mm, >= 0.
    corners : {"all", "outside", "inside"}
        Which corners: those that point outward, those that point inward, or both.

    Returns
    -------
    Polygon or MultiPolygon
        Round outside corners take away parts thinner than twice the radius; round inside corners
        fill gaps narrower than that.

    Raises
    ------
    InvalidValue
        If ``region`` is no area, or ``radius`` is negative or not finite.
    UnknownName
        If ``corners`` is another word.

    References
    ----------
    J. Serra, *Image Analysis and Mathematical Morphology*, Academic Press 1982 (opening and closing
    by a disc; from memory).

    Examples
    --------
    >>> smooth = rounded(shapely.box(0, 0, 10, 10), 2, corners="outside")
    >>> round(100 - smooth.area, 2)  # (4 - pi) * 2 ** 2, and chords for arcs
    3.44
    """
    area = as_region(region)
    far = not_negative("radius", radius, unit="mm")
    which = one_of("corners", corners, ("all", "outside", "inside"))
    if far and which != "outside":
        area = _smaller(outset(area, far), far)
    if far and which != "inside":
        area = outset(_smaller(area, far), far)
    return area


def _smaller(area: Polygon | MultiPolygon, distance: float) -> Polygon | MultiPolygon:
    """An inset that may come a hair of its chords too near to the edge: as exact as the arcs."""
    parts = shapely.buffer(shapely.get_parts(area), -distance, quad_segs=_QUARTER)
    return _put_together(list(parts[~shapely.is_empty(parts)]))


def united(areas: Any) -> Polygon | MultiPolygon:
    """One area of many polygons (n,) that may overlap.

    Only what meets is handed to shapely's union together: its time grows faster than the number of
    polygons, even where they lie far apart.
    """
    return _put_together(
        [
            areas[group[0]] if len(group) == 1 else shapely.union_all(areas[group])
            for group in clusters(areas)
        ]
    )


def clusters(areas: NDArray[np.object_]) -> list[IntArray]:
    """The numbers of polygons (n,) that meet, directly or by others between them, one array for
    each cluster, in the order of the first of each; empty ones are left out.
    """
    full = np.flatnonzero(~shapely.is_empty(areas))
    one, other = shapely.STRtree(areas[full]).query(areas[full], predicate="intersects")
    apart = one < other
    if not apart.any():
        return [full[k : k + 1] for k in range(len(full))]
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    ends = (one[apart], other[apart])
    ties = coo_array((np.ones(len(ends[0])), ends), shape=(len(full), len(full)))
    count, label = connected_components(ties, directed=False)
    order = np.argsort(label, kind="stable")
    groups = np.split(full[order], np.cumsum(np.bincount(label, minlength=count))[:-1])
    return sorted(groups, key=lambda group: int(group[0]))


def _put_together(parts: list[Any]) -> Polygon | MultiPolygon:
    """One area of parts that do not overlap."""
    if not parts:
        return Polygon()
    return parts[0] if len(parts) == 1 else only_areas(shapely.GeometryCollection(parts))


def only_areas(thing: shapely.Geometry) -> Polygon | MultiPolygon:
    """The polygons of whatever shapely gave, which do not overlap."""
    if isinstance(thing, (Polygon, MultiPolygon)):
        return thing
    parts = shapely.get_parts(shapely.get_parts(thing))
    parts = parts[
        (shapely.get_type_id(parts) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(parts)
    ]
    if not len(parts):
        return Polygon()
    return parts[0] if len(parts) == 1 else MultiPolygon(list(parts))
