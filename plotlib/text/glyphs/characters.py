"""From a text to slots: one for each character that gets a glyph, with what it means for the
breaking of lines.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from plotlib.checks import BoolArray, IntArray
from plotlib.errors import InvalidValue
from plotlib.text.glyphs.composed import clusters, plain
from plotlib.text.glyphs.faces import Face, glyph_of
from plotlib.text.glyphs.glyph import Glyph

_NEWLINES = re.compile("\r\n|[\r\x85\u2028\u2029]")
_MARKS = re.compile("[\u0300-\u036f]")
# Characters without ink or width: joiners, direction marks, variation selectors. They are left out.
_SILENT = frozenset(
    "\u200c\u200d\u200e\u200f\u061c\u2060\ufeff\u034f" + "".join(map(chr, range(0xFE00, 0xFE10)))
)
_SOFT_HYPHEN = "\u00ad"
_ZERO_SPACE = "\u200b"
_BREAK_AFTER = frozenset("-–—‐/" + _SOFT_HYPHEN + _ZERO_SPACE)
_SPACES = frozenset(" \t\u2009\u2005\u2006")
_NOTHING = Glyph(0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Slots:
    """A text as numbers of distinct characters.

    Attributes
    ----------
    keys : tuple of str
        The distinct characters (with their combining marks).
    glyphs : tuple of Glyph
        The glyph of each.
    index : ndarray (n,), int64
        For each slot the number of its character.
    newline, space, breaks, counts, soft : ndarray (k,), bool
        For each distinct character: ends a line, stretches, lets a line end after it, takes room,
        is a soft hyphen.
    """

    keys: tuple[str, ...]
    glyphs: tuple[Glyph, ...]
    index: IntArray
    newline: BoolArray
    space: BoolArray
    breaks: BoolArray
    counts: BoolArray
    soft: BoolArray

    def written(self, first: int, last: int) -> str:
        """The characters of a run of slots."""
        return "".join(self.keys[key] for key in self.index[first:last])


def slots_of(text: str, face: Face, missing: str | None) -> Slots:
    """Split ``text`` into characters and look each distinct one up.

    Raises
    ------
    InvalidValue
        For what is not a string, and for a character that the face cannot draw, naming it, its code
        point and its place.
    """
    if not isinstance(text, str):
        raise InvalidValue(f"text must be a string, got {type(text).__name__}", name="text")
    keys, index = _numbered(_NEWLINES.sub("\n", text))
    return _classed(keys, tuple(_glyph(key, text, face, missing) for key in keys), index)


def bare_slots(text: str) -> Slots:
    """One slot for each code point of ``text``, without glyphs: for fonts that shape by
    themselves.
    """
    codes = np.frombuffer(text.encode("utf-32-le", "surrogatepass"), np.uint32)
    distinct, index = np.unique(codes, return_inverse=True)
    keys = [chr(code) for code in distinct]
    return _classed(keys, (Glyph(0.0, 0.0),) * len(keys), index.astype(np.int64).reshape(-1))


def _classed(keys: list[str], glyphs: tuple[Glyph, ...], index: IntArray) -> Slots:
    bare = _SILENT | {_SOFT_HYPHEN, _ZERO_SPACE, "\n"}
    silent = [key in bare or glyph is _NOTHING for key, glyph in zip(keys, glyphs, strict=True)]
    return Slots(
        keys=tuple(keys),
        glyphs=glyphs,
        index=index,
        newline=_flags(key == "\n" for key in keys),
        space=_flags(key in _SPACES for key in keys),
        breaks=_flags(key in _BREAK_AFTER for key in keys),
        counts=~_flags(silent),
        soft=_flags(key == _SOFT_HYPHEN for key in keys),
    )


def _flags(values: Iterable[bool]) -> BoolArray:
    return np.array(list(values), np.bool_)


def _numbered(text: str) -> tuple[list[str], IntArray]:
    """The distinct characters of ``text``, and for each slot the number of its character."""
    if not text.isascii():
        text = unicodedata.normalize("NFC", text)
        if _MARKS.search(text):
            parts = clusters(text)
            number = {key: k for k, key in enumerate(dict.fromkeys(parts))}
            return list(number), np.fromiter((number[part] for part in parts), np.int64, len(parts))
    codes = np.frombuffer(text.encode("utf-32-le", "surrogatepass"), np.uint32)
    distinct, first, index = np.unique(codes, return_index=True, return_inverse=True)
    order = np.argsort(first)
    rank = np.argsort(order)  # by where each stands first, so that the first one is refused
    return [chr(code) for code in distinct[order]], rank[index.reshape(-1)]


def _glyph(key: str, text: str, face: Face, missing: str | None) -> Glyph:
    if key in _SILENT or key in (_SOFT_HYPHEN, _ZERO_SPACE, "\n"):
        return _NOTHING
    glyph = glyph_of(face, key)
    if glyph is None and missing is not None:
        glyph = _NOTHING if missing == "" else glyph_of(face, missing)
    if glyph is None:
        raise unknown(key, text, face.name)
    return glyph


def check_missing(missing: str | None, face: Face) -> str | None:
    """The replacement for missing glyphs: None, nothing at all, or one character that the face
    has.
    """
    if missing is None or (isinstance(missing, str) and not missing):
        return missing
    if (
        not isinstance(missing, str)
        or len(clusters(missing)) != 1
        or glyph_of(face, missing) is None
    ):
        raise InvalidValue(
            f"missing must be None, '' or one character of the face {face.name!r}, "
            f"got {missing!r:.200}",
            name="missing",
        )
    return unicodedata.normalize("NFC", missing)


def unknown(key: str, text: str, face: str) -> InvalidValue:
    """The error for a character that a face has no glyph for, with its place in the text as
    given.
    """
    place = _place(key, text)
    line = text.count("\n", 0, place) + 1
    column = place - text.rfind("\n", 0, place)
    bare = plain(key[0])
    codes = " ".join(f"U+{ord(plain(c)):04X}" for c in key)
    name = unicodedata.name(
        bare, "control character" if unicodedata.category(bare) == "Cc" else "unnamed"
    )
    return InvalidValue(
        f"face {face!r} has no glyph for {key!r} ({codes}, {name}) at position {place} (line "
        f"{line}, column {column}); "
        "take another face, change the text, or give missing='?' to draw another character there "
        "or missing='' to leave it out",
        character=key,
        code=ord(bare),
        position=place,
        line=line,
        column=column,
    )


def _place(key: str, text: str) -> int:
    """Where in the text as given the character stands first."""
    at = 0
    for part in _parts(text):
        if key in clusters(part):
            return at
        at += len(part)
    return max(text.find(key), 0)


def _parts(text: str) -> Iterator[str]:
    """A text as given, cut wherever a character begins anew."""
    part = ""
    for character in text:
        if part and clusters(part + character) == clusters(part) + clusters(character):
            yield part
            part = ""
        part += character
    yield part
