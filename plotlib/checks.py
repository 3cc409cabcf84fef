"""The door: every public function checks its arguments here, once."""

from __future__ import annotations

import importlib
import math
from collections.abc import Callable, Collection, Iterable
from types import ModuleType
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plotlib.errors import InvalidValue, MissingPackage, UnknownName

FloatArray: TypeAlias = NDArray[np.float64]
IntArray: TypeAlias = NDArray[np.int64]
AnyInts: TypeAlias = NDArray[
    Any
]  # whole numbers of any width, in kernels that take int32 and int64
BoolArray: TypeAlias = NDArray[np.bool_]
Seed: TypeAlias = "int | np.random.Generator"

_FARTHEST = 1e8  # mm: a length of more than 100 km is a slip, and what is made of it overflows
_FARTHEST_POINT = 1e9  # mm: the limit of drawings


def finite(name: str, value: object, *, unit: str = "") -> float:
    """``value`` as a finite float, or InvalidValue."""
    try:
        number = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, OverflowError):
        number = math.nan
    if not math.isfinite(number) or isinstance(value, (bool, str, bytes)):
        raise InvalidValue(
            f"{name} must be a finite number{_of(unit)}, got {value!r:.200}",
            name=name,
            value=value,
        )
    if unit == "mm" and abs(number) > _FARTHEST:
        raise InvalidValue(
            f"{name} must be within {_FARTHEST:g} mm, got {number:g}", name=name, value=value
        )
    return number


def positive(name: str, value: object, *, unit: str = "") -> float:
    """``value`` as a finite float above zero, or InvalidValue."""
    number = finite(name, value, unit=unit)
    if number <= 0:
        raise InvalidValue(
            f"{name} must be greater than 0{_of(unit)}, got {value!r}", name=name, value=value
        )
    return number


def not_negative(name: str, value: object, *, unit: str = "") -> float:
    """``value`` as a finite float of at least zero, or InvalidValue."""
    number = finite(name, value, unit=unit)
    if number < 0:
        raise InvalidValue(
            f"{name} must be at least 0{_of(unit)}, got {value!r}", name=name, value=value
        )
    return number


def between(name: str, value: object, low: float, high: float, *, unit: str = "") -> float:
    """``value`` as a finite float with ``low <= value <= high``, or InvalidValue."""
    number = finite(name, value, unit=unit)
    if not low <= number <= high:
        raise InvalidValue(
            f"{name} must be from {low:g} to {high:g}{_of(unit)}, got {value!r}",
            name=name,
            value=value,
        )
    return number


def rate(name: str, value: object, *, unit: str = "mm/min") -> float:
    """``value`` as a feed, rate or acceleration that machines have: G-code says thousandths, and
    1e9 is beyond all of them.
    """
    return between(name, positive(name, value, unit=unit), 0.001, 1e9, unit=unit)


def whole(name: str, value: object, *, low: int | None = None, high: int | None = None) -> int:
    """``value`` as an int within ``low`` and ``high``, or InvalidValue."""
    number = finite(name, value)
    if number != int(number):
        raise InvalidValue(f"{name} must be a whole number, got {value!r}", name=name, value=value)
    if (low is not None and number < low) or (high is not None and number > high):
        wanted = f"from {low} to {high}"
        if high is None:
            wanted = f"at least {low}"
        elif low is None:
            wanted = f"at most {high}"
        raise InvalidValue(f"{name} must be {wanted}, got {value!r}", name=name, value=value)
    return int(number)


def flag(name: str, value: object) -> bool:
    """``value`` as a bool, or InvalidValue: words such as "no" would count as true."""
    if not isinstance(value, (bool, np.bool_)):
        raise InvalidValue(
            f"{name} must be True or False, got {value!r:.200}", name=name, value=value
        )
    return bool(value)


def string(name: str, value: object) -> str:
    """``value`` if it is a str, or InvalidValue."""
    if not isinstance(value, str):
        raise InvalidValue(f"{name} must be a string, got {value!r:.200}", name=name, value=value)
    return value


def several(name: str, value: object, what: str) -> list[Any]:
    """What ``value`` holds as a list, or InvalidValue for a single thing or a str."""
    if not isinstance(value, Iterable) or isinstance(value, (str, bytes)):
        raise InvalidValue(
            f"{name} must be several {what}, got {value!r:.200}", name=name, value=value
        )
    return list(value)


def function(name: str, value: object) -> Callable[..., Any]:
    """``value`` if it can be called, or InvalidValue."""
    if not callable(value) or isinstance(value, type):
        raise InvalidValue(f"{name} must be a function, got {value!r:.200}", name=name, value=value)
    return value


def affordable(name: str, value: float, count: float, most: float, what: str, remedy: str) -> None:
    """Refuse the ``value`` of an argument that would make more than ``most`` of ``what``, before
    any of them is made.
    """
    if not count <= most:
        counted = f"{count:,.0f}" if count < 1e15 else f"{count:.2g}"
        raise InvalidValue(
            f"{name} = {value:g} makes {counted} {what}, more than {most:,.0f}; {remedy}",
            name=name,
            value=value,
            count=count,
        )


