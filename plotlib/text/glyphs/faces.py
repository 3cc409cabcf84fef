"""Faces: which lettering there is, and how a character finds its glyph."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache

from plotlib.checks import one_of
from plotlib.text.glyphs import composed, records
from plotlib.text.glyphs.accents import MARKS, Manner, marked
from plotlib.text.glyphs.glyph import Glyph, from_record
from plotlib.text.glyphs.parts import Kit


@dataclass(frozen=True)
class Face:
    """A face of single-stroke lettering.

    Attributes
    ----------
    name : str
        The name that ``lettering`` takes.
    relatives : tuple of str
        Data files asked for a character, in this order; the face's own comes first.
    x_height : float
        Height of a small x, in units of 1/21 of the cap height.
    lean : float
        How far the upright strokes lean to the right: x for each y.
    heavy : bool
        Whether letters have doubled strokes, so that accents get them too.
    joins : bool
        Whether letters run into each other, as in handwriting.
    """

    name: str
    relatives: tuple[str, ...]
    x_height: float = 14.0
    lean: float = 0.0
    heavy: bool = True
    joins: bool = False


def _face(
    name: str,
    *relatives: str,
    x_height: float = 14.0,
    lean: float = 0.0,
    heavy: bool = True,
    joins: bool = False,
) -> Face:
    every = (name, *relatives, "greek complex", "cyrillic complex", "symbols", "roman simplex")
    return Face(name, tuple(dict.fromkeys(every)), x_height, lean, heavy, joins)


# The names are those of the published repertory. Lean of the italics: 6 units in 21, measured on
# their upright strokes.
_FACES = [
    _face("roman simplex", "greek simplex", heavy=False),
    _face("roman duplex", "roman simplex", "greek simplex"),
    _face("roman complex"),
    _face("roman triplex"),
    _face("italic complex", lean=6 / 21),
    _face("italic triplex", lean=6 / 21),
    _face(
        "script simplex",
        "roman simplex",
        "greek simplex",
        x_height=9.0,
        lean=0.4,
        heavy=False,
        joins=True,
    ),
    _face("script complex", "italic complex", x_height=9.0, lean=0.4, heavy=False, joins=True),
    _face("gothic english"),
    _face("gothic german"),
    _face("gothic italian"),
    _face("greek simplex", "roman simplex", heavy=False),
    _face("greek complex", "roman complex"),
    _face("cyrillic complex", "roman complex"),
    _face("japanese", "roman complex"),
    _face("symbols", "roman simplex", "greek simplex", heavy=False),
]
_BY_NAME = {face.name: face for face in _FACES}


def faces() -> tuple[str, ...]:
    """The names of all faces.

    Returns
    -------
    tuple of str
        In the order of the repertory.

    Examples
    --------
    >>> faces()[:3]
    ('roman simplex', 'roman duplex', 'roman complex')
    """
    return tuple(_BY_NAME)


def face_of(name: str) -> Face:
    """The face of that name, or UnknownName with the list of them."""
    return _BY_NAME[one_of("face", name, _BY_NAME)]


@lru_cache(maxsize=1 << 14)
def glyph_of(face: Face, cluster: str) -> Glyph | None:
    """The glyph of a character, or of a letter with combining marks; None where the face has no way
    to draw it.

    Asked in this order: the face's own data, what is composed of its glyphs, letter and accents,
    its relatives' data, and the compatible characters that Unicode gives (a fraction as small
    figures, an ellipsis as three points).
    """
    for found in (_own(face, cluster), composed.special(cluster, _kit(face))):
        if found is not None:
            return found
    return _accented(face, cluster) or _relative(face, cluster) or _compatible(face, cluster)


def _kit(face: Face) -> Kit:
    return Kit(lambda part: glyph_of(face, part), face.name, face.x_height, face.lean, face.heavy)


def _own(face: Face, cluster: str) -> Glyph | None:
    return _data(face.name, cluster)


def _data(name: str, cluster: str) -> Glyph | None:
    found = records.record(name, cluster)
    return None if found is None else from_record(found)


def _relative(face: Face, cluster: str) -> Glyph | None:
    candidates = (_data(name, cluster) for name in face.relatives)
    return next((glyph for glyph in candidates if glyph is not None), None)


def _accented(face: Face, cluster: str) -> Glyph | None:
    """Letter and marks put together, the marks in Unicode's order."""
    letter, *marks = list(unicodedata.normalize("NFD", cluster))
    if not marks or not MARKS.issuperset(marks):
        return None
    over = any(unicodedata.combining(mark) == 230 for mark in marks)
    base = glyph_of(face, composed.DOTLESS.get(letter, letter) if over else letter)
    if base is None:
        return None
    manner = _manner(face)
    for mark in marks:
        base = marked(base, mark, letter, manner)
    return base


@cache
def _manner(face: Face) -> Manner:
    quotes = {quote: _sure(face, quote) for quote in "‘’"}
    return Manner(
        face.lean,
        face.heavy,
        face.x_height,
        composed.dot(_sure(face, "i"), face.x_height),
        _sure(face, ","),
        quotes,
    )


def _sure(face: Face, character: str) -> Glyph:
    found = glyph_of(face, character)
    assert found is not None, character  # every face reaches these through its relatives
    return found


def _compatible(face: Face, cluster: str) -> Glyph | None:
    parts = unicodedata.normalize("NFKD", cluster)
    form = unicodedata.decomposition(cluster).split(" ")[0] if len(cluster) == 1 else ""
    if (
        parts == cluster
        or not form.startswith("<")
        or form in {"<initial>", "<medial>", "<final>", "<isolated>", "<vertical>"}
    ):
        return None
    if form == "<fraction>":
        return composed.fraction(parts, _kit(face))
    parts = {"<super>": composed.superscript, "<sub>": composed.subscript}.get(form, str)(parts)
    return composed.row(composed.clusters(parts), _kit(face))
