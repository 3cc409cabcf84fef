"""Vector fields by formula: uniform flow, vortices, saddles, sources, attractors, directions by
angle.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays import affine
from plotlib.checks import FloatArray
from plotlib.fields.scalar import ScalarField, as_scalar
from plotlib.fields.vector import VectorField


def flow(function: Callable[[FloatArray, FloatArray], tuple[Any, Any]]) -> VectorField:
    """A vector field from a function.

    Parameters
    ----------
    function : function
        Takes two float64 arrays x and y in mm, which broadcast, and gives the parts along x and
        along y.

    Returns
    -------
    VectorField

    Raises
    ------
    InvalidValue
        If ``function`` is not a function; when the field is asked, if it does not give a pair of
        arrays of the right shape.

    Examples
    --------
    >>> flow(lambda x, y: (-y, x))(1, 2)
    (-2.0, 1.0)
    """
    return VectorField(checks.function("function", function))


def uniform(angle: float = 0.0, *, speed: float = 1.0) -> VectorField:
    """Uniform flow: the same vector everywhere.

    Parameters
    ----------
    angle : float, default 0.0
        Its direction in degrees, counter-clockwise from the x axis.
    speed : float, default 1.0
        Its length, in a unit of your own (mm/s for ``particles``).

    Returns
    -------
    VectorField

    Raises
    ------
    InvalidValue
        If an argument is not a finite number.

    Examples
    --------
    >>> uniform(90, speed=2)(5, 5)
    (0.0, 2.0)
    """
    fast = np.float64(checks.finite("speed", speed))
    return VectorField(lambda x, y: (fast, np.float64(0.0))).turned(angle)  # type: ignore[arg-type, return-value]


def heading(angle: ScalarField | float) -> VectorField:
    """Unit vectors in the direction that a scalar field gives.

    Parameters
    ----------
    angle : ScalarField or float
        The direction at each point in degrees, counter-clockwise from the x axis.

    Returns
    -------
    VectorField

    Raises
    ------
    InvalidValue
        If ``angle`` is neither a scalar field nor a finite number.

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
    """A vortex with a smooth core: flow round a centre.

    Parameters
    ----------
    centre : (float, float)
        Its centre in mm.
    speed : float, default 1.0
        The speed on the rim of the core, in a unit of your own; counter-clockwise when positive.
    core : float, default 1.0
        Radius in mm of the core, > 0: the flow is fastest on its rim.

    Returns
    -------
    VectorField
        Inside the core the speed grows smoothly from 0, outside it fades as 1 / distance.

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    References
    ----------
    The profile 2r / (1 + r²), with r the distance in cores, is that of W. Kaufmann's vortex of 1962
    (from memory).

    Examples
    --------
    >>> vortex((0, 0), speed=2, core=5)(5, 0)
    (0.0, 2.0)
    """
    return _spoke(centre, speed, core).turned(90)


def source(centre: tuple[float, float], *, speed: float = 1.0, core: float = 1.0) -> VectorField:
    """A source with a smooth core: flow away from a centre, or a sink towards it.

    Parameters
    ----------
    centre : (float, float)
        Its centre in mm.
    speed : float, default 1.0
        The speed on the rim of the core, in a unit of your own; negative for a sink.
    core : float, default 1.0
        Radius in mm of the core, > 0: the flow is fastest on its rim.

    Returns
    -------
    VectorField
        Inside the core the speed grows smoothly from 0, outside it fades as 1 / distance.

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    References
    ----------
    G. K. Batchelor, *An Introduction to Fluid Dynamics*, Cambridge University Press 1967 (sources
    and sinks; from memory).

    Examples
    --------
    >>> source((0, 0), speed=2, core=5)(5, 0)
    (2.0, 0.0)
    """
    return _spoke(centre, speed, core)


def saddle(centre: tuple[float, float], *, angle: float = 0.0) -> VectorField:
    """A saddle point: flow in from two sides and out along a direction.

    Parameters
    ----------
    centre : (float, float)
        The point in mm where the flow stands still.
    angle : float, default 0.0
        The direction in degrees in which it flows out, both ways.

    Returns
    -------
    VectorField
        The speed is the distance from the centre in mm.

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    References
    ----------
    G. K. Batchelor, *An Introduction to Fluid Dynamics*, Cambridge University Press 1967 (flow near
    a stagnation point; from memory).

    Examples
    --------
    >>> saddle((1, 1))(3, 4)
    (2.0, -3.0)
    """
    x0, y0 = checks.point("centre", centre)
    # a reflection, hence twice the angle; half a turn of a saddle is none
    c, s = affine.cosine_sine(2.0 * (checks.finite("angle", angle) % 180.0))
    return VectorField(lambda x, y: (c * (x - x0) + s * (y - y0), s * (x - x0) - c * (y - y0)))


def attractors(points: ArrayLike, *, core: float = 1.0) -> VectorField:
    """Flow towards many points at once: the sum of sinks of speed 1.

    Parameters
    ----------
    points : array-like, shape (n, 2)
        The points in mm, at least one.
    core : float, default 1.0
        Radius in mm of the core of each, > 0: its pull is strongest on the rim.

    Returns
    -------
    VectorField

    Raises
    ------
    InvalidValue
        If an argument is invalid.

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
