"""Vector fields: a direction and a speed for every point of the plane."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias

import numpy as np

from plotlib import checks
from plotlib.arrays import affine
from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue, PlotlibError

Flow: TypeAlias = Callable[[FloatArray, FloatArray], tuple[FloatArray, FloatArray]]


class VectorField:
    """A vector for every point of the plane.

    Call it with x and y in mm, numbers or arrays that broadcast. Fields add and subtract, and
    multiply with numbers and scalar fields.

    Parameters
    ----------
    flow : function
        ``flow(x, y)`` of two float64 arrays that broadcast: the parts along x and along y.
    error : float, default 0
        The largest known distance of the vectors from what the field stands for, in their unit;
        sampling sets it.

    Raises
    ------
    InvalidValue
        If an argument is invalid. When the field is asked: if ``flow`` does not take arrays,
        or does not give a pair of them.

    Examples
    --------
    >>> turning = VectorField(lambda x, y: (-y, x))
    >>> turning(3.0, 4.0)
    (-4.0, 3.0)
    >>> (2 * turning).turned(90)(3, 4)
    (-6.0, -8.0)
    """

    __slots__ = ("_flow", "error")
    __array_ufunc__ = None  # numpy's numbers leave the algebra to the field

    def __init__(self, flow: Flow, *, error: float = 0.0) -> None:
        self._flow: Flow = checks.function("flow", flow)
        self.error = checks.not_negative("error", error)

    def __repr__(self) -> str:
        error = f", error {self.error:.2g}" if self.error else ""
        return f"<VectorField: {maker_of(self._flow)}{error}>"

    def __call__(self, x: Any, y: Any) -> Any:
        """The parts along x and y of the vectors at (x, y).

        Parameters
        ----------
        x, y : float or array-like
            Points in mm; they broadcast.

        Returns
        -------
        (float, float) or (ndarray, ndarray)
            Two floats for two numbers, else float64 of the broadcast shape.

        Raises
        ------
        InvalidValue
            If x or y is not numeric, if they do not broadcast, or if the field's function does not
            give arrays of their shape.

        Examples
        --------
        >>> VectorField(lambda x, y: (-y, x))(1, 2)
        (-2.0, 1.0)
        """
        shape, x, y = broadcast(x, y)
        u, v = _parts(answer(self._flow, x, y))
        return shaped(u, shape), shaped(v, shape)

    def __add__(self, other: Any) -> VectorField:
        if not isinstance(other, VectorField):
            return NotImplemented

        def flow(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
            a, b = self._flow(x, y)
            c, d = other._flow(x, y)
            return a + c, b + d

        return VectorField(flow)

    def __radd__(self, other: object) -> VectorField:
        """So that ``sum(fields)`` works."""
        return self if isinstance(other, int) and other == 0 else NotImplemented

    def __sub__(self, other: Any) -> VectorField:
        return self + -other if isinstance(other, VectorField) else NotImplemented

    def __neg__(self) -> VectorField:
        return self * -1.0

    def __mul__(self, factor: Any) -> VectorField:
        """Longer by ``factor``: a number, or a scalar field."""
        if isinstance(factor, VectorField):
            return NotImplemented
        if callable(factor):
            return self._changed(lambda x, y, u, v: (u * factor(x, y), v * factor(x, y)))
        number = checks.finite("factor", factor)
        return self._changed(lambda x, y, u, v: (u * number, v * number))

    __rmul__ = __mul__

    def turned(self, angle: float) -> VectorField:
        """Every vector turned counter-clockwise.

        Parameters
        ----------
        angle : float
            By how many degrees; multiples of 90 are exact.

        Returns
        -------
        VectorField

        Raises
        ------
        InvalidValue
            If ``angle`` is not a finite number.

        Examples
        --------
        >>> VectorField(lambda x, y: (x, y)).turned(90)(3, 4)
        (-4.0, 3.0)
        """
        c, s = affine.cosine_sine(checks.finite("angle", angle) % 360.0)
        return self._changed(lambda x, y, u, v: (c * u - s * v, s * u + c * v))

    def unit(self) -> VectorField:
        """The same directions at speed 1; zero vectors stay zero.

        Returns
        -------
        VectorField

        Examples
        --------
        >>> VectorField(lambda x, y: (x, y)).unit()(3, 4)
        (0.6, 0.8)
        """

        def shortened(
            x: FloatArray, y: FloatArray, u: FloatArray, v: FloatArray
        ) -> tuple[FloatArray, FloatArray]:
            length = np.hypot(u, v)
            safe = np.where(length > 0, length, 1.0)
            return u / safe, v / safe

        return self._changed(shortened)

    def _changed(self, change: Callable[..., tuple[FloatArray, FloatArray]]) -> VectorField:
        def flow(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
            return change(x, y, *self._flow(x, y))

        return VectorField(flow)


def as_vector(name: str, value: object) -> VectorField:
    """``value`` as a VectorField, or InvalidValue."""
    if not isinstance(value, VectorField):
        hint = "; a scalar field gives one by .gradient() or .curl()" if callable(value) else ""
        raise InvalidValue(
            f"{name} must be a vector field, got {type(value).__name__}{hint}", name=name
        )
    return value


def broadcast(x: Any, y: Any) -> tuple[tuple[int, ...], FloatArray, FloatArray]:
    """The shape that x and y have together, and both as float64 arrays, or InvalidValue."""
    across = _coordinates("x", x)
    up = _coordinates("y", y)
    try:
        shape = np.broadcast_shapes(across.shape, up.shape)
    except ValueError as error:
        raise InvalidValue(
            f"x of shape {across.shape} and y of shape {up.shape} do not broadcast; give two of "
            f"one shape, or a row and a column",
            name="x",
        ) from error
    return shape, across, up


def _coordinates(name: str, value: Any) -> FloatArray:
    try:
        array = np.asarray(value)
        if array.dtype.kind not in "iuf":
            raise TypeError(array.dtype)
        return array.astype(np.float64, copy=False)
    except (TypeError, ValueError) as error:
        raise InvalidValue(
            f"{name} must be numbers in mm, one or an array of them, got {value!r:.200}",
            name=name,
            value=value,
        ) from error


def maker_of(function: Callable[..., Any]) -> str:
    """What made a field's function: the name of the function that it was defined in."""
    name = getattr(function, "__qualname__", type(function).__name__)
    return str(name.split(".<locals>")[0].split(".")[-1].strip("_<>"))


