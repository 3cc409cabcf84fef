"""Letters beyond A to Z, composed of the face's own glyphs: strokes through letters, ligatures,
Nordic and other special letters.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable
from itertools import pairwise

import numpy as np

from plotlib.checks import FloatArray, string
from plotlib.text.glyphs.glyph import CAP, Glyph, joined
from plotlib.text.glyphs.parts import Kit, NoPart, ink, mirrored, touching, turned, without
from plotlib.text.glyphs.signs import SIGNS

DOTLESS = {"i": "ı", "j": "ȷ", "і": "ı", "ј": "ȷ"}
# private-use planes: where a character stands that is to be set small and high, or low
_RAISED = 0xF0000
_LOWERED = 0x100000
_SMALL = 0.6
_CLUSTER = re.compile("[\\s\\S][\u0300-\u036f]*")

Rule = Callable[[Kit], Glyph]


def clusters(text: str) -> list[str]:
    """Each character with the combining marks that follow it."""
    return _CLUSTER.findall(unicodedata.normalize("NFC", text))


def superscript(text: str) -> str:
    """``text`` marked to be set small and high, for use inside a longer text.

    Characters are moved to a private-use plane, which ``lettering`` understands.

    Parameters
    ----------
    text : str
        The text to raise.

    Returns
    -------
    str
        As long as ``text``.

    Raises
    ------
    InvalidValue
        If ``text`` is no str.

    Examples
    --------
    >>> from plotlib.text import measure
    >>> round(measure("2" + superscript("nd"), height=10).advance, 2)
    20.38
    """
    return _shifted(text, _RAISED)


def subscript(text: str) -> str:
    """``text`` marked to be set small and low, for use inside a longer text.

    Parameters
    ----------
    text : str
        The text to lower.

    Returns
    -------
    str
        As long as ``text``.

    Raises
    ------
    InvalidValue
        If ``text`` is no str.

    Examples
    --------
    >>> from plotlib.text import measure
    >>> round(measure("H" + subscript("2") + "O", height=10).advance, 2)
    26.67
    """
    return _shifted(text, _LOWERED)


def _shifted(text: str, plane: int) -> str:
    composed = unicodedata.normalize("NFC", string("text", text))
    return "".join(
        chr(ord(c) + plane) if c.isprintable() and not c.isspace() and ord(c) < 0xFFFE else c
        for c in composed
    )


def plain(character: str) -> str:
    """A character marked by ``superscript`` or ``subscript`` as it was before."""
    code = ord(character)
    return chr(code & 0xFFFF) if code >= _RAISED else character


def special(cluster: str, kit: Kit) -> Glyph | None:
    """The composed glyph of ``cluster``; None where there is no rule or a part is missing."""
    try:
        if len(cluster) == 1 and ord(cluster) >= _RAISED:
            low = ord(cluster) >= _LOWERED
            return kit[plain(cluster)].mapped(x=_SMALL, y=_SMALL, dy=-5.0 if low else 10.5)
        if cluster in _ALIASES:
            return kit[_ALIASES[cluster]]
        rule = _LETTERS.get(cluster) or SIGNS.get(cluster)
        return None if rule is None else rule(kit)
    except NoPart:
        return None


def row(parts: Iterable[str], kit: Kit) -> Glyph | None:
    """Several characters beside each other as one glyph."""
    whole = None
    for part in parts:
        glyph = kit.find(part)
        if glyph is None:
            return None
        whole = glyph if whole is None else whole.beside(glyph)
    return whole


def fraction(text: str, kit: Kit) -> Glyph | None:
    """Small figures over and under a slanted bar, from a text such as ``1⁄2``."""
    above, _, below = text.partition("⁄")
    upper = row(above, kit)
    lower = row(below, kit) if below else Glyph(0.0, 0.0)
    bar = kit.find("⁄")
    if upper is None or lower is None or bar is None:
        return None
    upper, lower = (
        part.mapped(x=0.55, y=0.55, dy=dy) for part, dy in ((upper, CAP * 0.45), (lower, 0.0))
    )
    return upper.beside(bar).beside(lower)


def dot(glyph: Glyph, x_height: float) -> Glyph:
    """The dot of an i."""
    return without(glyph, lambda stroke: not _above(stroke, x_height))


def _above(stroke: FloatArray, x_height: float) -> bool:
    return bool(stroke[:, 1].min() > x_height + 2.0)


def _undotted(letter: str) -> Rule:
    return lambda kit: without(kit[letter], lambda stroke: _above(stroke, kit.x_height))


def _barred(letter: str, y: float, *, before: float, after: float, side: int) -> Rule:
    """A bar through the stem: at the left (0) or right (1) end of the ink at its height."""

    def rule(kit: Kit) -> Glyph:
        at = ink(kit[letter], y - 1.0, y + 1.0)[side]
        return kit[letter].plus([kit.line((at - before, y), (at + after, y))])

    return rule


def _crossed(letter: str, y: float, *, side: int = 0) -> Rule:
    """The short slanted stroke of the Polish l."""

    def rule(kit: Kit) -> Glyph:
        at = ink(kit[letter], y - 1.0, y + 1.0)[side]
        return kit[letter].plus([kit.line((at - 3.0, y - 2.5), (at + 4.0, y + 2.5))])

    return rule


def _slashed(letter: str) -> Rule:
    def rule(kit: Kit) -> Glyph:
        glyph = kit[letter]
        (left, foot) = glyph.points.min(axis=0)
        (right, top) = glyph.points.max(axis=0)
        left, right = (
            ink(glyph, foot, top * 0.8)
            if kit.x_height < 10.0 and letter.islower()
            else (left, right)
        )
        return glyph.plus([kit.line((left, foot - 1.5), (right, top + 1.5))])

    return rule


def _ligature(first: str, second: str, *, squeeze: float = 1.0, overlap: float = 0.0) -> Rule:
    def rule(kit: Kit) -> Glyph:
        if kit.x_height < 10.0 and first.islower():
            return kit[first].beside(kit[second])  # handwriting joins by itself
        serifs = (
            2.0 if kit.name.endswith(("complex", "triplex")) else 0.0
        )  # they reach out to the neighbour
        return touching(
            kit[first].mapped(x=squeeze),
            kit[second],
            overlap=overlap + serifs + 12.0 * kit.lean * first.isupper(),
        )

    return rule


def _eth(kit: Kit) -> Glyph:
    glyph = kit["o"]
    _, right = ink(glyph, 0.0, kit.x_height)
    up = kit.x_height / 14.0
    curve = [(0.0, 8.0), (-0.5, 12.0), (-2.5, 16.0), (-5.0, 18.75), (-8.5, 21.0)]
    bar = [(-8.5, 16.0), (-1.0, 20.0)]
    lines = [
        kit.line(*((right + x - kit.lean * 7.0 * up + kit.lean * y * up, y * up) for x, y in part))
        for part in (curve, bar)
    ]
    return glyph.plus(lines)


def _thorn(kit: Kit) -> Glyph:
    glyph = kit["p"]
    x = sum(ink(glyph, -4.5, -2.5)) / 2
    stem = [(x + kit.lean * (y + 3.5), y) for y in (kit.x_height - 1.0, CAP)]
    return glyph.plus([kit.line(*stem)])


def _capital_thorn(kit: Kit) -> Glyph:
    """A P whose bowl hangs lower: all but the upright strokes moved down; handwriting and gothic
    get a plain one.
    """
    if kit.name.startswith(("script", "gothic")):
        bowl = [
            (-5.0, 16.0),
            (2.0, 16.0),
            (5.0, 14.5),
            (6.0, 12.0),
            (6.0, 9.0),
            (5.0, 6.5),
            (2.0, 5.0),
            (-5.0, 5.0),
        ]
        return Glyph(
            -9.0, 9.0, (kit.line((-5.0, 0.0), (-5.0, 21.0), lean=True), kit.line(*bowl, lean=True))
        )
    glyph = kit["P"]
    moved = [
        s if np.ptp(s[:, 1]) > 17.0 or s[:, 1].max() < 3.0 else s - (5.0 * kit.lean, 5.0)
        for s in _split(glyph)
    ]
    return Glyph(glyph.left, glyph.right, tuple(moved))


def _split(glyph: Glyph) -> list[FloatArray]:
    """Strokes cut where an upright one begins or ends, so that a joined stem and bowl come
    apart.
    """
    parts: list[FloatArray] = []
    for stroke in glyph.strokes:
        tall = np.flatnonzero(np.abs(np.diff(stroke[:, 1])) > 17.0)
        cuts = sorted({0, len(stroke) - 1, *tall, *(tall + 1)})
        parts += [stroke[a : b + 1] for a, b in pairwise(cuts)] or [stroke]
    return parts


def _eng(letter: str) -> Rule:
    def rule(kit: Kit) -> Glyph:
        x = ink(kit[letter], 0.5, 4.0)[1]
        hook = [(0.0, 0.5), (0.0, -3.0), (-1.0, -5.5), (-3.0, -7.0), (-6.0, -7.0)]
        return kit[letter].plus([kit.line(*((x + dx + kit.lean * (y - 2.0), y) for dx, y in hook))])

    return rule


def _sharp_s(wide: float = 1.0) -> Rule:
    shape = [
        (-5.0, 0.0),
        (-5.0, 16.0),
        (-4.0, 19.0),
        (-1.5, 21.0),
        (1.5, 21.0),
        (4.0, 19.5),
        (4.5, 17.0),
        (3.5, 14.5),
        (0.5, 12.0),
    ]
    shape += [(3.5, 11.0), (5.5, 8.5), (6.0, 5.5), (5.0, 2.0), (2.5, 0.0), (0.0, 0.0), (-1.0, 0.75)]
    return lambda kit: Glyph(
        -9.0 * wide, 9.0 * wide, (kit.line(*((x * wide, y) for x, y in shape), lean=True),)
    )


def _long_s(kit: Kit) -> Glyph:
    return without(
        kit["f"],
        lambda stroke: bool(
            np.ptp(stroke[:, 1]) < 1.5 and abs(stroke[:, 1].mean() - kit.x_height) < 2.0
        ),
    )


def _capital_ae(kit: Kit) -> Glyph:
    if kit.name not in ("roman simplex", "roman duplex"):
        return touching(kit["A"].mapped(x=0.85), kit["E"], overlap=2.0)
    strokes = [[(-11.0, 0.0), (0.0, 21.0)], [(0.0, 21.0), (0.0, 0.0)]]
    strokes += [
        [(left, y), (right, y)]
        for left, right, y in (
            (0.0, 12.0, 21.0),
            (0.0, 8.0, 11.0),
            (-7.0, 0.0, 7.0),
            (0.0, 12.0, 0.0),
        )
    ]
    return Glyph(-13.0, 14.0, tuple(joined([kit.line(*stroke) for stroke in strokes])))


_LETTERS: dict[str, Rule] = {
    "ı": _undotted("i"),
    "ȷ": _undotted("j"),
    "đ": _barred("d", 17.5, before=6.0, after=3.0, side=1),
    "Đ": _barred("D", 10.5, before=4.0, after=6.0, side=0),
    "Ð": _barred("D", 10.5, before=4.0, after=6.0, side=0),
    "ħ": _barred("h", 17.5, before=3.5, after=6.0, side=0),
    "Ħ": lambda kit: kit["H"].plus(
        [kit.line((ink(kit["H"], 15, 17)[0] - 2.5, 16.0), (ink(kit["H"], 15, 17)[1] + 2.5, 16.0))]
    ),
    "ŧ": _barred("t", 7.0, before=4.0, after=4.0, side=0),
    "Ŧ": _barred("T", 9.0, before=4.5, after=4.5, side=0),
    "ł": _crossed("l", 11.0),
    "Ł": _crossed("L", 10.0),
    "ø": _slashed("o"),
    "Ø": _slashed("O"),
    "æ": _ligature("a", "e"),
    "œ": _ligature("o", "e"),
    "Æ": _capital_ae,
    "Œ": _ligature("O", "E", squeeze=0.9, overlap=1.0),
    "ð": _eth,
    "þ": _thorn,
    "Þ": _capital_thorn,
    "ŋ": _eng("n"),
    "Ŋ": _eng("N"),
    "ß": _sharp_s(),
    "ẞ": _sharp_s(1.25),
    "ſ": _long_s,
    "ĸ": lambda kit: kit["K"].mapped(x=0.85, y=kit.x_height / CAP),
    "ə": lambda kit: turned(kit["e"], kit.x_height),
    "Ə": lambda kit: turned(kit["e"], kit.x_height).mapped(x=1.3, y=CAP / kit.x_height),
    "э": lambda kit: kit["Э"].mapped(x=0.75, y=14.0 / CAP),  # the data have the capital twice
    "є": lambda kit: mirrored(kit["э"]),
    "Є": lambda kit: mirrored(kit["Э"]),
    "љ": lambda kit: touching(kit["л"], kit["ь"], overlap=3.0),
    "њ": lambda kit: touching(kit["н"], kit["ь"], overlap=3.0),
    "Љ": lambda kit: touching(kit["Л"], kit["Ь"], overlap=3.0),
    "Њ": lambda kit: touching(kit["Н"], kit["Ь"], overlap=3.0),
    "ћ": _barred("h", 17.5, before=3.5, after=6.0, side=0),
    "ґ": lambda kit: kit["г"].plus(
        [kit.line((ink(kit["г"], 11, 14)[1], 14.0), (ink(kit["г"], 11, 14)[1], 17.0))]
    ),
    "Ґ": lambda kit: kit["Г"].plus(
        [kit.line((ink(kit["Г"], 17, 21)[1], 21.0), (ink(kit["Г"], 17, 21)[1], 24.0))]
    ),
}
_ALIASES = {
    **dict(zip("іІјЈѕЅӏ", "iIjJsSI", strict=True)),
    **dict(zip("ϑϕϵϐϰϱ", "θφεβκρ", strict=True)),
    **{
        "'": "’",
        "ʼ": "’",
        "ʻ": "‘",
        "‛": "‘",
        "`": " \u0300",
        "‚": ",",
        "‐": "-",
        "‑": "-",
        "‒": "–",
        "―": "—",
        "¦": "|",
    },
    **{
        "∙": "·",
        "⋅": "·",
        "・": "·",
        "∼": "~",
        "∕": "/",
        "∗": "*",
        "≤": "≦",
        "≥": "≧",
        "‖": "∥",
        "⊙": "☉",
        "∆": "Δ",
        "✕": "×",
        "✗": "×",
    },
}
