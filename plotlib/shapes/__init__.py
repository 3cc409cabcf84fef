"""Elementary shapes: lines, rectangles, circles and their parts, regular polygons and stars."""

from __future__ import annotations

from plotlib.shapes.polygons import rectangle, regular_polygon, star, star_polygon
from plotlib.shapes.registration import registration_marks
from plotlib.shapes.round import arc, circle, circles, ellipse, sector
from plotlib.shapes.straight import dots, line, lines, polyline

__all__ = [
    "arc",
    "circle",
    "circles",
    "dots",
    "ellipse",
    "line",
    "lines",
    "polyline",
    "rectangle",
    "registration_marks",
    "regular_polygon",
    "sector",
    "star",
    "star_polygon",
]


def __dir__() -> list[str]:
    return sorted(__all__)
