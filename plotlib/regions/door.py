"""Areas: whatever has one, as a shapely Polygon or MultiPolygon."""

from __future__ import annotations

from shapely import MultiPolygon, Polygon

from plotlib.arrays.areas import as_area
from plotlib.drawing import RegionLike


def as_region(region: RegionLike) -> Polygon | MultiPolygon:
    """The area of a Drawing (closed strokes, even-odd), a Sheet (inside its margin) or a shapely
    geometry.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        What has an area; rings that cross themselves count by the even-odd rule, too.

    Returns
    -------
    Polygon or MultiPolygon
        A valid area; empty for a drawing without closed strokes.

    Raises
    ------
    InvalidValue
        If ``region`` is none of these or not finite.

    Examples
    --------
    >>> from plotlib.shapes import rectangle
    >>> as_region(rectangle((0, 0), 10, 10) + rectangle((2, 2), 5, 5)).area
    75.0
    """
    return as_area(region)
