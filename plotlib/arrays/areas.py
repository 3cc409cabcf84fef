"""Areas from rings by the even-odd rule, and the one door for whatever has an area."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import Any, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import GeometryCollection, MultiPolygon, Polygon

from plotlib.arrays.openings import check_rings
from plotlib.arrays.ragged import closed, sealed
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.errors import InvalidValue

Rule: TypeAlias = "Callable[[NDArray[np.object_], Any], BoolArray]"

# Coordinates (mm) that crossed rings cannot tell from 0.
_NOTHING = 1e-30
# Grid (mm) for crossings that cannot be found otherwise.
_GRID = 1e-9
# Faces narrower than this (mm) at the place looked at are looked at in other places too, in so many
# at most.
_HAIR = 1e-6
_CHORDS = 16
# So many rays are shot at a time when faces are sorted into inside and outside.
_RAYS = 1 << 12


def evenodd(points: FloatArray, offsets: IntArray) -> Polygon | MultiPolygon:
    """The area of closed strokes: what an odd number of them surrounds.

    Parameters
    ----------
    points : ndarray, shape (N, 2), float64
        Points of all strokes in mm; finite.
    offsets : ndarray, shape (M + 1,), int64
        Stroke ``i`` is ``points[offsets[i]:offsets[i + 1]]``. It is a ring when it is closed
        (`plotlib.arrays.ragged.closed`: its ends meet within 1e-6 mm) and has at least 4 points;
        others are left out.

    Returns
    -------
    Polygon or MultiPolygon
        Valid. Rings may cross themselves and each other, touch, or lie upon each other: each
        crossing of a line changes the side, and what is drawn twice cancels. Corners of rings stay
        exact and crossings are rounded to the last place; but where rings lie upon themselves or so
        nearly so that rounding decides, everything is rounded to 1e-9 mm (beyond 100 m from the
        origin to 1e-14 of the distance). An empty Polygon when nothing is surrounded.

    Examples
    --------
    >>> bow_tie = np.array([[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0], [0.0, 0.0]])
    >>> evenodd(bow_tie, np.array([0, 5])).area
    2.0
    """
    lines = _rings(points, offsets)
    if not len(lines):
        return Polygon()
    net = shapely.multilinestrings(lines)
    with np.errstate(all="ignore"):  # edges so short that the square of their length is 0
        if shapely.is_simple(net):
            faces = shapely.get_parts(shapely.polygonize(lines))
            return _area(
                faces[_odd(faces, net)] if shapely.get_num_interior_rings(faces).any() else faces
            )
        return _resolved(net, _odd)


def nonzero(points: FloatArray, offsets: IntArray) -> Polygon | MultiPolygon:
    """The area of closed strokes by the nonzero rule: what they surround more often one way round
    than the other.

    Parameters
    ----------
    points, offsets : ndarray
        As of `evenodd`.

    Returns
    -------
    Polygon or MultiPolygon
        As of `evenodd`; what two rings of one direction surround belongs to it.

    Examples
    --------
    >>> two = np.array([[0, 0], [9, 0], [9, 9], [0, 0], [8, 1], [8, 2], [7, 1], [8, 1]], float)
    >>> nonzero(two, np.array([0, 4, 8])).area, evenodd(two, np.array([0, 4, 8])).area
    (40.5, 40.0)
    """
    lines = _rings(points, offsets)
    if not len(lines):
        return Polygon()
    net = shapely.multilinestrings(lines)
    with np.errstate(all="ignore"):
        if not shapely.is_simple(net):
            return _resolved(net, _wound)
        if len(lines) == 1:
            return Polygon(lines[0])
        return _united(shapely.polygonize(lines), net, _wound)


def as_area(thing: object, name: str = "region", *, every: bool = False) -> Polygon | MultiPolygon:
    """Take whatever has an area as a valid Polygon or MultiPolygon in the plane.

    Parameters
    ----------
    thing : Polygon, MultiPolygon, GeometryCollection, or object with a method ``__area__``
        Of a collection the polygons count, each by itself: the area is their union. Outlines that
        cross themselves count by the even-odd rule; holes take away, wherever they lie. Heights (z)
        are left out. Empty areas are legal.
    name : str
        What the message calls it.
    every : bool, default False
        Whether each stroke of a Drawing must be closed, not only one.

    Returns
    -------
    Polygon or MultiPolygon
        The very object given when there is nothing to mend.

    Raises
    ------
    InvalidValue
        If the thing has no area, is a Drawing with open strokes only, or has a coordinate that is
        not finite.

    Examples
    --------
    >>> as_area(shapely.box(0, 0, 2, 1)).area
    2.0
    """
    if hasattr(thing, "__area__") and not isinstance(thing, type):
        if hasattr(thing, "offsets"):
            check_rings(thing.points, thing.offsets, name, every=every)  # type: ignore[attr-defined]
        thing = thing.__area__()
    if not isinstance(thing, (Polygon, MultiPolygon, GeometryCollection)) or _has_no_area(thing):
        raise InvalidValue(
            f"{name} must be an area: a Drawing (its closed strokes), a Sheet, a shapely Polygon "
            f"or MultiPolygon; got {_described(thing)}",
            name=name,
            value=thing,
        )
    flat = shapely.force_2d(thing) if thing.has_z else thing
    bad = ~np.isfinite(shapely.get_coordinates(flat)).all(axis=1)
    if bad.any():
        raise InvalidValue(
            f"{name}: corner {int(np.argmax(bad))} of the area is not finite",
            name=name,
            value=thing,
        )
    if isinstance(flat, (Polygon, MultiPolygon)) and shapely.is_valid(flat):
        return flat
    return _area(
        shapely.get_parts(shapely.union_all([_mended(polygon) for polygon in _polygons(flat)]))
    )


def is_rectangle(area: Polygon | MultiPolygon) -> tuple[float, float, float, float] | None:
    """``(x0, y0, x1, y1)`` of a valid area that is one axis-parallel rectangle without holes, else
    None.

    >>> is_rectangle(shapely.box(0, 0, 2, 1))
    (0.0, 0.0, 2.0, 1.0)
    """
    if (
        shapely.get_num_coordinates(area) > 64
        or len(rings := shapely.get_rings(shapely.get_parts(area))) != 1
    ):
        return None
    corners = shapely.get_coordinates(rings)
    low = corners.min(axis=0)
    high = corners.max(axis=0)
    one = corners[:-1]
    two = corners[1:]
    along = ((one == two) & ((one == low) | (one == high))).any(axis=1)
    return (float(low[0]), float(low[1]), float(high[0]), float(high[1])) if along.all() else None


def _rings(points: FloatArray, offsets: IntArray) -> NDArray[np.object_]:
    """Closed strokes as lines without repeated points; what is then less than a triangle has no
    area.
    """
    points = sealed(points, offsets)
    first = offsets[:-1]
    ring = (np.diff(offsets) >= 4) & closed(points, offsets)
    kept = np.repeat(ring, np.diff(offsets))
    kept[1:] &= (points[1:] != points[:-1]).any(axis=1) | np.isin(np.arange(1, len(points)), first)
    stroke = np.repeat(np.arange(len(ring)), np.diff(offsets))
    counts = np.bincount(stroke[kept], minlength=len(ring))
    kept &= np.repeat(counts >= 4, np.diff(offsets))
    if not kept.any():
        return np.empty(0, dtype=object)
    _, index = np.unique(stroke[kept], return_inverse=True)
    return np.asarray(shapely.linestrings(points[kept], indices=index))


def _resolved(net: Any, rule: Rule) -> Polygon | MultiPolygon:
    """The area of rings that cross, touch or lie upon each other.

    Crossings of nearly parallel lines can round into new crossings, or past the end of a line. Then
    there are crossings left, or loose ends; on a grid there are none. Lines drawn to and fro have
    loose ends too and are put on the grid needlessly.
    """
    # Products of numbers next to nothing have too few digits to find crossings by.
    net = shapely.transform(net, lambda corners: np.where(np.abs(corners) < _NOTHING, 0.0, corners))
    noded = shapely.unary_union(net)
    faces, *loose = shapely.polygonize_full([noded])
    if all(part.is_empty for part in loose) and shapely.is_simple(noded):
        with suppress(shapely.GEOSException):
            return _united(faces, net, rule)
    grid = _GRID * max(1.0, 1e-5 * float(np.abs(net.bounds).max()))
    return _united(shapely.polygonize([shapely.unary_union(net, grid_size=grid)]), net, rule)


def _united(collection: Any, net: Any, rule: Rule) -> Polygon | MultiPolygon:
    faces = shapely.get_parts(collection)
    faces = faces[rule(faces, net)]
    # Faces match edge for edge, so that this union rounds nothing.
    return _area(
        shapely.get_parts(shapely.coverage_union_all(faces)) if _share_an_edge(faces) else faces
    )


def _share_an_edge(faces: NDArray[np.object_]) -> bool:
    """Whether an edge may belong to two faces; their keys are equal then, whatever its
    direction.
    """
    corners, face = shapely.get_coordinates(faces, return_index=True)
    both = (corners[:-1] + corners[1:])[face[:-1] == face[1:]]
    key = np.sort(both[:, 0] + np.pi * both[:, 1])
    return bool((key[1:] == key[:-1]).any())


def _odd(faces: NDArray[np.object_], net: Any) -> BoolArray:
    """Which faces lie inside: a ray from a point of the face to the left crosses an odd number of
    edges.
    """
    odd: BoolArray = _windings(faces, net) % 2 == 1
    return odd


def _wound(faces: NDArray[np.object_], net: Any) -> BoolArray:
    """Which faces are surrounded more often one way round than the other."""
    wound: BoolArray = _windings(faces, net) != 0
    return wound


def _windings(faces: NDArray[np.object_], net: Any) -> IntArray:
    """How often each face is surrounded: edges that a ray from one of its points to the left
    crosses on their way up, less those on their way down.
    """
    probe = _probes(faces)
    corners, line = shapely.get_coordinates(shapely.get_parts(net), return_index=True)
    edge = line[1:] == line[:-1]
    start = corners[:-1][edge]
    end = corners[1:][edge]
    tree = shapely.STRtree(np.asarray(shapely.linestrings(np.stack((start, end), axis=1))))
    far_left = corners[:, 0].min()
    up = np.where(end[:, 1] > start[:, 1], 1, -1)
    windings = np.zeros(len(faces), np.int64)
    for low in range(0, len(probe), _RAYS):
        point = probe[low : low + _RAYS]
        far = np.stack((np.full(len(point), far_left), point[:, 1]), axis=1)
        ray, hit = tree.query(shapely.linestrings(np.stack((far, point), axis=1)))
        left = _left_of(start[hit], end[hit], point[ray])
        counts = np.bincount(ray[left], up[hit[left]], minlength=len(point))
        windings[low : low + _RAYS] = np.rint(counts)
    return windings


def _probes(faces: NDArray[np.object_]) -> FloatArray:
    """A point well inside each face, where rounding cannot move it across an edge.

    The point that shapely gives lies half way up, and there a face may be no more than a hair wide.
    """
    probe = shapely.point_on_surface(faces)
    edge = shapely.boundary(faces)
    depth = shapely.distance(edge, probe)
    hairs = np.flatnonzero(depth < _HAIR)
    if len(hairs):
        middle, owner = _middles(faces[hairs])
        owner = np.append(hairs[owner], hairs)
        middle = np.append(middle, probe[hairs])
        order = np.lexsort((shapely.distance(edge[owner], middle), owner))
        last = np.append(owner[order][1:] != owner[order][:-1], True)
        probe[owner[order][last]] = middle[order][last]
    corners: FloatArray = shapely.get_coordinates(probe)
    return corners


def _middles(faces: NDArray[np.object_]) -> tuple[NDArray[np.object_], IntArray]:
    """Middles of level chords, between the corners of each face that are furthest apart in height;
    and their faces.
    """
    corners, face = shapely.get_coordinates(faces, return_index=True)
    order = np.lexsort((corners[:, 1], face))
    height = corners[order, 1]
    face = face[order]
    gap = np.where(face[1:] == face[:-1], height[1:] - height[:-1], 0)
    order = np.lexsort((-gap, face[:-1]))
    rank = np.arange(len(order)) - np.searchsorted(face[:-1], face[:-1], side="left")
    chosen = order[(rank < _CHORDS) & (gap[order] > 0)]
    level = 0.5 * height[chosen] + 0.5 * height[chosen + 1]
    owner = face[chosen]
    ends = np.stack(
        (
            corners[:, 0].min() - np.ones(len(level)),
            level,
            corners[:, 0].max() + np.ones(len(level)),
            level,
        ),
        axis=1,
    )
    chords, line = shapely.get_parts(
        shapely.intersection(faces[owner], shapely.linestrings(ends.reshape(-1, 2, 2))),
        return_index=True,
    )
    long = (shapely.get_type_id(chords) == shapely.GeometryType.LINESTRING) & (
        shapely.length(chords) > 0
    )
    return shapely.line_interpolate_point(chords[long], 0.5, normalized=True), owner[line[long]]


def _left_of(start: FloatArray, end: FloatArray, point: FloatArray) -> BoolArray:
    """Whether the ray from each point to the left crosses the edge; of a horizontal meeting the
    lower end counts as below.
    """
    swap = (start[:, 1] > end[:, 1])[:, None]
    low = np.where(swap, end, start)
    high = np.where(swap, start, end)
    spans = (low[:, 1] <= point[:, 1]) & (point[:, 1] < high[:, 1])
    way = high - low
    to = point - low
    left: BoolArray = spans & (way[:, 0] * to[:, 1] - way[:, 1] * to[:, 0] < 0)
    return left


def _area(polygons: NDArray[np.object_]) -> Polygon | MultiPolygon:
    polygons = polygons[shapely.get_type_id(polygons) == shapely.GeometryType.POLYGON]
    polygons = polygons[~shapely.is_empty(polygons)]
    if not len(polygons):
        return Polygon()
    return polygons[0] if len(polygons) == 1 else MultiPolygon(list(polygons))


def _mended(polygon: Polygon) -> Polygon | MultiPolygon:
    """A valid area: the even-odd area of the outline without those of the holes."""
    if shapely.is_valid(polygon):
        return polygon
    shell = _of_ring(polygon.exterior)
    holes = shapely.union_all([_of_ring(hole) for hole in polygon.interiors])
    return _area(shapely.get_parts(shapely.difference(shell, holes)))


def _of_ring(ring: Any) -> Polygon | MultiPolygon:
    corners = shapely.get_coordinates(ring)
    return evenodd(corners, np.array([0, len(corners)]))


def _polygons(thing: Any) -> list[Polygon]:
    if isinstance(thing, Polygon):
        return [thing]
    return [
        polygon
        for part in thing.geoms
        if hasattr(part, "geoms") or isinstance(part, Polygon)
        for polygon in _polygons(part)
    ]


def _has_no_area(thing: Any) -> bool:
    """Whether a collection holds things, but nothing with an area."""
    return isinstance(thing, GeometryCollection) and not thing.is_empty and not _polygons(thing)


def _described(thing: object) -> str:
    if isinstance(thing, shapely.Geometry):
        return f"a shapely {type(thing).__name__}"
    return f"{type(thing).__name__} {thing!r:.80}"
