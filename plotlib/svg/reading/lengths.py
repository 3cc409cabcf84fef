"""Lengths in all units of CSS, as user units of SVG."""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from plotlib.svg.reading.numbers import NUMBER, SPACE

PX = 25.4 / 96  # mm; CSS Values and Units Level 4, section 6.2: 1 in = 2.54 cm = 96 px

# In px.
ABSOLUTE = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "cm": 96 / 2.54,
    "mm": 96 / 25.4,
    "q": 96 / 101.6,
    "pt": 96 / 72,
    "pc": 16.0,
}
# The same in mm, so that a page in mm stays what it says, bit for bit.
IN_MM = {
    "": PX,
    "px": PX,
    "in": 25.4,
    "cm": 10.0,
    "mm": 1.0,
    "q": 0.25,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
}
# Of the font's size. The font itself is not looked at: CSS Values and Units Level 4, section 6.1.1
# has 0.5 em for ex and ch and 1 em for ic and cap where they cannot be found; line height "normal"
# is 1.2 by common practice.
_OF_FONT = {"em": 1.0, "ex": 0.5, "ch": 0.5, "ic": 1.0, "cap": 1.0, "lh": 1.2}
_OF_ROOT_FONT = {f"r{unit}": share for unit, share in _OF_FONT.items()}

_LENGTH = re.compile(rf"{SPACE}({NUMBER})([A-Za-z]*|%){SPACE}\Z")
# "2em" is two em and no broken exponent: the number takes an "e" only with digits behind it.


class Length(NamedTuple):
    """A number and its unit, in lower case; ``"%"`` for percentages."""

    value: float
    unit: str


class Scope(NamedTuple):
    """What relative lengths are relative to, all in user units.

    Attributes
    ----------
    width, height : float
        Of the nearest viewport.
    font, root_font : float
        Font size here and at the root.
    page_width, page_height : float
        Of the outermost viewport, for vw and vh, in px.
    """

    width: float
    height: float
    font: float = 16.0
    root_font: float = 16.0
    page_width: float = 0.0
    page_height: float = 0.0

    @property
    def diagonal(self) -> float:
        """What percentages of neither width nor height are of: SVG 2, chapter Coordinates, "Units":
        the diagonal divided by the root of two.
        """
        return math.hypot(self.width, self.height) / math.sqrt(2)


def length(text: str) -> Length | None:
    """A length or a percentage, or None if it is none.

    >>> length("2.5em"), length("30%"), length("12 apples")
    (Length(value=2.5, unit='em'), Length(value=30.0, unit='%'), None)
    """
    found = _LENGTH.match(text)
    if found is None:
        return None
    unit = found[2].lower()
    return Length(float(found[1]), unit) if unit in _KNOWN else None


def resolved(given: Length, scope: Scope, along: str) -> float:
    """A length in user units; ``along`` says what percentages are of: "width", "height",
    "diagonal" or "font".
    """
    value, unit = given
    if unit in ABSOLUTE:
        return value * ABSOLUTE[unit]
    if unit == "%":
        whole: float = getattr(scope, along)
        return value / 100 * whole
    if unit in _OF_FONT:
        return value * _OF_FONT[unit] * scope.font
    if unit in _OF_ROOT_FONT:
        return value * _OF_ROOT_FONT[unit] * scope.root_font
    return value / 100 * _of_page(unit, scope)


def _of_page(unit: str, scope: Scope) -> float:
    sides = (scope.page_width, scope.page_height)
    return {"vw": sides[0], "vh": sides[1], "vmin": min(sides), "vmax": max(sides)}[unit]


_KNOWN = {*ABSOLUTE, "%", *_OF_FONT, *_OF_ROOT_FONT, "vw", "vh", "vmin", "vmax"}
