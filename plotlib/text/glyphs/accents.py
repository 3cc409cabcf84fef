"""Accents: our own shapes for the combining marks, and the rule that puts them on a letter."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plotlib.checks import FloatArray
from plotlib.text.glyphs.glyph import Glyph, doubled, shifted

Shape = tuple[list[tuple[float, float]], ...]

_WAVE = [
    (-5.0, 0.5),
    (-4.5, 2.0),
    (-3.5, 3.0),
    (-2.0, 3.0),
    (2.0, 0.75),
    (3.5, 0.75),
    (4.5, 1.75),
    (5.0, 3.25),
]
_BOWL = [(-4.0, 4.0), (-3.0, 1.5), (-1.0, 0.3), (1.0, 0.3), (3.0, 1.5), (4.0, 4.0)]
_DIAMOND = [(0.0, 2.0), (-1.0, 1.0), (0.0, 0.0), (1.0, 1.0), (0.0, 2.0)]
_CIRCLE = [
    (0.0, 5.0),
    (-1.8, 4.3),
    (-2.5, 2.5),
    (-1.8, 0.7),
    (0.0, 0.0),
    (1.8, 0.7),
    (2.5, 2.5),
    (1.8, 4.3),
    (0.0, 5.0),
]
_HOOK = [(-1.75, 5.0), (-0.5, 6.0), (1.0, 6.0), (2.0, 5.0), (2.0, 3.75), (0.0, 2.0), (0.0, 0.5)]
_CEDILLA = [
    (0.0, 0.0),
    (-0.75, -2.0),
    (1.0, -2.25),
    (2.25, -3.25),
    (2.25, -5.0),
    (1.0, -6.25),
    (-1.0, -6.5),
    (-2.75, -6.0),
]
_OGONEK = [
    (0.0, 0.0),
    (-1.75, -1.5),
    (-2.75, -3.25),
    (-2.5, -5.0),
    (-1.25, -6.0),
    (0.25, -6.0),
    (1.5, -5.25),
]

# Above marks stand on (0, 0); below marks hang from it. In units: the cap height is 21.
ABOVE: dict[str, Shape] = {
    "\u0300": ([(-2.5, 5.0), (2.0, 0.0)],),
    "\u0301": ([(-2.0, 0.0), (2.5, 5.0)],),
    "\u0302": ([(-4.0, 0.0), (0.0, 4.5), (4.0, 0.0)],),
    "\u0303": (_WAVE,),
    "\u0304": ([(-4.5, 1.5), (4.5, 1.5)],),
    "\u0306": (_BOWL,),
    "\u0309": (_HOOK,),
    "\u030a": (_CIRCLE,),
    "\u030b": ([(-3.5, 0.0), (-0.5, 5.0)], [(1.5, 0.0), (4.5, 5.0)]),
    "\u030c": ([(-4.0, 4.5), (0.0, 0.0), (4.0, 4.5)],),
    "\u030f": ([(-4.5, 5.0), (-1.5, 0.0)], [(0.5, 5.0), (3.5, 0.0)]),
    "\u0311": ([(x, 4.3 - y) for x, y in _BOWL],),
    "\u0342": (_WAVE,),
}
BELOW: dict[str, Shape] = {
    "\u0325": ([(x, y - 7.5) for x, y in _CIRCLE],),
    "\u032d": ([(-4.0, -6.5), (0.0, -2.5), (4.0, -6.5)],),
    "\u032e": ([(x, y - 7.0) for x, y in _BOWL],),
    "\u0330": ([(x, y - 6.0) for x, y in _WAVE],),
    "\u0331": ([(-4.5, -3.5), (4.5, -3.5)],),
    "\u0345": ([(-0.5, -2.5), (-0.5, -5.0), (0.5, -6.0), (1.5, -5.5)],),
}
# Marks made of the face's own dot or comma: how many dots, and whether above.
_DOTS = {"\u0307": (1, True), "\u0308": (2, True), "\u0323": (1, False), "\u0324": (2, False)}
_COMMAS = {"\u0312": "\u2018", "\u0313": "\u2019", "\u0315": "\u2019"}
MARKS = frozenset([*ABOVE, *BELOW, *_DOTS, *_COMMAS, *"\u0326\u0327\u0328\u031b\u0335\u0338"])
_DOUBLING = {
    "\u0302": (0.0, 1.2),
    "\u030c": (0.0, 1.2),
    "\u0303": (0.0, 1.2),
    "\u0304": (0.0, 1.0),
    "\u0306": (0.0, 1.2),
    "\u0311": (0.0, 1.2),
}


@dataclass(frozen=True, eq=False)
class Manner:
    """How a face wants its marks: the lean of its letters, single or double strokes, its own dot,
    comma and quotes.
    """

    lean: float
    heavy: bool
    x_height: float
    dot: Glyph
    comma: Glyph
    quotes: dict[str, Glyph]


def marked(base: Glyph, mark: str, letter: str, manner: Manner) -> Glyph:
    """``base``, the glyph of ``letter``, with one combining ``mark``; the bearings stay unless the
    mark needs room.
    """
    if (
        mark == "\u030c" and letter in "dtlL"
    ):  # Czech and Slovak write these carons as a comma beside the letter
        return _beside(base, manner)
    if mark == "\u0327" and letter in "klnrtKLNRGT":  # Latvian commas, decomposed as cedillas
        mark = "\u0326"
    if mark == "\u0327" and letter == "g":
        mark = "\u0312"
    if mark in "\u0335\u0338":
        return _struck(base, mark)
    if mark == "\u031b":
        return base.plus([_horn(base)])
    strokes = _shape(mark, manner)
    if mark in ABOVE or mark in _COMMAS or _DOTS.get(mark, (0, False))[1]:
        return base.plus(_raised(base, strokes, mark, manner))
    return base.plus(_hung(base, strokes, mark, manner))


def _shape(mark: str, manner: Manner) -> list[FloatArray]:
    if mark in _DOTS:
        return _dots(*_DOTS[mark], manner)
    if mark in _COMMAS:
        return _centred(manner.quotes[_COMMAS[mark]], foot=0.0)
    if mark == "\u0326":
        return _centred(manner.comma, top=-2.5)
    strokes = {**ABOVE, **BELOW, "\u0327": (_CEDILLA,), "\u0328": (_OGONEK,)}[mark]
    dx, dy = _DOUBLING.get(mark, (1.2, 0.0))
    return [
        doubled(np.array(stroke), dx, dy) if manner.heavy else np.array(stroke)
        for stroke in strokes
    ]


def _centred(
    glyph: Glyph, *, foot: float | None = None, top: float | None = None
) -> list[FloatArray]:
    low = glyph.points.min(axis=0)
    high = glyph.points.max(axis=0)
    dy = foot - low[1] if foot is not None else (top or 0.0) - high[1]
    return [shifted(stroke, -(low[0] + high[0]) / 2, dy) for stroke in glyph.strokes]


def _dots(count: int, above: bool, manner: Manner) -> list[FloatArray]:
    dot = _centred(manner.dot, foot=0.0) if above else _centred(manner.dot, top=-3.0)
    return [
        shifted(stroke, x, 0.0) for x in ((0.0,) if count == 1 else (-3.5, 3.5)) for stroke in dot
    ]


def _raised(base: Glyph, strokes: list[FloatArray], mark: str, manner: Manner) -> list[FloatArray]:
    """The mark over the middle of the letter's upper part, leaning with it."""
    top = float(base.points[:, 1].max()) if len(base.strokes) else manner.x_height
    middle = base.band(top - 4.0, top) or ((base.left + base.right) / 2,) * 2
    gap = 4.0 if mark in _DOTS else 2.5
    foot = top + gap
    return [
        _leaning(shifted(stroke, (middle[0] + middle[1]) / 2, foot), top - 2.0, manner.lean)
        for stroke in strokes
    ]


