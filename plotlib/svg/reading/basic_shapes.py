"""Outlines of the basic shapes, as SVG 2, chapter Basic Shapes gives their equivalent paths: where
they begin and which way they run decides where dashes fall.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

from plotlib.svg.reading.numbers import listed
from plotlib.svg.reading.outline import Outline, Pencil
from plotlib.svg.reading.path_data import path_outline

# A geometry property in user units; None where it is not given or "auto".
Given: TypeAlias = Callable[[str], float | None]
Text: TypeAlias = Callable[[str], str]


def shape_outline(kind: str, given: Given, text: Text) -> Outline:
    """The outline of a shape; empty where its size is 0, with a fault where it is less.

    Parameters
    ----------
    kind : str
        The name of the element, one of ``SHAPES``.
    given : function
        A length by its name.
    text : function
        The text of ``d`` and ``points``.
    """
    if kind == "path":
        return path_outline(text("d"))
    if kind in ("polyline", "polygon"):
        return _poly(text("points"), shut=kind == "polygon")
    pencil = Pencil()
    fault = _MAKERS[kind](pencil, given)
    return pencil.outline(fault)


def _poly(points: str, *, shut: bool) -> Outline:
    values, end = listed(points)
    pencil = Pencil()
    pairs = list(zip(values[::2], values[1::2], strict=False))
    if pairs:
        pencil.move(*pairs[0])
        for x, y in pairs[1:]:
            pencil.line(x, y)
        if shut:
            pencil.close()
    fault = ""
    if end < len(points):
        fault = f"points cannot be read from character {end + 1} on"
    elif len(values) % 2:
        fault = "points has an odd number of coordinates"
    return pencil.outline(fault)


def _line(pencil: Pencil, given: Given) -> str:
    pencil.move(given("x1") or 0.0, given("y1") or 0.0)
    pencil.line(given("x2") or 0.0, given("y2") or 0.0)
    return ""


def _rect(pencil: Pencil, given: Given) -> str:
    x = given("x") or 0.0
    y = given("y") or 0.0
    width = given("width") or 0.0
    height = given("height") or 0.0
    if min(width, height) <= 0:
        return "its width or height is below 0" if min(width, height) < 0 else ""
    rx, ry = _radii(given("rx"), given("ry"))
    rx = min(rx, width / 2)
    ry = min(ry, height / 2)
    if not rx or not ry:
        pencil.move(x, y)
        for corner in ((x + width, y), (x + width, y + height), (x, y + height)):
            pencil.line(*corner)
        pencil.close()
        return ""
    _rounded(pencil, (x, y, x + width, y + height), rx, ry)
    return ""


def _rounded(pencil: Pencil, box: tuple[float, float, float, float], rx: float, ry: float) -> None:
    left, top, right, bottom = box
    pencil.move(left + rx, top)
    for start, end in (
        ((right - rx, top), (right, top + ry)),
        ((right, bottom - ry), (right - rx, bottom)),
        ((left + rx, bottom), (left, bottom - ry)),
        ((left, top + ry), (left + rx, top)),
    ):
        if start != (pencil.x, pencil.y):
            pencil.line(*start)
        pencil.arc(rx, ry, 0.0, False, True, end)
    pencil.close()


def _radii(rx: float | None, ry: float | None) -> tuple[float, float]:
    """Both radii; where one is not given, or below 0, it is the other."""
    first = rx if rx is not None and rx >= 0 else None
    second = ry if ry is not None and ry >= 0 else None
    if first is None:
        first = second
    if second is None:
        second = first
    return first or 0.0, second or 0.0


def _circle(pencil: Pencil, given: Given) -> str:
    radius = given("r") or 0.0
    if radius > 0:
        pencil.ring(given("cx") or 0.0, given("cy") or 0.0, radius, radius)
    return "its radius is below 0" if radius < 0 else ""


def _ellipse(pencil: Pencil, given: Given) -> str:
    rx, ry = _radii(given("rx"), given("ry"))
    if rx > 0 and ry > 0:
        pencil.ring(given("cx") or 0.0, given("cy") or 0.0, rx, ry)
    return ""


_MAKERS = {"line": _line, "rect": _rect, "circle": _circle, "ellipse": _ellipse}
SHAPES = frozenset(_MAKERS) | {"path", "polyline", "polygon"}
# Which percentages each length takes.
ALONG = {
    **dict.fromkeys(("x", "x1", "x2", "cx", "rx", "width", "dx", "refX"), "width"),
    **dict.fromkeys(("y", "y1", "y2", "cy", "ry", "height", "dy", "refY"), "height"),
    "r": "diagonal",
}
