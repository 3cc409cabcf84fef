"""Scalar fields: a number for every point of the plane, with its slopes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias, cast

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue
from plotlib.fields.vector import VectorField, answer, broadcast, maker_of, shaped

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

    Raises
    ------
    InvalidValue
        If an argument is invalid. When the field is asked: if ``value`` or ``jet`` does not
        take arrays, or does not give what is described here.

    Examples
    --------
    >>> def height(x, y):
    ...     return 100 - x * x - y * y
    >>> hill = ScalarField(height, lambda x, y: (height(x, y), -2 * x, -2 * y))
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

    def __repr__(self) -> str:
        error = f", error {self.error:.2g}" if self.error else ""
        return f"<ScalarField: {maker_of(self._value)}{error}>"

    def __call__(self, x: Any, y: Any) -> Any:
        """The numbers at (x, y).

        Parameters
        ----------
        x, y : float or array-like
            Points in mm; they broadcast.

        Returns
        -------
        float or ndarray
            A float for two numbers, else float64 of the broadcast shape.

        Raises
        ------
        InvalidValue
            If x or y is not numeric, if they do not broadcast, or if the field's function does not
            give arrays of their shape.

        Examples
        --------
        >>> ScalarField(lambda x, y: x + 10 * y)([1, 2], 3).tolist()
        [31.0, 32.0]
        """
        shape, x, y = broadcast(x, y)
        return shaped(answer(self._value, x, y), shape)

    def slopes(self, x: Any, y: Any) -> Any:
        """The slopes along x and along y: the partial derivatives.

        Parameters
        ----------
        x, y : float or array-like
            Points in mm; they broadcast.

        Returns
        -------
        (float, float) or (ndarray, ndarray)
            Both slopes per mm, each of the shape that the numbers have.

        Raises
        ------
        InvalidValue
            If x or y is not numeric, if they do not broadcast, or if the field's function does not
            give arrays of their shape.

        Examples
        --------
        >>> hill = ScalarField(lambda x, y: x * y, lambda x, y: (x * y, y, x))
        >>> hill.slopes(3, 4)
        (4.0, 3.0)
        """
        return self.jet(x, y)[1:]

    def jet(self, x: Any, y: Any) -> Any:
        """The numbers and both slopes in one go, which is cheaper than asking for each.

        Parameters
        ----------
        x, y : float or array-like
            Points in mm; they broadcast.

        Returns
        -------
        (float, float, float) or (ndarray, ndarray, ndarray)
            The numbers, the slopes along x and the slopes along y.

        Raises
        ------
        InvalidValue
            If x or y is not numeric, if they do not broadcast, or if the field's function does not
            give arrays of their shape.

        Examples
        --------
        >>> hill = ScalarField(lambda x, y: x * y, lambda x, y: (x * y, y, x))
        >>> hill.jet(3, 4)
        (12.0, 4.0, 3.0)
        """
        shape, x, y = broadcast(x, y)
        f, along_x, along_y = answer(self._jet, x, y)
        return shaped(f, shape), shaped(along_x, shape), shaped(along_y, shape)

    # ---- vector fields

    def gradient(self) -> VectorField:
        """The gradient: the vector field that points uphill and is as long as the hill is steep.

        Returns
        -------
        VectorField
            The slopes along x and along y, per mm.

        Examples
        --------
        >>> constant(3).gradient()(5, 5)
        (0.0, 0.0)
        >>> ScalarField(lambda x, y: x * y, lambda x, y: (x * y, y, x)).gradient()(3, 4)
        (4.0, 3.0)
        """

        def uphill(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
            _, along_x, along_y = self._jet(x, y)
            return along_x, along_y

        return VectorField(uphill)

    def curl(self) -> VectorField:
        """The curl of the field as a stream function: a flow that follows the iso-lines, with
        higher ground on its left and without divergence.

        Returns
        -------
        VectorField
            The slope along y, and minus the slope along x.

        References
        ----------
        R. Bridson, J. Hourihan, M. Nordenstam, *Curl-Noise for Procedural Fluid Flow*, SIGGRAPH
        2007.

        Examples
        --------
        >>> ScalarField(lambda x, y: x * y, lambda x, y: (x * y, y, x)).curl()(3, 4)
        (3.0, -4.0)
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
        """The pointwise maximum: the higher of this field and ``other`` at every point.

        Parameters
        ----------
        other : ScalarField or float
            The other field, or a number.

        Returns
        -------
        ScalarField
            Where both are equal, it has the slopes of this field.

        Raises
        ------
        InvalidValue
            If ``other`` is neither a scalar field nor a finite number.

        Examples
        --------
        >>> constant(3).maximum(7)(0, 0)
        7.0
        """
        return _combined(
            self,
            as_scalar("other", other),
            np.maximum,
            lambda f, g: (np.where(f >= g, 1.0, 0.0), np.where(f >= g, 0.0, 1.0)),
        )

    def minimum(self, other: ScalarField | float) -> ScalarField:
        """The pointwise minimum: the lower of this field and ``other`` at every point.

        Parameters
        ----------
        other : ScalarField or float
            The other field, or a number.

        Returns
        -------
        ScalarField
            Where both are equal, it has the slopes of this field.

        Raises
        ------
        InvalidValue
            If ``other`` is neither a scalar field nor a finite number.

        Examples
        --------
        >>> constant(3).minimum(7)(0, 0)
        3.0
        """
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
        """A function of the field's numbers.

        Parameters
        ----------
        function : function
            Takes a float64 array of numbers and gives an array of the same shape.
        slope : function, optional
            The derivative of ``function``. Without it slopes are central differences over 0.000001.

        Returns
        -------
        ScalarField
            ``function`` of the numbers, with slopes by the chain rule.

        Raises
        ------
        InvalidValue
            If ``function`` or ``slope`` is not a function.

        Examples
        --------
        >>> ScalarField(lambda x, y: x * y).shaped(np.sqrt)(2, 8)
        4.0
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
        """Domain warping: the field displaced by two others.

        Parameters
        ----------
        dx, dy : ScalarField or float
            How far away in mm the number is taken from, each a field of (x, y) or one number.

        Returns
        -------
        ScalarField
            The number of this field at (x + dx, y + dy), with slopes by the chain rule.

        Raises
        ------
        InvalidValue
            If ``dx`` or ``dy`` is neither a scalar field nor a finite number.

        Examples
        --------
        >>> ScalarField(lambda x, y: x * y).warped(1, 2)(3, 4)
        24.0
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
    """The same number everywhere, as a field.

    Parameters
    ----------
    value : float
        The number.

    Returns
    -------
    ScalarField
        Its slopes are 0.

    Raises
    ------
    InvalidValue
        If ``value`` is not a finite number.

    Examples
    --------
    >>> constant(3).jet(1, 2)
    (3.0, 0.0, 0.0)
    """
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
