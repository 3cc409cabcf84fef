"""Colours and paints as CSS and SVG write them."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

from plotlib.checks import package
from plotlib.colours import NAMED
from plotlib.svg.reading.numbers import NUMBER, SPACE

_HEX = re.compile(r"#([0-9a-f]{3,4}|[0-9a-f]{6}|[0-9a-f]{8})\Z")
_PART = rf"{SPACE}({NUMBER})(%?){SPACE}"
_RGB = re.compile(rf"rgba?\({_PART},{_PART},{_PART}(?:,{_PART})?\)\Z")
_URL = re.compile(r"url\(\s*['\"]?([^'\")]*)['\"]?\s*\)\s*(.*)\Z", re.DOTALL)


class Colour(NamedTuple):
    """``#rrggbb`` and how opaque it is, 0 to 1; ``value`` is ``"currentcolor"`` for that word."""

    value: str
    alpha: float


class Paint(NamedTuple):
    """What a fill or stroke is painted with: a colour, or None for none, or else what ``server``
    (an id) names, with the colour where there is no such thing.
    """

    colour: Colour | None
    server: str | None = None


@lru_cache(maxsize=4096)
def colour_of(text: str) -> Colour | None:
    """A colour of CSS Color Module Level 4, or None where the text is none.

    >>> colour_of("rgb(100%, 50%, 0%)")
    Colour(value='#ff8000', alpha=1.0)
    """
    word = text.strip().lower()
    if word in NAMED:
        return Colour(NAMED[word], 1.0)
    if word == "transparent":
        return Colour("#000000", 0.0)
    if word == "currentcolor":
        return Colour(word, 1.0)
    found = _HEX.match(word)
    if found:
        digits = found[1]
        if len(digits) < 6:
            digits = "".join(digit * 2 for digit in digits)
        alpha = int(digits[6:], 16) / 255 if len(digits) == 8 else 1.0
        return Colour(f"#{digits[:6]}", alpha)
    found = _RGB.match(word)
    if found:
        return _of_parts(found.groups())
    return _by_package(word) if "(" in word else None


def _of_parts(parts: tuple[str | None, ...]) -> Colour | None:
    """``rgb()`` with commas: three whole numbers or three percentages, and opacity."""
    signs = set(parts[1:6:2])
    if len(signs) > 1:
        return None
    share = 100 if signs == {"%"} else 255
    values = [float(part or 0) / share for part in parts[0:6:2]]
    whole = 100 if parts[7] else 1
    alpha = 1.0 if parts[6] is None else float(parts[6]) / whole
    return Colour(_hex(values), min(max(alpha, 0.0), 1.0))


def _by_package(word: str) -> Colour | None:
    """The other functions of CSS: hsl(), hwb(), rgb() without commas and the like."""
    module = package("tinycss2.color4", install="tinycss2", use="reading the colours of this SVG")
    found = module.parse_color(word)
    if found is None or isinstance(found, str):
        return None
    try:
        red, green, blue = found.to("srgb").coordinates
        alpha = found.alpha
    except (NotImplementedError, ValueError, TypeError):
        return None
    return Colour(_hex([red or 0.0, green or 0.0, blue or 0.0]), float(alpha or 0.0))


def _hex(values: list[float]) -> str:
    levels = [min(max(int(value * 255 + 0.5), 0), 255) for value in values]
    return "#" + "".join(f"{level:02x}" for level in levels)


@lru_cache(maxsize=4096)
def paint_of(text: str) -> Paint | None:
    """A paint of SVG 2, chapter Painting, "Specifying paint"; None where the text is none.

    >>> paint_of("url(#sea) #00f")
    Paint(colour=Colour(value='#0000ff', alpha=1.0), server='sea')
    """
    word = text.strip()
    found = _URL.match(word)
    if found:
        rest = found[2].strip()
        fallback = None if rest.lower() in ("", "none") else colour_of(rest)
        return Paint(fallback, found[1].strip().removeprefix("#"))
    if word.lower() == "none":
        return Paint(None)
    colour = colour_of(word)
    return None if colour is None else Paint(colour)


def reference(text: str | None) -> str | None:
    """The id that ``url(#id)`` names, or None where the text is no such thing."""
    found = _URL.match((text or "").strip())
    return found[1].strip().removeprefix("#") if found and "#" in found[1][:1] else None
