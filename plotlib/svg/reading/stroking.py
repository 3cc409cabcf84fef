"""The areas of wide strokes: SVG 2, chapter Painting, "Computing the shape of the stroke"."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.constructive import BufferCapStyle, BufferJoinStyle

from plotlib.checks import FloatArray, IntArray
from plotlib.svg.artwork import joined_area
from plotlib.svg.reading.styles import Style
from plotlib.svg.reading.transforms import Matrix, apply, inverse

_CAPS = {
    "butt": BufferCapStyle.flat,
    "round": BufferCapStyle.round,
    "square": BufferCapStyle.square,
}
# A mitre that stands out by less than this share of the line's half width is none: the corners of
# a curve's polyline.
_NO_TIP = 0.002


def stroked(
    points: FloatArray, offsets: IntArray, width: float, style: Style, matrix: Matrix
) -> Polygon | MultiPolygon:
    """The area on the page that lines of some width cover.

    Parameters
    ----------
    points, offsets : ndarray
        Lines in mm.
    width : float
        In the units in which the line is equally wide everywhere.
    style : Style
        Caps and joins.
    matrix : Matrix
        From those units to mm.
    """
    flat = apply(inverse(matrix), points)
    parts: list[Any] = []
    for k in range(len(offsets) - 1):
        parts += _parts(flat[offsets[k] : offsets[k + 1]], width / 2, style)
    if not parts:
        return Polygon()
    return joined_area(list(shapely.transform(parts, lambda xy: apply(matrix, xy))))


def _parts(line: FloatArray, half: float, style: Style) -> list[Any]:
    """One line made wide, and the tips of its mitres."""
    join = BufferJoinStyle.round if style.stroke_linejoin == "round" else BufferJoinStyle.bevel
    is_ring = len(line) > 3 and bool((line[0] == line[-1]).all())
    shape: Any = shapely.LinearRing(line) if is_ring else _line(line)
    options: Any = {"cap_style": _CAPS[style.stroke_linecap], "join_style": join}
    wide = shapely.buffer(shape, half, quad_segs=32, **options)
    if not style.stroke_linejoin.startswith("miter") or len(line) < 3:
        return [wide]
    corners = line if not is_ring else np.concatenate([line[-2:-1], line])
    return [wide, *_tips(corners, half, style.stroke_miterlimit)]


def _line(line: FloatArray) -> Any:
    return shapely.Point(line[0]) if len(line) == 1 else shapely.LineString(line)


def _tips(line: FloatArray, half: float, limit: float) -> list[Any]:
    """What mitres add to bevels at the inner points of a line: where the mitre is not longer than
    the limit times the line's width, "Line joins" of SVG 2.
    """
    way = np.diff(line, axis=0)
    way /= np.hypot(way[:, 0], way[:, 1])[:, None]
    before = way[:-1]
    after = way[1:]
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    along = (before * after).sum(axis=1)
    # Half of the angle between the two segments, by the half angle formula.
    sine = np.sqrt(np.maximum(0.0, (1 + along) / 2))
    with np.errstate(divide="ignore"):
        length = 1 / sine
    chosen = np.flatnonzero((length <= limit) & (length > 1 + _NO_TIP) & (turn != 0))
    tips = []
    for k in chosen.tolist():
        side = -math.copysign(half, turn[k])
        corner = line[k + 1]
        one = corner + side * np.array([-before[k, 1], before[k, 0]])
        two = corner + side * np.array([-after[k, 1], after[k, 0]])
        middle = (one + two) / 2 - corner
        tip = corner + middle * (half * length[k]) / np.hypot(*middle)
        tips.append(Polygon([corner, one, tip, two]))
    return tips
