"""Maps of the plane as SVG writes them: ``(a, b, c, d, e, f)`` takes (x, y) to
(a x + c y + e, b x + d y + f).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import TypeAlias

import numpy as np

from plotlib.arrays.affine import cosine_sine
from plotlib.checks import FloatArray
from plotlib.svg.reading.numbers import numbers

Matrix: TypeAlias = tuple[float, float, float, float, float, float]

IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

_FUNCTION = re.compile(r"[ \t\n\r\f,]*([A-Za-z]+)[ \t\n\r\f]*\(([^()]*)\)")
_UNIT = re.compile(r"(?<=[0-9.])(px|deg)\b")
_DEGREES = {"rad": 180 / math.pi, "grad": 0.9, "turn": 360.0}
_OTHER_UNIT = re.compile(r"([+-]?[0-9.]+(?:e[+-]?[0-9]+)?)(rad|grad|turn)\b", re.IGNORECASE)


def times(one: Matrix, other: Matrix) -> Matrix:
    """The map that applies ``other`` first and ``one`` then."""
    a, b, c, d, e, f = one
    p, q, r, s, t, u = other
    return (
        a * p + c * q,
        b * p + d * q,
        a * r + c * s,
        b * r + d * s,
        a * t + c * u + e,
        b * t + d * u + f,
    )


def translation(x: float, y: float) -> Matrix:
    """The map that moves by (x, y)."""
    return (1.0, 0.0, 0.0, 1.0, x, y)


def scaling(x: float, y: float) -> Matrix:
    """The map that scales about the origin."""
    return (x, 0.0, 0.0, y, 0.0, 0.0)


def apply(matrix: Matrix, points: FloatArray) -> FloatArray:
    """Points (..., 2) under a map."""
    a, b, c, d, e, f = matrix
    x = points[..., 0]
    y = points[..., 1]
    placed = np.empty(points.shape)
    placed[..., 0] = a * x + e if c == 0 else a * x + c * y + e
    placed[..., 1] = d * y + f if b == 0 else b * x + d * y + f
    return placed


def scale_of(matrix: Matrix) -> float:
    """By how much a map changes lengths, in the geometric mean of all directions."""
    return math.sqrt(abs(determinant(matrix)))


def determinant(matrix: Matrix) -> float:
    """By how much a map changes areas; below zero where it mirrors."""
    a, b, c, d, _, _ = matrix
    return a * d - b * c


def inverse(matrix: Matrix) -> Matrix:
    """The map back; the determinant must not be 0."""
    a, b, c, d, e, f = matrix
    whole = determinant(matrix)
    back = (d / whole, -b / whole, -c / whole, a / whole)
    return (*back, -(back[0] * e + back[2] * f), -(back[1] * e + back[3] * f))


def transform_list(text: str) -> Matrix | None:
    """The map of a list of transforms, or None if it breaks the grammar.

    SVG 2, chapter Coordinate Systems: the list is a product of matrices from left to right, so the
    rightmost acts first. Units of CSS (px, deg and other angles) are understood as well.

    >>> transform_list("translate(10,20) scale(2)")
    (2.0, 0.0, 0.0, 2.0, 10.0, 20.0)
    """
    text = text.strip()
    if text in ("", "none"):
        return IDENTITY
    matrix = IDENTITY
    end = 0
    while end < len(text):
        found = _FUNCTION.match(text, end)
        step = _function(found[1], found[2]) if found else None
        if found is None or step is None:
            return None
        matrix = times(matrix, step)
        end = found.end()
    return matrix


def _function(name: str, arguments: str) -> Matrix | None:
    values = numbers(_OTHER_UNIT.sub(_in_degrees, _UNIT.sub("", arguments)).strip())
    make = _FUNCTIONS.get(name)
    if values is None or make is None:
        return None
    counts, function = make
    return function(*values) if len(values) in counts else None


def _in_degrees(found: re.Match[str]) -> str:
    return repr(float(found[1]) * _DEGREES[found[2].lower()])


def _rotation(angle: float, x: float = 0.0, y: float = 0.0) -> Matrix:
    c, s = _cosine_sine(angle)
    return times(translation(x, y), times((c, s, -s, c, 0.0, 0.0), translation(-x, -y)))


def _cosine_sine(angle: float) -> tuple[float, float]:
    return cosine_sine(angle) if math.isfinite(angle) else (math.nan, math.nan)


def _tangent(angle: float) -> float:
    return math.tan(math.radians(angle)) if math.isfinite(angle) else math.nan


def _scale(x: float, y: float | None = None) -> Matrix:
    return scaling(x, x if y is None else y)


def _matrix(a: float, b: float, c: float, d: float, e: float, f: float) -> Matrix:
    return (a, b, c, d, e, f)


def _move(x: float, y: float = 0.0) -> Matrix:
    return translation(x, y)


def _move_up(y: float) -> Matrix:
    return translation(0.0, y)


def _scale_across(x: float) -> Matrix:
    return scaling(x, 1.0)


def _scale_up(y: float) -> Matrix:
    return scaling(1.0, y)


def _skew_across(angle: float) -> Matrix:
    return (1.0, 0.0, _tangent(angle), 1.0, 0.0, 0.0)


def _skew_up(angle: float) -> Matrix:
    return (1.0, _tangent(angle), 0.0, 1.0, 0.0, 0.0)


# How many numbers each takes, and what it makes of them.
_FUNCTIONS: dict[str, tuple[tuple[int, ...], Callable[..., Matrix]]] = {
    "matrix": ((6,), _matrix),
    "translate": ((1, 2), _move),
    "translateX": ((1,), _move),
    "translateY": ((1,), _move_up),
    "scale": ((1, 2), _scale),
    "scaleX": ((1,), _scale_across),
    "scaleY": ((1,), _scale_up),
    "rotate": ((1, 3), _rotation),
    "skewX": ((1,), _skew_across),
    "skewY": ((1,), _skew_up),
}
