"""A caller's function of the plane, asked at many points at once, and its answer checked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias

import numpy as np

from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue

PlaneFunction: TypeAlias = "Callable[[FloatArray, FloatArray], Any]"


def points_at(name: str, function: PlaneFunction, places: FloatArray) -> FloatArray:
    """The points (n, 2) that ``function(x, y)`` gives for ``places`` (n, 2), or InvalidValue."""
    answer = _answer(name, function, places, "a pair of arrays (x, y)")
    try:
        x, y = answer
        columns = [_floats(part, len(places)) for part in (x, y)]
    except (TypeError, ValueError) as error:
        raise _no_fit(name, "a pair of arrays (x, y)", error) from error
    found = np.column_stack(columns)
    _all_finite(name, places, found)
    return found


def numbers_at(name: str, function: PlaneFunction, places: FloatArray) -> FloatArray:
    """The numbers (n,) above zero that ``function(x, y)`` gives for ``places`` (n, 2), or
    InvalidValue.
    """
    found = finite_at(name, function, places)
    if (found <= 0).any():
        at = int(np.argmin(found))
        x, y = places[at]
        raise InvalidValue(
            f"{name} must be greater than 0, got {found[at]:g} at ({x:g}, {y:g})",
            name=name,
            value=float(found[at]),
        )
    return found


def finite_at(name: str, function: PlaneFunction, places: FloatArray) -> FloatArray:
    """The finite numbers (n,) that ``function(x, y)`` gives for ``places`` (n, 2), or
    InvalidValue.
    """
    answer = _answer(name, function, places, "numbers")
    try:
        found = _floats(answer, len(places))
    except (TypeError, ValueError) as error:
        raise _no_fit(name, "numbers", error) from error
    _all_finite(name, places, found[:, None])
    return found


def _answer(name: str, function: PlaneFunction, places: FloatArray, wanted: str) -> Any:
    try:
        return function(places[:, 0].copy(), places[:, 1].copy())
    except (TypeError, ValueError, IndexError, ArithmeticError) as error:
        if isinstance(error, InvalidValue):
            raise
        raise _no_fit(name, wanted, error) from error


def _floats(part: Any, count: int) -> FloatArray:
    array = np.asarray(part)
    if array.dtype.kind not in "iuf":
        raise TypeError(f"got {array.dtype}, not numbers")
    return np.broadcast_to(array.astype(np.float64), (count,))


def _no_fit(name: str, wanted: str, error: Exception) -> InvalidValue:
    return InvalidValue(
        f"{name} must take two arrays x and y (n,) and return {wanted} of that length, so it is "
        f"written with numpy's functions; {type(error).__name__}: {error}",
        name=name,
    )


def _all_finite(name: str, places: FloatArray, found: FloatArray) -> None:
    good = np.isfinite(found).all(axis=1)
    if good.all():
        return
    x, y = places[int(np.argmin(good))]
    raise InvalidValue(
        f"{name} gives no finite number at ({x:g}, {y:g}); cut that place out of the drawing first",
        name=name,
        point=(float(x), float(y)),
    )