def answer(function: Callable[..., Any], x: FloatArray, y: FloatArray) -> Any:
    """What a field's function gives, or InvalidValue if it does not take arrays."""
    try:
        return function(x, y)
    except PlotlibError:
        raise
    except (TypeError, ValueError) as error:
        raise InvalidValue(
            "a field's function must take two arrays x and y that broadcast, so it is written with "
            f"numpy's functions; {type(error).__name__}: {error}"
        ) from error


def _parts(given: Any) -> tuple[Any, Any]:
    """The parts along x and y that a flow's function gave, or InvalidValue."""
    try:
        u, v = given
    except (TypeError, ValueError) as error:
        raise InvalidValue(
            f"the function of a flow must give two parts, along x and along y; got {given!r:.200}",
            name="function",
        ) from error
    return u, v


def shaped(values: Any, shape: tuple[int, ...]) -> Any:
    """Whatever a formula gave, constants included, as floats in the shape that was asked for; one
    float for the shape ().
    """
    try:
        array = np.asarray(values, np.float64)
        if not shape:
            return float(array.reshape(()))
        return array if array.shape == shape else np.broadcast_to(array, shape).copy()
    except (TypeError, ValueError) as error:
        raise InvalidValue(
            f"a field's function must give numbers of shape {shape}, got {values!r:.100}"
        ) from error
