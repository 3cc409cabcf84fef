"""What composing letters and signs needs of a face, and the few ways of putting glyphs together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from plotlib.checks import FloatArray
from plotlib.text.glyphs.glyph import Glyph, doubled

Point = tuple[float, float]


class NoPart(LookupError):
    """A glyph that something would be composed of is not there."""


@dataclass(frozen=True, eq=False)
class Kit:
    """A face as the composing rules see it: ``find`` gives the glyph of a character, lengths are in
    units.
    """

    find: Callable[[str], Glyph | None]
    name: str
    x_height: float
    lean: float
    heavy: bool

    def __getitem__(self, character: str) -> Glyph:
        glyph = self.find(character)
        if glyph is None:
            raise NoPart(character)
        return glyph

    def line(self, *points: Point, lean: bool = False) -> FloatArray:
        """A stroke through ``points``, doubled in a heavy face, leaning when asked."""
        stroke = np.array(points, np.float64)
        if lean:
            stroke[:, 0] += self.lean * stroke[:, 1]
        if not self.heavy:
            return stroke
        steep = np.ptp(stroke[:, 1]) > np.ptp(stroke[:, 0])
        return doubled(stroke, 1.0 if steep else 0.0, 0.0 if steep else 1.0)


def ink(glyph: Glyph, low: float, high: float) -> Point:
    """Least and greatest x of the ink between two heights; of the whole glyph where there is
    none.
    """
    found = glyph.band(low, high)
    if found is not None:
        return found
    return (
        (float(glyph.points[:, 0].min()), float(glyph.points[:, 0].max()))
        if len(glyph.points)
        else (glyph.left, glyph.right)
    )


def touching(a: Glyph, b: Glyph, *, overlap: float = 0.0) -> Glyph:
    """``b`` beside ``a`` so that their inks touch, or overlap by so much."""
    room = (a.right - float(a.points[:, 0].max())) + (float(b.points[:, 0].min()) - b.left)
    return a.beside(b, kern=-room - overlap)


def turned(glyph: Glyph, level: float) -> Glyph:
    """Turned by 180 degrees so that the height ``level`` becomes the base line; the bearings change
    sides.
    """
    middle = glyph.left + glyph.right
    return Glyph(
        glyph.left, glyph.right, tuple((middle, level) - stroke for stroke in glyph.strokes)
    )


def mirrored(glyph: Glyph) -> Glyph:
    """Left and right changed."""
    middle = glyph.left + glyph.right
    return Glyph(
        glyph.left,
        glyph.right,
        tuple(stroke * (-1.0, 1.0) + (middle, 0.0) for stroke in glyph.strokes),
    )


def without(glyph: Glyph, drop: Callable[[FloatArray], bool]) -> Glyph:
    """Without the strokes that ``drop`` says yes to."""
    return Glyph(
        glyph.left, glyph.right, tuple(stroke for stroke in glyph.strokes if not drop(stroke))
    )
