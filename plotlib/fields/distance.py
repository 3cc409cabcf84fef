"""Distance to an area, to the strokes of a drawing or to a point, as a scalar field."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing, RegionLike, as_drawing
from plotlib.errors import InvalidValue
from plotlib.fields.scalar import ScalarField


def distance(region: RegionLike) -> ScalarField:
    """Signed distance in mm to the edge of an area: positive outside, negative inside.

    Exact, by shapely, about a microsecond or two a point; for many points over a large area sample
    it once (``sampled``).

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.

    Returns
    -------
    ScalarField
        Its slopes have length 1 and point away from the area; on the edge itself, where no nearest
        point tells the side, they count as 0.

    Raises
    ------
    InvalidValue
        If ``region`` is empty, for nothing has a distance to it, or is not an area.

    Examples
    --------
    >>> from shapely import box
    >>> apart = distance(box(0, 0, 10, 10))
    >>> apart(13, 14), apart(5, 1), apart.slopes(15, 5)
    (5.0, -1.0, (1.0, 0.0))
    """
    area = as_area(region)
    if area.is_empty:
        raise InvalidValue("there is no distance to an empty area")
    shapely.prepare(area)
    return _distance(
        area.boundary, lambda x, y: np.where(shapely.contains_xy(area, x, y), -1.0, 1.0)
    )


def distance_to_strokes(drawing: Drawing) -> ScalarField:
    """Distance in mm to the nearest stroke of a drawing, never negative.

    Parameters
    ----------
    drawing : Drawing
        At least one stroke; dots count.

    Returns
    -------
    ScalarField
        Its slopes have length 1 and point away from the stroke; on a stroke they count as 0.

    Raises
    ------
    InvalidValue
        If ``drawing`` is not a Drawing or has no strokes.

    Examples
    --------
    >>> distance_to_strokes(Drawing([[(0, 0), (10, 0)]]))(13, 4)
    5.0
    """
    if not len(as_drawing("drawing", drawing)):
        raise InvalidValue("there is no distance to a drawing without strokes")
    return _distance(shapely.GeometryCollection(drawing.to_shapely()), lambda x, y: 1.0)


def distance_to_point(centre: tuple[float, float]) -> ScalarField:
    """Distance in mm from ``centre``: a cone. Its slopes at the centre itself count as nought.

    Parameters
    ----------
    centre : (float, float)
        The point in mm.

    Returns
    -------
    ScalarField
        Never negative, with slopes of length 1 that point away from the centre.

    Raises
    ------
    InvalidValue
        If ``centre`` is not a point.

    Examples
    --------
    >>> distance_to_point((1, 1))(4, 5)
    5.0
    """
    x0, y0 = checks.point("centre", centre)

    def jet(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        dx = x - x0
        dy = y - y0
        far = np.hypot(dx, dy)
        safe = np.where(far > 0, far, 1.0)
        return far, dx / safe, dy / safe

    return ScalarField(lambda x, y: np.hypot(x - x0, y - y0), jet)


def _distance(lines: Any, sign: Any) -> ScalarField:
    shapely.prepare(lines)

    def value(x: FloatArray, y: FloatArray) -> FloatArray:
        across, up = np.broadcast_arrays(x, y)
        return np.asarray(sign(across, up) * shapely.distance(shapely.points(across, up), lines))

    def jet(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        across, up = np.broadcast_arrays(x, y)
        ends = shapely.get_coordinates(
            shapely.shortest_line(shapely.points(across, up), lines)
        ).reshape((*across.shape, 2, 2))
        away = ends[..., 0, :] - ends[..., 1, :]
        far = np.hypot(away[..., 0], away[..., 1])
        side = sign(across, up)
        factor = side / np.where(far > 0, far, 1.0)
        return side * far, away[..., 0] * factor, away[..., 1] * factor

    return ScalarField(value, jet)
