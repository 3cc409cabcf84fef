"""Outlines of glyphs: collected as segments, flattened by chord error, made into areas by the
nonzero rule.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from plotlib.arrays.flatten import even_bezier
from plotlib.checks import FloatArray

Point: TypeAlias = tuple[float, float]
Contour: TypeAlias = tuple[
    tuple[Point, ...], ...
]  # segments, each with its two, three or four control points


class Contours:
    """The drawing protocol of font tools: receives moves, lines and curves, keeps closed
    contours.
    """

    def __init__(self) -> None:
        self.contours: list[Contour] = []
        self._segments: list[tuple[Point, ...]] = []
        self._start: Point = (0.0, 0.0)
        self._last: Point = (0.0, 0.0)

    def moveTo(self, point: Point) -> None:  # noqa: N802 - the protocol's names
        self.closePath()
        self._start = self._last = point

    def lineTo(self, point: Point) -> None:  # noqa: N802
        self._add(point)

    def qCurveTo(self, *points: Point) -> None:  # noqa: N802
        self._add(*points)

    def curveTo(self, *points: Point) -> None:  # noqa: N802
        self._add(*points)

    def closePath(self) -> None:  # noqa: N802
        if self._segments:
            if self._last != self._start:
                self._add(self._start)
            self.contours.append(tuple(self._segments))
        self._segments = []

    endPath = closePath  # noqa: N815

    def _add(self, *points: Point) -> None:
        self._segments.append((self._last, *points))
        self._last = points[-1]


def flattened(contour: Contour, tolerance: float) -> FloatArray:
    """A contour as a closed polyline (n, 2) that leaves its curves by no more than ``tolerance``
    font units.
    """
    parts = [np.array([contour[0][0]], np.float64)]
    for segment in contour:
        parts.append(even_bezier(np.array(segment, np.float64), tolerance))
    ring = np.concatenate(parts)
    ring[-1] = ring[0]
    return ring


def area_of(rings: list[FloatArray]) -> Polygon | MultiPolygon:
    """The inside of closed rings of a glyph: rings the way of the largest are ink, rings the other
    way are holes in it.

    Each hole belongs to the smallest ring of ink around it; ink that overlaps, as in fonts made of
    parts, is one.
    """
    areas = [(_signed(ring), shapely.make_valid(Polygon(ring))) for ring in rings if len(ring) >= 4]
    areas = [(size, area) for size, area in areas if size != 0.0 and not area.is_empty]
    if not areas:
        return Polygon()
    way = max(areas, key=lambda item: abs(item[0]))[0]
    ink = sorted((item for item in areas if item[0] * way > 0), key=lambda item: abs(item[0]))
    parts = [area for _, area in ink]
    for _, hole in (item for item in areas if item[0] * way < 0):
        owner = next(
            (k for k, (_, area) in enumerate(ink) if area.contains(hole.representative_point())),
            None,
        )
        if owner is not None:
            parts[owner] = parts[owner].difference(hole)
    return polygons_only(shapely.union_all(parts))


def merged(areas: NDArray[np.object_]) -> Polygon | MultiPolygon:
    """Many areas as one; only those that meet are united, which for lines of letters are few."""
    parts = shapely.get_parts(areas[~shapely.is_empty(areas)])
    one, other = shapely.STRtree(parts).query(parts, predicate="intersects")
    meeting = np.unique(one[one != other])
    alone = np.delete(parts, meeting)
    joined = polygons_only(shapely.union_all(parts[meeting])) if len(meeting) else Polygon()
    every = [*alone, *(part for part in shapely.get_parts(joined) if not part.is_empty)]
    return every[0] if len(every) == 1 else MultiPolygon(every)


def polygons_only(geometry: shapely.Geometry) -> Polygon | MultiPolygon:
    """The polygons of a geometry, without stray lines and points."""
    if isinstance(geometry, (Polygon, MultiPolygon)):
        return geometry
    parts = [
        part for part in shapely.get_parts(geometry) if isinstance(part, (Polygon, MultiPolygon))
    ]
    joined = shapely.union_all(parts)
    return joined if isinstance(joined, (Polygon, MultiPolygon)) else Polygon()


def _signed(ring: FloatArray) -> float:
    x, y = (ring - ring[0]).T
    return float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum() / 2)
