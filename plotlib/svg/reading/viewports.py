"""Viewports: how big the page is, and how a view box fills one."""

from __future__ import annotations

import math
from typing import NamedTuple

from plotlib.errors import SvgError
from plotlib.svg.reading.document import Node
from plotlib.svg.reading.lengths import ABSOLUTE, IN_MM, PX, length
from plotlib.svg.reading.numbers import numbers
from plotlib.svg.reading.transforms import Matrix, scaling, times, translation

# Sizes of pages (mm) that are no slip of the unit: a grain of sand, and a football field.
_SMALLEST = 0.01
_LARGEST = 100_000.0

_ALIGN = {
    f"x{x}Y{y}": (dx, dy)
    for x, dx in (("Min", 0.0), ("Mid", 0.5), ("Max", 1.0))
    for y, dy in (("Min", 0.0), ("Mid", 0.5), ("Max", 1.0))
}


class Box(NamedTuple):
    """A view box."""

    x: float
    y: float
    width: float
    height: float


class Page(NamedTuple):
    """The outermost viewport.

    Attributes
    ----------
    width, height : float
        In mm.
    matrix : Matrix
        From user units to mm, y up.
    units : (float, float)
        Width and height in user units.
    """

    width: float
    height: float
    matrix: Matrix
    units: tuple[float, float]


def view_box(node: Node) -> Box | None:
    """The view box of an element, or None where it has none that can be used."""
    values = numbers(node.get("viewBox", "").strip())
    if values is None or len(values) != 4 or not all(map(math.isfinite, values)):
        return None
    return Box(*values) if values[2] >= 0 and values[3] >= 0 else None


def fitted(box: Box, width: float, height: float, aspect: str) -> Matrix:
    """The map of a view box onto a viewport at the origin: SVG 2, chapter Coordinates, "Computing
    the equivalent transform of an SVG viewport".

    >>> fitted(Box(0, 0, 50, 50), 200, 100, "xMidYMid slice")
    (4.0, 0.0, 0.0, 4.0, 0.0, -50.0)
    """
    words = aspect.split()
    if words[:1] == ["defer"]:
        words = words[1:]
    align = words[0] if words else "xMidYMid"
    sx = width / box.width
    sy = height / box.height
    if align == "none":
        return times(scaling(sx, sy), translation(-box.x, -box.y))
    share = _ALIGN.get(align, (0.5, 0.5))
    scale = max(sx, sy) if words[1:2] == ["slice"] else min(sx, sy)
    tx = (width - box.width * scale) * share[0] - box.x * scale
    ty = (height - box.height * scale) * share[1] - box.y * scale
    return (scale, 0.0, 0.0, scale, tx, ty)


def page_of(root: Node, size: tuple[float, float] | None) -> Page:
    """The page of a document: by what its root says of its size, or by the ``size`` in mm that the
    caller gives.
    """
    box = view_box(root)
    if box is not None and not (box.width and box.height):
        box = None
    own = _own_size(root, box)
    if size is None:
        size = _checked(root, own, box)
    width, height = size
    if box is None and own is not None and own != size and min(own) > 0:
        box = Box(0.0, 0.0, own[0] / PX, own[1] / PX)
    up = (1.0, 0.0, 0.0, -1.0, 0.0, height)
    if box is None:
        units = (width / PX, height / PX)
        return Page(width, height, times(up, scaling(PX, PX)), units)
    inner = fitted(box, width, height, root.get("preserveAspectRatio", ""))
    return Page(width, height, times(up, inner), (box.width, box.height))


def _own_size(root: Node, box: Box | None) -> tuple[float, float] | None:
    """Width and height in mm as the root says them; one that is missing follows from the view
    box.
    """
    width = _in_mm(root.get("width"))
    height = _in_mm(root.get("height"))
    if box is not None and width is not None and height is None:
        height = width * box.height / box.width
    if box is not None and height is not None and width is None:
        width = height * box.width / box.height
    return None if width is None or height is None else (width, height)


def _in_mm(text: str | None) -> float | None:
    """An absolute length in mm; None for percentages and what else depends on a window."""
    given = length(text) if text else None
    if given is None:
        return None
    value, unit = given
    if unit in ABSOLUTE:
        return round(value * IN_MM[unit], 9)  # 360pt are 127 mm, whatever 25.4 / 72 rounds to
    # Font-relative: a root without a style of its own has a font of 16 px.
    sixteen = {"em": 16.0, "rem": 16.0, "ex": 8.0, "ch": 8.0}.get(unit)
    return None if sixteen is None else value * sixteen * PX


def _checked(root: Node, own: tuple[float, float] | None, box: Box | None) -> tuple[float, float]:
    """The size that the root says, or an error with the ``size`` that would answer it."""
    if own is not None and all(_SMALLEST <= side <= _LARGEST for side in own):
        return own
    said = f"width={root.get('width')!r}, height={root.get('height')!r}"
    problem = f"says no size in absolute units ({said})"
    if own is not None:
        problem = f"is {own[0]:g} x {own[1]:g} mm ({said}), which no paper is"
    answer = "pass size=(width, height) in mm"
    if box is not None:
        wide = f"{box.width * PX:.6g}"
        high = f"{box.height * PX:.6g}"
        answer += f", such as size=({wide}, {high}), which takes its view box for px (96 an inch)"
    raise SvgError(f"line {root.line}: the root {problem}; {answer}", line=root.line, size=own)
