"""Spaces, dashes, quotes, currency and other signs that the data lack or have in another length,
composed for each face.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from plotlib.checks import FloatArray
from plotlib.text.glyphs.glyph import CAP, Glyph, shifted
from plotlib.text.glyphs.parts import Kit, Point, ink, turned

Rule = Callable[[Kit], Glyph]

# Widths of spaces in units; a word space of the data is 16, a figure 20.
_SPACES = {
    "\u2002": 16.0,
    "\u2003": 32.0,
    "\u2004": 11.0,
    "\u2005": 8.0,
    "\u2006": 5.5,
    "\u2007": 20.0,
    "\u2008": 10.0,
    "\u3000": 24.0,
}
_SPACES |= {"\u2009": 6.0, "\u202f": 6.0, "\u200a": 3.0, "\u205f": 6.0}


def _space(width: float) -> Rule:
    return lambda kit: Glyph(0.0, width)


def _word_space(times: int = 1) -> Rule:
    return lambda kit: Glyph(0.0, kit[" "].advance * times)


def _dash(length: float, side: float) -> Rule:
    """The face's own minus at another length, at half the height of small letters."""

    def rule(kit: Kit) -> Glyph:
        minus = kit["−"]
        low = minus.points.min(axis=0)
        high = minus.points.max(axis=0)
        middle = (low[0] + high[0]) / 2
        level = (low[1] + high[1]) / 2
        scale = (length / (high[0] - low[0]), 1.0)
        strokes = tuple(
            (stroke - (middle, level)) * scale + (0.0, kit.x_height / 2) for stroke in minus.strokes
        )
        return Glyph(-length / 2 - side, length / 2 + side, strokes)

    return rule


def _pair(character: str, kern: float) -> Rule:
    return lambda kit: kit[character].beside(kit[character], kern=kern)


def _strokes(left: float, right: float, *strokes: list[Point], to_x_height: bool = False) -> Rule:
    """A sign of our own design; ``to_x_height`` fits it to the face's small letters."""

    def rule(kit: Kit) -> Glyph:
        up = kit.x_height / 14.0 if to_x_height else 1.0
        return Glyph(
            left,
            right,
            tuple(kit.line(*((x, y * up) for x, y in stroke), lean=True) for stroke in strokes),
        )

    return rule


def _over(character: str, *strokes: list[Point], at: float | None = None) -> Rule:
    """A character with strokes over the middle of its ink, or of its ink at the height ``at``."""

    def rule(kit: Kit) -> Glyph:
        glyph = kit[character]
        middle = sum(ink(glyph, 0.0, CAP) if at is None else ink(glyph, at - 2.0, at + 2.0)) / 2
        return glyph.plus([kit.line(*((middle + x, y) for x, y in stroke)) for stroke in strokes])

    return rule


def _euro(kit: Kit) -> Glyph:
    left = ink(kit["C"], 8.0, 12.0)[0]
    return kit["C"].plus(
        [kit.line((left - 3.0, y), (left + 9.0, y)) for y in (12.0, 8.5)], left=kit["C"].left - 2.0
    )


def _ringed(character: str) -> Rule:
    turn = np.radians(np.linspace(0.0, 360.0, 33))
    ring = np.column_stack([11.0 * np.cos(turn), 10.5 + 11.0 * np.sin(turn)])

    def rule(kit: Kit) -> Glyph:
        small = kit[character].mapped(x=0.55, y=0.55, dx=0.0, dy=CAP * 0.225)
        return Glyph(-13.0, 13.0, (ring, *small.strokes))

    return rule


def _half_turned(character: str) -> Rule:
    def rule(kit: Kit) -> Glyph:
        low = kit[character].points[:, 1].min()
        high = kit[character].points[:, 1].max()
        return turned(kit[character], float(low + high))

    return rule


def _permille(kit: Kit) -> Glyph:
    small = kit["o"].mapped(x=8.0 / 12.0, y=7.0 / kit.x_height)
    return kit["%"].beside(small, kern=-4.0)


def _approximately(kit: Kit) -> Glyph:
    wave = kit["~"]
    return Glyph(
        wave.left,
        wave.right,
        tuple(shifted(stroke, 0.0, dy) for dy in (3.0, -3.0) for stroke in wave.strokes),
    )


def _bullet(kit: Kit) -> Glyph:
    disc = kit["●"]
    middle = disc.points.mean(axis=0)
    return Glyph(
        -5.0,
        5.0,
        tuple((stroke - middle) * 0.75 + (0.0, kit.x_height / 2 + 1.5) for stroke in disc.strokes),
    )