def _hung(base: Glyph, strokes: list[FloatArray], mark: str, manner: Manner) -> list[FloatArray]:
    """The mark under the middle of the letter's foot; an ogonek under its right end."""
    foot = min(0.0, float(base.points[:, 1].min())) if len(base.strokes) else 0.0
    left, right = base.band(foot, foot + 3.0) or (0.0, 0.0)
    x = right if mark == "\u0328" else (left + right) / 2
    return [_leaning(shifted(stroke, x, foot), foot, manner.lean) for stroke in strokes]


def _leaning(stroke: FloatArray, level: float, lean: float) -> FloatArray:
    result = stroke.copy()
    result[:, 0] += lean * (stroke[:, 1] - level)
    return result


def _beside(base: Glyph, manner: Manner) -> Glyph:
    top = float(base.points[:, 1].max())
    right = (base.band(top - 4.0, top) or (0.0, 0.0))[1]
    comma = [stroke * 0.9 for stroke in _centred(manner.quotes["\u2019"], top=0.0)]
    half = max(float(stroke[:, 0].max()) for stroke in comma)
    strokes = [
        _leaning(shifted(stroke, right + 2.5 + half, top), top, manner.lean) for stroke in comma
    ]
    return base.plus(strokes, right=max(base.right, right + 3.5 + 2 * half))


def _struck(base: Glyph, mark: str) -> Glyph:
    (left, foot) = base.points.min(axis=0)
    (right, top) = base.points.max(axis=0)
    middle = (foot + top) / 2
    bar = (
        [(left - 1.0, middle), (right + 1.0, middle)]
        if mark == "\u0335"
        else [(left + 1.0, foot - 2.0), (right - 1.0, top + 2.0)]
    )
    return base.plus([bar])


def _horn(base: Glyph) -> FloatArray:
    top = float(base.points[:, 1].max())
    x = (base.band(top - 4.0, top) or (0.0, 0.0))[1]
    return np.array(
        [(x, top - 1.5), (x + 2.0, top - 0.5), (x + 3.0, top + 1.5), (x + 2.5, top + 3.5)]
    )
