"""Hatching: parallel straight strokes over an area."""

from __future__ import annotations

import numpy as np
from shapely import MultiPolygon, Polygon

from plotlib.arrays.affine import turn
from plotlib.arrays.cutting import cut
from plotlib.checks import FloatArray, finite, positive
from plotlib.drawing import Drawing, RegionLike
from plotlib.pen import Pen
from plotlib.regions import as_region


def hatch(region: RegionLike, *, spacing: float, angle: float = 0.0, pen: Pen | None = None) -> Drawing:
    """Fill an area with parallel straight strokes.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; closed strokes of a Drawing count by the even-odd rule.
    spacing : float
        Distance between neighbouring strokes in mm, > 0.
    angle : float, default 0.0
        Direction of the strokes in degrees, counter-clockwise from the x axis.
    pen : Pen, optional
        The pen of the strokes.

    Returns
    -------
    Drawing
        One stroke for each chord of the area, on odd multiples of ``spacing / 2`` from the origin, so that neighbouring fills line up.

    Raises
    ------
    InvalidValue
        If ``spacing`` is not positive and finite.

    Examples
    --------
    >>> from shapely import box
    >>> len(hatch(box(0, 0, 10, 10), spacing=2.5))
    4
    """
    spacing = positive("spacing", spacing, unit="mm")
    angle = finite("angle", angle)
    area = as_region(region)
    if area.is_empty:
        return Drawing()
    rows = _rows(area, spacing, angle)
    points, offsets, _ = cut(rows.reshape(-1, 2), np.arange(0, 2 * len(rows) + 1, 2), area, keep="inside")
    return Drawing.from_arrays(points, offsets, pen=pen)


def _rows(area: Polygon | MultiPolygon, spacing: float, angle: float) -> FloatArray:
    """Straight strokes (R, 2, 2) over the whole bounding box of the area, every second one backwards."""
    left, bottom, right, top = area.bounds
    corners = np.array([(left, bottom), (right, bottom), (right, top), (left, top)]) @ turn(-angle).T
    (u0, v0), (u1, v1) = corners.min(axis=0), corners.max(axis=0)
    first, last = np.ceil(v0 / spacing - 0.5), np.floor(v1 / spacing - 0.5)
    heights = (np.arange(first, last + 1) + 0.5) * spacing
    rows = np.empty((len(heights), 2, 2))
    rows[:, 0, 0], rows[:, 1, 0] = u0 - 1.0, u1 + 1.0
    rows[:, :, 1] = heights[:, None]
    rows[1::2] = rows[1::2, ::-1]
    return np.asarray(rows @ turn(angle).T)
