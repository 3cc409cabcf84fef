"""Vector fields by formula: uniform flow, vortices, saddles, sources, attractors, directions by
angle.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.fields.scalar import ScalarField, as_scalar
from plotlib.fields.vector import VectorField


def flow(function: Callable[[FloatArray, FloatArray], tuple[Any, Any]]) -> VectorField:
    """A vector field from a function of two numpy arrays x and y in mm that gives the parts along x
    and y.

    Examples
    --------
    >>> flow(lambda x, y: (-y, x))(1, 2)
    (-2.0, 1.0)
    """
    return VectorField(checks.function("function", function))


def uniform(angle: float = 0.0, *, speed: float = 1.0) -> VectorField:
    """The same vector everywhere, at ``angle`` degrees.

    Examples
    --------
    >>> uniform(90, speed=2)(5, 5)
    (0.0, 2.0)
    """
    fast = np.float64(checks.finite("speed", speed))
    return VectorField(lambda x, y: (fast, np.float64(0.0))).turned(angle)  # type: ignore[arg-type, return-value]


def heading(angle: ScalarField | float) -> VectorField:
    """Unit vectors at the angle, in degrees, that a scalar field gives.

    Examples
    --------
    >>> u, v = heading(60)(0, 0)
    >>> round(u, 6), round(v, 6)
    (0.5, 0.866025)
    """
    turn = as_scalar("angle", angle)

    def vectors(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
        radians = np.radians(turn(x, y))
        return np.cos(radians), np.sin(radians)

    return VectorField(vectors)


def vortex(centre: tuple[float, float], *, speed: float = 1.0, core: float = 1.0) -> VectorField:
    """Flow round ``centre``, counter-clockwise for a positive ``speed``.

    It is fastest, ``speed``, at ``core`` mm from the centre; inside it turns like a wheel, outside
    it fades as 1 / distance.
    """
    return _spoke(centre, speed, core).turned(90)


def source(centre: tuple[float, float], *, speed: float = 1.0, core: float = 1.0) -> VectorField:
    """Flow away from ``centre``; a negative ``speed`` makes it a sink. Fastest at ``core`` mm,
    fading as 1 / distance outside.

    Examples
    --------
    >>> source((0, 0), speed=2, core=5)(5, 0)
    (2.0, 0.0)
    """
    return _spoke(centre, speed, core)


def saddle(centre: tuple[float, float], *, angle: float = 0.0) -> VectorField:
    """Flow in from the sides and out along the direction ``angle``, faster by 1 each mm from
    ``centre``.

    Examples
    --------
    >>> saddle((1, 1))(3, 4)
    (2.0, -3.0)
    """
    x0, y0 = checks.point("centre", centre)
    turn = np.radians(2 * checks.finite("angle", angle))
    c = float(np.cos(turn))
    s = float(np.sin(turn))
    return VectorField(lambda x, y: (c * (x - x0) + s * (y - y0), s * (x - x0) - c * (y - y0)))


def attractors(points: ArrayLike, *, core: float = 1.0) -> VectorField:
    """Flow towards many points at once, each pulling as a sink of speed 1 does.

    Examples
    --------
    >>> attractors([(-5, 0), (5, 0)])(4, 0)[0] > 0
    True
    """
    centres = checks.points("points", points)
    pulls = [_spoke((float(x), float(y)), -1.0, core) for x, y in centres]
    total = pulls[0]
    for pull in pulls[1:]:
        total = total + pull
    return total


def _spoke(centre: tuple[float, float], speed: float, core: float) -> VectorField:
    x0, y0 = checks.point("centre", centre)
    fast = checks.finite("speed", speed)
    wide = checks.positive("core", core, unit="mm")

    def vectors(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
        dx = (x - x0) / wide
        dy = (y - y0) / wide
        pull = 2 * fast / (1 + dx * dx + dy * dy)
        return pull * dx, pull * dy

    return VectorField(vectors)