def _fraction_bar(kit: Kit) -> Glyph:
    strokes = tuple(
        (stroke - kit["/"].points.mean(axis=0)) * (0.7, 0.66) + (0.0, CAP / 2)
        for stroke in kit["/"].strokes
    )
    return Glyph(-5.0, 5.0, strokes)


def _chevron(step: float) -> list[Point]:
    return [(2.25 + step, 12.0), (-2.25 + step, 7.0), (2.25 + step, 2.0)]


def _flipped(points: list[Point]) -> list[Point]:
    return [(-x, y) for x, y in points]


_POUND = [
    (7.0, 17.5),
    (6.0, 20.0),
    (4.0, 21.0),
    (1.5, 21.0),
    (-0.75, 20.0),
    (-2.0, 17.5),
    (-2.0, 14.0),
    (-1.0, 9.0),
    (-1.0, 5.0),
]
_POUND += [(-2.0, 2.0), (-5.5, 0.0), (7.5, 0.0)]
_PILCROW = [
    (5.0, 21.0),
    (-2.0, 21.0),
    (-5.0, 20.0),
    (-7.0, 17.0),
    (-7.0, 15.0),
    (-5.0, 12.0),
    (-2.0, 11.0),
    (0.0, 11.0),
]

SIGNS: dict[str, Rule] = {
    **{space: _space(width) for space, width in _SPACES.items()},
    "\t": _word_space(4),
    "\u00a0": _word_space(),
    "-": _dash(8.0, 3.5),
    "–": _dash(14.0, 2.5),
    "—": _dash(26.0, 1.0),
    "‘": _half_turned("’"),
    "“": _pair("‘", -3.0),
    "”": _pair("’", -3.0),
    "„": _pair(",", -3.0),
    "′": _strokes(-4.0, 4.0, [(1.0, 21.0), (-1.0, 15.0)]),
    "″": _strokes(-6.0, 6.0, [(-1.0, 21.0), (-3.0, 15.0)], [(3.0, 21.0), (1.0, 15.0)]),
    "‹": _strokes(-5.5, 5.5, _chevron(0.0), to_x_height=True),
    "›": _strokes(-5.5, 5.5, _flipped(_chevron(0.0)), to_x_height=True),
    "«": _strokes(-8.5, 8.5, _chevron(-3.0), _chevron(3.0), to_x_height=True),
    "»": _strokes(-8.5, 8.5, _flipped(_chevron(3.0)), _flipped(_chevron(-3.0)), to_x_height=True),
    "¡": lambda kit: turned(kit["!"], 14.0),
    "¿": lambda kit: turned(kit["?"], 14.0),
    "€": _euro,
    "£": _strokes(-10.0, 10.0, _POUND, [(-5.5, 10.5), (4.0, 10.5)]),
    "¥": _over("Y", [(-6.0, 9.0), (6.0, 9.0)], [(-6.0, 5.0), (6.0, 5.0)], at=3.0),
    "¢": _over("c", [(0.0, -3.0), (0.0, 17.0)]),
    "¤": lambda kit: Glyph(-10.0, 10.0, (_circle(5.0), *(_ray(k) for k in range(4)))),
    "©": _ringed("C"),
    "®": _ringed("R"),
    "¶": _strokes(-9.0, 7.0, [(0.0, 0.0), (0.0, 21.0)], [(4.0, 0.0), (4.0, 21.0)], _PILCROW),
    "¬": _strokes(-11.0, 11.0, [(-8.0, 11.0), (8.0, 11.0), (8.0, 6.0)]),
    "✓": _strokes(-9.0, 9.0, [(-6.0, 8.0), (-2.0, 2.0), (7.0, 17.0)]),
    "‰": _permille,
    "≈": _approximately,
    "•": _bullet,
    "⁄": _fraction_bar,
}


def _circle(radius: float) -> FloatArray:
    turn = np.radians(np.linspace(0.0, 360.0, 25))
    return np.column_stack([radius * np.cos(turn), 10.5 + radius * np.sin(turn)])


def _ray(quarter: int) -> FloatArray:
    c = math.cos(math.radians(45 + 90 * quarter))
    s = math.sin(math.radians(45 + 90 * quarter))
    return np.array([(5.0 * c, 10.5 + 5.0 * s), (9.0 * c, 10.5 + 9.0 * s)])
