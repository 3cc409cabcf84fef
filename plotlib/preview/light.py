"""Colours as light: sRGB bytes to linear light and back (IEC 61966-2-1).

Light is mixed in linear light and only then encoded: half a pixel of ink is as bright as half the
paper, and a line takes away as much light wherever it lies.
"""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from plotlib.errors import InvalidValue

Light = NDArray[np.float32]


def rgb(name: str, colour: object) -> NDArray[np.uint8]:
    """The three bytes of a colour, or InvalidValue."""
    text = colour if isinstance(colour, str) else ""
    if re.fullmatch("#[0-9a-fA-F]{3}", text):
        text = "#" + "".join(digit * 2 for digit in text[1:])
    if not re.fullmatch("#[0-9a-fA-F]{6}", text):
        raise InvalidValue(
            f"{name} must be a colour written #rrggbb or #rgb, got {colour!r}",
            name=name,
            value=colour,
        )
    return np.frombuffer(bytes.fromhex(text[1:]), np.uint8)


def linear(bytes_: NDArray[np.uint8]) -> Light:
    """Linear light, 0 to 1, of sRGB bytes."""
    value = bytes_ / 255.0
    curve = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    return curve.astype(np.float32)


def light_of(name: str, colour: object) -> Light:
    """Linear light of a colour, or InvalidValue."""
    return linear(rgb(name, colour))


def encoded(light: Light) -> NDArray[np.uint8]:
    """SRGB bytes of linear light, by a table of 65,536 steps."""
    table = np.linspace(0.0, 1.0, 1 << 16)
    curve = np.where(table <= 0.0031308, 12.92 * table, 1.055 * table ** (1 / 2.4) - 0.055)
    steps = np.rint(np.clip(light, 0.0, 1.0) * 65535).astype(np.uint16)
    result: NDArray[np.uint8] = np.rint(curve * 255).astype(np.uint8)[steps]
    return result
