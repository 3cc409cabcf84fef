"""What each element is told of its looks: cascade, inheritance, values that can be used."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from plotlib.svg.reading.css_colours import Colour, colour_of, paint_of
from plotlib.svg.reading.document import Node
from plotlib.svg.reading.lengths import Length, Scope, length, resolved
from plotlib.svg.reading.numbers import number
from plotlib.svg.reading.sheets import Declaration, Rules, inline

_GEOMETRY = {"x", "y", "width", "height", "cx", "cy", "r", "rx", "ry"}
_SIZES = {
    "xx-small": 9.0,
    "x-small": 10.0,
    "small": 13.0,
    "medium": 16.0,
    "large": 18.0,
    "x-large": 24.0,
    "xx-large": 32.0,
}  # px; CSS Fonts Level 4, section 2.5, at its suggested factors


class Style(NamedTuple):
    """Values that children inherit."""

    color: str = "#000000"
    fill: str = "#000000"
    fill_rule: str = "nonzero"
    fill_opacity: float = 1.0
    stroke: str = "none"
    stroke_opacity: float = 1.0
    stroke_width: Length = Length(1.0, "")
    stroke_linecap: str = "butt"
    stroke_linejoin: str = "miter"
    stroke_miterlimit: float = 4.0
    stroke_dasharray: tuple[Length, ...] = ()
    stroke_dashoffset: Length = Length(0.0, "")
    clip_rule: str = "nonzero"
    visibility: str = "visible"
    marker_start: str = "none"
    marker_mid: str = "none"
    marker_end: str = "none"
    font_size: float = 16.0
    font_family: str = ""
    text_anchor: str = "start"


def _words(*known: str) -> Callable[[str], str | None]:
    def word(text: str) -> str | None:
        lower = text.strip().lower()
        return lower if lower in known else None

    return word


def _share(text: str) -> float | None:
    percent = text.strip().endswith("%")
    value = number(text.strip().removesuffix("%"))
    if value is None:
        return None
    return min(max(value / 100 if percent else value, 0.0), 1.0)


def _paint(text: str) -> str | None:
    return None if paint_of(text) is None else text


def _color(text: str) -> str | None:
    found = colour_of(text)
    return None if found is None else text.strip()


def _not_negative(text: str) -> Length | None:
    found = length(text)
    return found if found is not None and found.value >= 0 else None


def _dashes(text: str) -> tuple[Length, ...] | None:
    if text.strip().lower() == "none":
        return ()
    words = text.replace(",", " ").split()
    found = [_not_negative(word) for word in words]
    if not found or any(item is None for item in found):
        return None
    return tuple(item for item in found if item is not None)


def _limit(text: str) -> float | None:
    value = number(text)
    return value if value is not None and value >= 1 else None


def _any(text: str) -> str | None:
    return text.strip()


# How each inherited property is read; None for a value that CSS would throw away.
_READ: dict[str, Callable[[str], object]] = {
    "color": _color,
    "fill": _paint,
    "fill-rule": _words("nonzero", "evenodd"),
    "fill-opacity": _share,
    "stroke": _paint,
    "stroke-opacity": _share,
    "stroke-width": _not_negative,
    "stroke-linecap": _words("butt", "round", "square"),
    "stroke-linejoin": _words("miter", "miter-clip", "round", "bevel", "arcs"),
    "stroke-miterlimit": _limit,
    "stroke-dasharray": _dashes,
    "stroke-dashoffset": length,
    "clip-rule": _words("nonzero", "evenodd"),
    "visibility": _words("visible", "hidden", "collapse"),
    "marker-start": _any,
    "marker-mid": _any,
    "marker-end": _any,
    "font-family": _any,
    "text-anchor": _words("start", "middle", "end"),
}
_INHERITED = {*_READ, "font-size"}
_OWN = {
    "display",
    "opacity",
    "clip-path",
    "mask",
    "filter",
    "transform",
    "transform-origin",
    "transform-box",
    "overflow",
    "vector-effect",
}
_KNOWN = _INHERITED | _OWN
_WIDE = {"inherit", "initial", "unset", "revert", "revert-layer"}
_DEFAULT = Style()
# Valid CSS that is not worked out here: said to be left out, where other nonsense is thrown away as
# CSS asks.
_BEYOND = ("var(", "calc(", "min(", "max(", "clamp(", "env(", "context-")


class Cascade:
    """Which declarations count for an element: presentation attributes, then sheets, then its style
    attribute, then important ones (CSS Cascading and Inheritance Level 4, section 6; SVG 2, chapter
    Styling, "Presentation attributes").
    """

    def __init__(self, rules: Rules, tell: Callable[[Node, str], None]) -> None:
        self.rules = rules.of
        self.tell = tell

    def declared(self, node: Node) -> dict[str, str]:
        """Known properties and the value of each that counts."""
        found: dict[str, str] = {}
        for name, value in node.items():
            if name in _KNOWN:
                self._declare(node, found, name, value)
        style = node.get("style")
        later: tuple[Declaration, ...] = self.rules.get(id(node), ())
        if style:
            later = (*later, *inline(style))
        for important in (False, True):
            for name, value, weight in later:
                if weight is important:
                    self._declare(node, found, name, value)
        return found

    def _declare(self, node: Node, found: dict[str, str], name: str, value: str) -> None:
        if name in _KNOWN or name in _GEOMETRY:
            is_lost = not _put(found, name, value)
            if is_lost and any(word in value for word in _BEYOND):
                self.tell(node, f"{name}: {value:.60} is not understood")
        elif name == "marker":
            for part in ("marker-start", "marker-mid", "marker-end"):
                _put(found, part, value)
        elif name == "font":
            _put_font(found, value)


def _put(found: dict[str, str], name: str, value: str) -> bool:
    """Take a declaration, unless CSS would throw it away; and say whether it was taken."""
    wide = value.strip().lower()
    read = _READ.get(name)
    if wide in _WIDE:
        found[name] = wide
        return True
    if name in _GEOMETRY:
        is_valid = wide == "auto" or length(value) is not None
    else:
        is_valid = read is None or read(value) is not None
    if is_valid:
        found[name] = value
    return is_valid


def _put_font(found: dict[str, str], value: str) -> None:
    """Size and family of the shorthand ``font``."""
    words = value.split()
    for k, word in enumerate(words):
        size = word.partition("/")[0]
        if (length(size) is not None and not size.isdigit()) or size.lower() in _SIZES:
            found["font-size"] = size
            found["font-family"] = " ".join(words[k + 1 :])
            return


def computed(parent: Style, declared: dict[str, str], scope: Scope) -> Style:
    """The style of an element from that of its parent and its own declarations."""
    font = _font_size(parent, declared.get("font-size"), scope)
    changes: dict[str, object] = {}
    if font != parent.font_size:
        changes["font_size"] = font
    here = scope._replace(font=font)
    for name, text in declared.items():
        if name not in _READ:
            continue
        field = name.replace("-", "_")
        if text in _WIDE:
            value = getattr(_DEFAULT if text == "initial" else parent, field)
        else:
            value = _READ[name](text)
        changes[field] = _absolute(value, here)
    if "color" in changes and str(changes["color"]).lower() == "currentcolor":
        changes["color"] = parent.color
    return parent._replace(**changes) if changes else parent  # type: ignore[arg-type]


def _absolute(value: object, scope: Scope) -> object:
    """Lengths in user units; percentages stay, as their meaning may change further in."""
    if isinstance(value, Length):
        if value.unit in ("", "%"):
            return value
        return Length(resolved(value, scope, "diagonal"), "")
    if isinstance(value, tuple):
        return tuple(_absolute(item, scope) for item in value)
    return value


def _font_size(parent: Style, text: str | None, scope: Scope) -> float:
    word = (text or "inherit").strip().lower()
    if word in ("larger", "smaller"):
        return parent.font_size * (1.2 if word == "larger" else 1 / 1.2)
    if word == "initial" or word in _SIZES:
        return _SIZES.get(word, 16.0)
    given = length(word)
    if given is None or given.value < 0:
        return parent.font_size
    of_parent = scope._replace(font=parent.font_size)
    size = resolved(given, of_parent, "font")
    return size if math.isfinite(size) else parent.font_size


def ink_colour(text: str, opacity: float, style: Style) -> Colour | None:
    """The colour that a paint shows, or None for none at all; for paint servers their fallback."""
    paint = paint_of(text)
    colour = None if paint is None else paint.colour
    if colour is not None and colour.value == "currentcolor":
        colour = colour_of(style.color)
    if colour is None or colour.alpha * opacity == 0:
        return None
    return colour
