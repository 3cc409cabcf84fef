"""Areas: whatever has one, as a shapely Polygon or MultiPolygon."""

from __future__ import annotations

from shapely import MultiPolygon, Polygon

from plotlib.arrays.areas import as_area
from plotlib.drawing import RegionLike


def as_region(region: RegionLike) -> Polygon | MultiPolygon:
    """The area of a Drawing (closed strokes, even-odd), a Sheet (inside its margin) or a shapely
    geometry.
    """
    return as_area(region)
