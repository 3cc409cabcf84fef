"""What the fills ask of their arguments beyond `plotlib.checks`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from plotlib.arrays.ragged import LIMIT
from plotlib.checks import finite, positive
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen


def distance(name: str, value: object) -> float:
    """``value`` as a distance in mm above 0 that a drawing can hold, or InvalidValue."""
    number = positive(name, value, unit="mm")
    if number > LIMIT:
        raise InvalidValue(
            f"{name} must be at most {LIMIT:g} (mm), got {value!r}", name=name, value=value
        )
    return number


def flag(name: str, value: object) -> bool:
    """``value`` as True or False, or InvalidValue."""
    if not isinstance(value, (bool, np.bool_)):
        raise InvalidValue(f"{name} must be True or False, got {value!r}", name=name, value=value)
    return bool(value)


def pen_of(pen: Any) -> Pen | None:
    """``pen`` when it is a Pen or None, or InvalidValue."""
    if pen is not None and not isinstance(pen, Pen):
        raise InvalidValue(
            f"pen must be a Pen, got {pen!r:.80}; make one first: pen=Pen('blue', width=0.4)",
            name="pen",
            value=pen,
        )
    return pen


def directions(name: str, values: Any) -> list[float]:
    """``values`` as at least one angle in degrees, or InvalidValue."""
    if not isinstance(values, Iterable) or isinstance(values, (str, bytes)):
        raise InvalidValue(
            f"{name} must be several directions in degrees, such as (45, -45), got {values!r:.80}",
            name=name,
            value=values,
        )
    turns = [finite(name, value) for value in values]
    if not turns:
        raise InvalidValue(f"{name} must name at least one direction, got none", name=name)
    return turns


def drawn(name: str, value: Any) -> Drawing:
    """``value`` when it is a Drawing, or InvalidValue."""
    if not isinstance(value, Drawing):
        raise InvalidValue(
            f"{name} must be a Drawing (the strokes), got {type(value).__name__}",
            name=name,
            value=value,
        )
    return value
