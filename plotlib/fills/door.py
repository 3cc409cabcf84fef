"""What the fills ask of their arguments beyond `plotlib.checks`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from plotlib.checks import finite
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue


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