def counted(count: int, what: str) -> str:
    """A count with its noun, for messages.

    Examples
    --------
    >>> counted(1, "stroke"), counted(1200, "stroke")
    ('1 stroke', '1,200 strokes')
    """
    return f"{count:,} {what}" if count == 1 else f"{count:,} {what}s"


def two_digits(least: float) -> str:
    """``least`` rounded up to two digits, so that advice to take it or more can be obeyed."""
    if not 0 < least < math.inf:
        return f"{least:g}"
    unit = 10.0 ** (math.floor(math.log10(least)) - 1)
    number = math.ceil(least / unit * (1 - 1e-12)) * unit
    return f"{number:.0f}" if 100 <= number < 1e6 else f"{number:.2g}"


def numbers(name: str, value: Any, *, ndim: int | None = None, columns: int = 0) -> FloatArray:
    """``value`` as a finite float64 array of ``ndim`` dimensions (any without it), or InvalidValue;
    ``[]`` is no rows of so many ``columns``.
    """
    array = _floats(name, value)
    if columns and array.shape == (0,):
        array = array.reshape(0, columns)
    if (ndim is not None and array.ndim != ndim) or not np.isfinite(array).all():
        wanted = "finite numbers" if ndim is None else f"finite numbers in {ndim} dimensions"
        raise InvalidValue(
            f"{name} must be {wanted}, got shape {array.shape}: {value!r:.200}",
            name=name,
            value=value,
        )
    return array


def point(name: str, value: ArrayLike) -> tuple[float, float]:
    """``value`` as a pair of finite floats, or InvalidValue."""
    array = _floats(name, value)
    if array.shape != (2,):
        raise InvalidValue(
            f"{name} must be a point (x, y), got {value!r:.200}", name=name, value=value
        )
    _all_finite(name, array[None, :])
    return float(array[0]), float(array[1])


def points(name: str, value: ArrayLike, *, least: int = 1) -> FloatArray:
    """``value`` as a finite float64 array of shape (n, 2) with n >= ``least``, or InvalidValue."""
    array = _floats(name, value)
    if array.shape == (0,):  # [] is no points
        array = array.reshape(0, 2)
    if array.ndim != 2 or array.shape[1:] != (2,):
        raise InvalidValue(
            f"{name} must be points of shape (n, 2), got shape {array.shape}", name=name
        )
    if len(array) < least:
        raise InvalidValue(f"{name} needs at least {least} points, got {len(array)}", name=name)
    _all_finite(name, array)
    return array


def one_of(name: str, value: object, known: Collection[str]) -> str:
    """``value`` as one of the ``known`` words, or UnknownName with the list of them."""
    if not isinstance(value, str) or value not in known:
        listed = ", ".join(repr(word) for word in known)
        raise UnknownName(
            f"{name} must be one of {listed}; got {value!r:.200}", name=name, value=value
        )
    return value


def generator(seed: Seed) -> np.random.Generator:
    """A numpy Generator from an int (a new one) or from a Generator (the same one)."""
    if isinstance(seed, np.random.Generator):
        return seed
    if seed is None:
        raise InvalidValue(
            "seed must be a whole number or a numpy Generator, got None: the same drawing comes "
            "again only from the same seed; for a new one each time pass "
            "numpy.random.default_rng()",
            name="seed",
            value=None,
        )
    return np.random.default_rng(whole("seed", seed, low=0))


def package(name: str, *, install: str, use: str) -> ModuleType:
    """Import the optional module ``name``, or say which package to install for it."""
    try:
        return importlib.import_module(name)
    except ImportError as error:
        raise MissingPackage(
            f"{use} needs the package {install}, which is not installed here; "
            f"type: pip install {install}",
            name=name,
            install=install,
        ) from error


def _of(unit: str) -> str:
    return f" ({unit})" if unit else ""


def _floats(name: str, value: Any) -> FloatArray:
    try:
        array = np.asarray(value)
        if array.dtype.kind not in "iuf" and (array.size or array.dtype.kind == "O"):
            raise TypeError(array.dtype)
        return np.asarray(array, dtype=np.float64)
    except (TypeError, ValueError, OverflowError) as error:
        raise InvalidValue(
            f"{name} must hold numbers only, got {value!r:.200}", name=name, value=value
        ) from error


def _all_finite(name: str, array: FloatArray) -> None:
    bad = ~(np.abs(array) <= _FARTHEST_POINT).all(axis=1)
    if bad.any():
        where = int(np.argmax(bad))
        is_far = np.isfinite(array[where]).all()
        problem = f"beyond {_FARTHEST_POINT:g} mm" if is_far else "not finite"
        raise InvalidValue(
            f"{name}: point {where} is {problem}: ({array[where, 0]}, {array[where, 1]})",
            name=name,
            point=where,
        )
