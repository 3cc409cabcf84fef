"""Maps that keep angles: inversion in a circle, Möbius maps, any function of a complex number."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.symmetry.repeating import as_motif

_FINEST = 1e-4  # mm, the least tolerance: far below what any machine draws
_FARTHEST = 1e9  # mm
_POLE = 1e-9  # share of the drawing's size: what comes nearer to a pole is sent to infinity


def inversion(
    drawing: Drawing, about: tuple[float, float], radius: float, *, tolerance: float = 0.02
) -> Drawing:
    """Inverted in a circle: what is near its centre goes far out, circles become circles or lines.

    Parameters
    ----------
    drawing : Drawing
        What is mapped; it must keep away from the centre.
    about : (float, float)
        The centre of the circle, mm.
    radius : float
        Its radius, mm, > 0: points on it stay where they are.
    tolerance : float, default 0.02
        How far in mm the new strokes may lie from the true images, 0.0001 or more.

    Returns
    -------
    Drawing
        Each point at the distance radius² / r from the centre, in the same direction.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or a stroke runs into the centre.

    References
    ----------
    J. Steiner, 1826; H. S. M. Coxeter, *Introduction to Geometry*, chapter 6 (both from memory).

    Examples
    --------
    >>> from plotlib import shapes
    >>> line = shapes.line((5, -40), (5, 40))
    >>> round(inversion(line, (0, 0), 10).bounds[2], 6)  # part of a circle through the centre
    20.0
    """
    x0, y0 = checks.point("about", about)
    size = checks.positive("radius", radius, unit="mm")

    def inverted(z: Any) -> Any:
        away = z - complex(x0, y0)
        return complex(x0, y0) + size * size / np.conj(away)

    return _mapped(_keeps_away(drawing, complex(x0, y0)), inverted, tolerance)


def mobius(
    drawing: Drawing,
    a: complex,
    b: complex,
    c: complex,
    d: complex,
    *,
    tolerance: float = 0.02,
) -> Drawing:
    """Under the Möbius map (a z + b) / (c z + d), with z = x + iy in mm.

    Parameters
    ----------
    drawing : Drawing
        What is mapped; it must keep away from the pole −d / c.
    a, b, c, d : complex
        The numbers of the map; a d − b c must not be 0.
    tolerance : float, default 0.02
        How far in mm the new strokes may lie from the true images, 0.0001 or more.

    Returns
    -------
    Drawing
        Circles and lines become circles and lines; angles stay.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the map sends everything to one point, or a stroke runs into the
        pole.

    References
    ----------
    A. F. Möbius, 1855 (from memory).

    Examples
    --------
    >>> from plotlib import shapes
    >>> disc = shapes.circle((0, 0), 10)  # itself, under a map that moves its middle
    >>> moved = mobius(disc, 10, 50, 0.5, 10)
    >>> [round(side, 1) for side in moved.bounds]
    [-10.0, -10.0, 10.0, 10.0]
    """
    numbers = [_complex(name, value) for name, value in zip("abcd", (a, b, c, d), strict=True)]
    p, q, r, s = numbers
    largest = max(abs(p * s), abs(q * r))
    if abs(p * s - q * r) <= 1e-12 * largest or largest == 0:
        raise InvalidValue(
            "a Möbius map with a d = b c sends everything to one point; change one of the four",
            value=tuple(numbers),
        )
    safe = _keeps_away(drawing, -s / r) if r != 0 else as_motif(drawing)

    def moved(z: Any) -> Any:
        return (p * z + q) / (r * z + s)

    with np.errstate(all="ignore"):
        farthest = np.abs(moved(safe.points[:, 0] + 1j * safe.points[:, 1])).max(initial=0.0)
    if not farthest <= _FARTHEST:
        raise InvalidValue(
            f"a, b, c and d send a point {farthest:.3g} mm away, beyond {_FARTHEST:g} mm",
            value=tuple(numbers),
        )
    return _mapped(safe, moved, tolerance)


def conformal(
    drawing: Drawing, function: Callable[[Any], Any], *, tolerance: float = 0.02
) -> Drawing:
    """Under a function of one complex number, such as ``np.exp``.

    Parameters
    ----------
    drawing : Drawing
        What is mapped; z = x + iy in mm.
    function : function
        From complex128 (n,) to complex (n,), continuous on the strokes; where it is analytic,
        angles stay.
    tolerance : float, default 0.02
        How far in mm the new strokes may lie from the true images, 0.0001 or more.

    Returns
    -------
    Drawing
        Each point mapped, with points between them where straight segments become bent.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the function jumps on a stroke or is not finite there.

    References
    ----------
    T. Needham, *Visual Complex Analysis*, Oxford University Press 1997 (from memory).

    Examples
    --------
    >>> from plotlib import shapes
    >>> spoke = shapes.line((0, 0), (0, np.pi / 2))  # becomes a quarter of a circle
    >>> round(conformal(spoke, lambda z: 10 * np.exp(z), tolerance=0.001).length, 2)
    15.71
    """
    asked = checks.function("function", function)
    return _mapped(as_motif(drawing), asked, tolerance)


def _mapped(drawing: Drawing, function: Callable[[Any], Any], tolerance: float) -> Drawing:
    limit = checks.between("tolerance", tolerance, _FINEST, _FARTHEST, unit="mm")

    def moved(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
        with np.errstate(all="ignore"):  # what is not finite is named by mapped
            images = np.asarray(function(x + 1j * y))
        if images.shape != x.shape or images.dtype.kind not in "fciu":
            raise InvalidValue(
                f"function must return as many numbers as it is given, ({len(x)},); it returned "
                f"{images.dtype} {images.shape}",
                name="function",
            )
        return images.real, images.imag

    return drawing.mapped(moved, tolerance=limit)


def _keeps_away(drawing: Drawing, pole: complex) -> Drawing:
    """The drawing, once it is sure that no stroke runs into the pole."""
    import shapely

    bounds = as_motif(drawing).bounds
    if bounds is None:
        return drawing
    spot = shapely.Point(pole.real, pole.imag)
    size = math.hypot(bounds[2] - bounds[0], bounds[3] - bounds[1]) + abs(pole)
    near = [float(spot.distance(stroke)) for stroke in drawing.to_shapely()]
    if min(near) > _POLE * size:
        return drawing
    where = f"({pole.real:g}, {pole.imag:g})"
    hole = f"shapely.Point{where}.buffer({max(1.0, 0.01 * size):.3g})"
    raise InvalidValue(
        f"stroke {int(np.argmin(near))} runs through {where}, which this map sends to infinity; "
        f"cut it out first: drawing.erased({hole})",
        name="drawing",
    )


def _complex(name: str, value: object) -> complex:
    try:
        number: complex = complex(value)  # type: ignore[call-overload]
    except (TypeError, ValueError, OverflowError) as error:
        raise InvalidValue(f"{name} must be a complex number; got {value!r:.60}", name=name) from (
            error
        )
    if not (math.isfinite(number.real) and math.isfinite(number.imag)):
        raise InvalidValue(f"{name} must be finite; got {value!r:.60}", name=name)
    return number
