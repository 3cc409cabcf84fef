"""Text as marks: in outline fonts as filled outlines, in single-stroke faces as strokes."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

import numpy as np

from plotlib.arrays.ragged import offsets_of
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.svg.reading.document import Node
from plotlib.svg.reading.outline import Outline
from plotlib.svg.reading.places import Mark, Place
from plotlib.svg.reading.transforms import scale_of
from plotlib.svg.reading.words import Word, words_of

if TYPE_CHECKING:
    from plotlib.svg.reading.walking import Walk

FontLike: TypeAlias = "str | os.PathLike[str]"
Fonts: TypeAlias = "FontLike | Mapping[str, FontLike]"

# Height of capitals of a single-stroke face, of the font's size: that of common book faces, common
# practice, no source.
_CAPITALS = 0.7
_LARGEST = 1e6  # user units
_MISSING = ""


class Face(NamedTuple):
    """How a family is lettered: by a single-stroke face or a font file."""

    name: str
    is_file: bool


class Lettering:
    """Letters text elements.

    Parameters
    ----------
    fonts : dict of str to Face
        By family in lower case; ``""`` for all others.
    tolerance : float
        In mm.
    """

    def __init__(self, fonts: dict[str, Face], tolerance: float) -> None:
        self.fonts = fonts
        self.tolerance = tolerance

    def marks(self, walk: Walk, node: Node, place: Place) -> Iterator[Mark]:
        """The marks of a text element whose own place is given."""
        x = 0.0
        y = 0.0
        for chunk in _chunks(words_of(walk, node, place)):
            x = chunk[0].moved.get("x", x)
            y = chunk[0].moved.get("y", y)
            advances = [self.advance(walk, word) for word in chunk]
            whole = sum(advances) + sum(word.moved.get("dx", 0.0) for word in chunk)
            x -= {"start": 0.0, "middle": whole / 2, "end": whole}[chunk[0].place.style.text_anchor]
            for word, advance in zip(chunk, advances, strict=True):
                x += word.moved.get("dx", 0.0)
                y += word.moved.get("dy", 0.0)
                mark = self.mark(walk, word, x, y)
                if mark is not None:
                    yield mark
                x += advance

    def advance(self, walk: Walk, word: Word) -> float:
        """How far a word moves what follows, in user units."""
        from plotlib.text import measure, measure_font

        face = self.face(walk, word)
        if face is None:
            return 0.0
        height = _height(face, word.place.style.font_size)
        if face.is_file:
            found = measure_font(word.text, face.name, height=height, missing=_MISSING)
        else:
            found = measure(word.text, face=face.name, height=height, missing=_MISSING)
        return found.advance

    def mark(self, walk: Walk, word: Word, x: float, y: float) -> Mark | None:
        """One word as a mark; None where nothing of it is seen."""
        style = word.place.style
        face = self.face(walk, word)
        if face is None or style.visibility != "visible" or not word.text.strip():
            return None
        drawing = self._drawn(walk, word, face)
        walk.count(len(drawing.points), word.node)
        points = drawing.points * (1, -1) + (x, y)
        outline = _outline(points, drawing)
        if not len(outline.controls):
            return None
        if face.is_file:
            style = style._replace(fill_rule="evenodd", stroke_dasharray=())
        else:
            ink = style.stroke if style.fill == "none" else style.fill
            opacity = style.stroke_opacity if style.fill == "none" else style.fill_opacity
            style = style._replace(
                fill="none",
                stroke=ink,
                stroke_opacity=opacity,
                stroke_linecap="round",
                stroke_dasharray=(),
            )
        return Mark(word.node, outline, word.place._replace(style=style))

    def face(self, walk: Walk, word: Word) -> Face | None:
        """The face of the first of a word's families that is known."""
        if not 0 < word.place.style.font_size <= _LARGEST:
            if word.place.style.font_size:
                walk.leave_out(word.node, "its font size is absurd")
            return None
        families = word.place.style.font_family.split(",")
        for family in [*families, ""]:
            found = self.fonts.get(family.strip(" \t\n'\"").lower())
            if found is not None:
                return found
        known = ", ".join(repr(name) for name in self.fonts)
        wanted = word.place.style.font_family
        walk.leave_out(word.node, f"fonts= has no family of {wanted!r:.60}; it has {known:.200}")
        return None

    def _drawn(self, walk: Walk, word: Word, face: Face) -> Drawing:
        """A word at the origin, in user units, y up."""
        from plotlib.text import font_area, lettering

        size = word.place.style.font_size
        height = _height(face, size)
        fine = min(self.tolerance / (scale_of(word.place.matrix) or 1.0), size / 10)
        fine = max(fine, size * 1e-6)
        for missing in (None, _MISSING):
            try:
                if face.is_file:
                    area = font_area(
                        word.text, face.name, height=height, tolerance=fine, missing=missing
                    )
                    return Drawing(area)
                return lettering(word.text, face=face.name, height=height, missing=missing)
            except InvalidValue as error:
                walk.leave_out(word.node, str(error))
        return Drawing()


def _chunks(words: list[Word]) -> list[list[Word]]:
    """Words that are aligned together: a new place in x or y begins a chunk."""
    chunks: list[list[Word]] = []
    for word in words:
        if not chunks or "x" in word.moved or "y" in word.moved:
            chunks.append([])
        chunks[-1].append(word)
    return chunks


def _height(face: Face, size: float) -> float:
    """Height of the capitals at a font size."""
    if not face.is_file:
        return _CAPITALS * size
    from plotlib.text.fonts.font import font_of

    font = font_of(face.name)
    return float(font.cap / font.shaper.face.upem * size)


def _outline(points: FloatArray, drawing: Drawing) -> Outline:
    """Strokes as an outline of straight segments; a dot is one of no length."""
    counts = np.diff(drawing.offsets)
    is_last = np.zeros(len(points), np.bool_)
    is_last[drawing.offsets[1:] - 1] = True
    is_dot = np.repeat(counts == 1, counts)
    begins = np.flatnonzero(~is_last | is_dot)
    ends = np.where(is_dot[begins], begins, begins + 1)
    a = points[begins]
    b = points[ends]
    controls = np.stack([a, a, b, b], axis=1)
    return Outline(controls, offsets_of(np.maximum(counts - 1, 1)), drawing.is_closed)


def check_fonts(fonts: Any) -> dict[str, Face] | None:
    """The faces by family in lower case; None where no text is to be lettered."""
    if fonts is None:
        return None
    if isinstance(fonts, Mapping):
        if not fonts or not all(isinstance(family, str) for family in fonts):
            raise InvalidValue(
                f"fonts must name families of fonts, got {fonts!r:.100}", name="fonts", value=fonts
            )
        return {family.strip().lower(): _face(font) for family, font in fonts.items()}
    return {"": _face(fonts)}


def _face(font: Any) -> Face:
    """A face of its own by its name, else a font file, which is looked at now."""
    from plotlib.text import faces
    from plotlib.text.fonts.font import font_of

    if isinstance(font, str) and font in faces():
        return Face(font, is_file=False)
    if not isinstance(font, (str, os.PathLike)) or not str(font):
        raise InvalidValue(
            f"fonts must be a font file, the name of a face or a mapping of families to them, got "
            f"{font!r:.100}",
            name="fonts",
            value=font,
        )
    font_of(font)
    return Face(os.fspath(font), is_file=True)
