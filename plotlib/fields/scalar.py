"""Scalar fields: a number for every point of the plane, with its slopes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias, cast

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue
from plotlib.fields.vector import VectorField, answer, broadcast, shaped

Value: TypeAlias = Callable[[FloatArray, FloatArray], FloatArray]
Jet: TypeAlias = Callable[[FloatArray, FloatArray], tuple[FloatArray, FloatArray, FloatArray]]

_STEP = 1e-4  # mm of the central difference where a function comes without its slopes


class ScalarField:
    """A number for every point of the plane, and its slopes.

    Call it with x and y in mm, numbers or arrays that broadcast; a row against a column makes a
    grid. Fields add, subtract, multiply and divide with each other and with numbers; slopes follow
    by the rules of calculus, so they stay exact.

    Parameters
    ----------
    value : function
        ``value(x, y)`` of two float64 arrays that broadcast: the numbers.
    jet : function, optional
        ``jet(x, y)``: the number and its slopes along x and y. Without it slopes are central
        differences over 0.0001 mm.
    error : float, default 0
        The largest known distance of the numbers from what the field stands for; sampling sets it.

    Examples
    --------
    >>> hill = ScalarField(lambda x, y: 100 - x * x - y * y, lambda x, y: (100 - x * x - y * y, -2 * x, -2 * y))
    >>> hill(3, 4), hill.slopes(3, 4)
    (75.0, (-6.0, -8.0))
    >>> (2 * hill + 1)(3, 4)
    151.0
    """

    __slots__ = ("_jet", "_value", "error")
    __array_ufunc__ = None  # numpy's numbers leave the algebra to the field

    def __init__(self, value: Value, jet: Jet | None = None, *, error: float = 0.0) -> None:
        self._value: Value = checks.function("value", value)
        self._jet: Jet = _differences(value) if jet is None else checks.function("jet", jet)
        self.error = checks.not_negative("error", error)

    def __call__(self, x: Any, y: Any) -> Any:
        """The numbers at (x, y): a float for two numbers, else a float64 array of the broadcast
        shape.
        """
        shape, x, y = broadcast(x, y)
        return shaped(answer(self._value, x, y), shape)

    def slopes(self, x: Any, y: Any) -> Any:
        """The slopes along x and along y, per mm, each shaped as the numbers are."""
        return self.jet(x, y)[1:]

    def jet(self, x: Any, y: Any) -> Any:
        """The numbers and both slopes in one go: cheaper than asking for each."""
        shape, x, y = broadcast(x, y)
        f, along_x, along_y = answer(self._jet, x, y)
        return shaped(f, shape), shaped(along_x, shape), shaped(along_y, shape)

    # ---- vector fields

    def gradient(self) -> VectorField:
        """The vector field that points uphill, as long as it is steep."""

        def uphill(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
            _, along_x, along_y = self._jet(x, y)
            return along_x, along_y

        return VectorField(uphill)

    def curl(self) -> VectorField:
        """The flow (slope along y, minus slope along x): it follows the iso-lines, higher ground on
        its left, and has no divergence.

        After R. Bridson, J. Hourihan and M. Nordenstam, *Curl-Noise for Procedural Fluid Flow*,
        SIGGRAPH 2007.
        """

        def along(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
            _, along_x, along_y = self._jet(x, y)
            return along_y, -along_x

        return VectorField(along)

    # ---- algebra

    def __add__(self, other: Any) -> ScalarField:
        return _combined(self, other, np.add, lambda f, g: (1.0, 1.0))

    def __sub__(self, other: Any) -> ScalarField:
        return _combined(self, other, np.subtract, lambda f, g: (1.0, -1.0))

    def __rsub__(self, other: Any) -> ScalarField:
        return (-self).__add__(other)

    def __mul__(self, other: Any) -> ScalarField:
        return _combined(self, other, np.multiply, lambda f, g: (g, f))

    def __truediv__(self, other: Any) -> ScalarField:
        return _combined(self, other, np.divide, lambda f, g: (1.0 / g, -f / (g * g)))

    def __rtruediv__(self, other: Any) -> ScalarField:
        return _combined(self, other, lambda f, g: g / f, lambda f, g: (-g / (f * f), 1.0 / f))

    __radd__ = __add__
    __rmul__ = __mul__

    def __neg__(self) -> ScalarField:
        return self * -1.0

    def __abs__(self) -> ScalarField:
        return self.shaped(np.abs, np.sign)

    def maximum(self, other: ScalarField | float) -> ScalarField:
        """The higher of this and ``other`` at every point."""
        return _combined(
            self,
            as_scalar("other", other),
            np.maximum,
            lambda f, g: (np.where(f >= g, 1.0, 0.0), np.where(f >= g, 0.0, 1.0)),
        )

    def minimum(self, other: ScalarField | float) -> ScalarField:
        """The lower of this and ``other`` at every point."""
        return _combined(
            self,
            as_scalar("other", other),
            np.minimum,
            lambda f, g: (np.where(f <= g, 1.0, 0.0), np.where(f <= g, 0.0, 1.0)),
        )

    def shaped(
        self,
        function: Callable[[FloatArray], Any],
        slope: Callable[[FloatArray], Any] | None = None,
    ) -> ScalarField:
        """``function`` of the numbers; ``slope`` is its derivative (central differences without
        it).
        """
        checks.function("function", function)
        if slope is not None:
            rate = checks.function("slope", slope)
        else:
            rate = lambda f: (function(f + 1e-6) - function(f - 1e-6)) / 2e-6  # noqa: E731

        def jet(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
            f, fx, fy = self._jet(x, y)
            by = rate(f)
            return function(f), by * fx, by * fy

        return ScalarField(lambda x, y: function(self._value(x, y)), jet)

    def warped(self, dx: ScalarField | float, dy: ScalarField | float) -> ScalarField:
        """The field displaced by two others: its number at (x + dx, y + dy), both in mm and both
        fields of (x, y).
        """
        a = as_scalar("dx", dx)
        b = as_scalar("dy", dy)

        def jet(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
            p, px, py = a._jet(x, y)
            q, qx, qy = b._jet(x, y)
            f, fx, fy = self._jet(x + p, y + q)
            return f, fx * (1 + px) + fy * qx, fx * py + fy * (1 + qy)

        return ScalarField(lambda x, y: self._value(x + a._value(x, y), y + b._value(x, y)), jet)


def _differences(value: Value) -> Jet:
    def jet(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        along_x = (value(x + _STEP, y) - value(x - _STEP, y)) / (2 * _STEP)
        along_y = (value(x, y + _STEP) - value(x, y - _STEP)) / (2 * _STEP)
        return value(x, y), along_x, along_y

    return jet


def _combined(
    left: ScalarField,
    right: Any,
    value: Callable[..., Any],
    rates: Callable[[Any, Any], tuple[Any, Any]],
) -> ScalarField:
    """A field made of two: ``rates`` gives the derivatives of the result by the left and by the
    right number.
    """
    if not isinstance(right, (ScalarField, int, float, np.number)) or isinstance(right, bool):
        return cast("ScalarField", NotImplemented)
    other = _as_field(cast("ScalarField | float", right))

    def jet(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        f, fx, fy = left._jet(x, y)
        g, gx, gy = other._jet(x, y)
        by_f, by_g = rates(f, g)
        return value(f, g), by_f * fx + by_g * gx, by_f * fy + by_g * gy

    return ScalarField(lambda x, y: value(left._value(x, y), other._value(x, y)), jet)


def _as_field(value: ScalarField | float) -> ScalarField:
    return value if isinstance(value, ScalarField) else constant(value)


def constant(value: float) -> ScalarField:
    """The same number everywhere."""
    number = np.float64(checks.finite("value", value))
    zero = np.float64(0.0)
    return ScalarField(lambda x, y: number, lambda x, y: (number, zero, zero))  # type: ignore[arg-type, return-value]


def as_scalar(name: str, value: object) -> ScalarField:
    """``value`` as a ScalarField (a number as a constant one), or InvalidValue."""
    if isinstance(value, ScalarField):
        return value
    if isinstance(value, VectorField) or callable(value):
        raise InvalidValue(
            f"{name} must be a scalar field or a number, got {type(value).__name__}; make one "
            f"with fields.from_function",
            name=name,
            value=value,
        )
    return constant(checks.finite(name, value))
