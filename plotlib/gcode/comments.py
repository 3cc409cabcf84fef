"""Comments that no controller stumbles over: letters, digits, blanks and ``. , : -`` in
parentheses, in lines of bounded length.
"""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Sequence

from plotlib.pen import Pen

_AROUND = len("(MSG, )")


def plain(text: str) -> str:
    """``text`` in the allowed characters: accents are dropped (Unicode NFKD), runs of white space
    become a blank, all else a hyphen.

    Some controllers act on single characters wherever they stand, comments included (common
    practice, no source).

    Examples
    --------
    >>> plain("Côte (№ 7)!")
    'Cote -No 7--'
    """
    bare = "".join(
        letter
        for letter in unicodedata.normalize("NFKD", text)
        if not unicodedata.combining(letter)
    )
    return re.sub(r"[^A-Za-z0-9 .,:-]", "-", re.sub(r"\s+", " ", bare)).strip()


def pen_words(pen: Pen) -> str:
    """The name of a pen as a comment can say it; its colour where not a letter or digit of the name
    is left.
    """
    name = plain(pen.name)
    return name if any(map(str.isalnum, name)) else f"colour {pen.colour[1:]}"


def pen_labels(pens: Sequence[Pen], *, longest: int) -> tuple[str, ...]:
    """What each pen is called in a file, no two alike in their letters, in any case.

    Names that fall together, such as "blå" and "bla", or long ones that differ beyond ``longest``
    characters of a message, get the pen's place in the order of drawing.

    Examples
    --------
    >>> pen_labels([Pen("blå"), Pen("red"), Pen("bla")], longest=70)
    ('bla no 1', 'red', 'bla no 3')
    """
    names = [pen_words(pen)[: longest - _AROUND].rstrip() for pen in pens]
    folded = [name.lower() for name in names]
    labels = [
        _numbered(pen, place, longest) if folded.count(name.lower()) > 1 else name
        for place, (pen, name) in enumerate(zip(pens, names, strict=True), 1)
    ]
    if len({label.lower() for label in labels}) < len(labels):  # a pen named "bla no 1" itself
        labels = [_numbered(pen, place, longest) for place, pen in enumerate(pens, 1)]
    return tuple(labels)


def _numbered(pen: Pen, place: int, longest: int) -> str:
    tail = f" no {place}"
    return pen_words(pen)[: longest - _AROUND - len(tail)].rstrip() + tail


def pen_message(label: str, pen: Pen, *, longest: int) -> str:
    """The message that asks for a pen: a whole sentence where it fits, else the label."""
    sentence = f"put in pen {label}, {pen.width:g} mm"
    text = sentence if len(sentence) <= longest - _AROUND else label
    return f"(MSG, {text})"


def comment_lines(text: str, *, longest: int) -> list[str]:
    """``text`` as comment lines of at most ``longest`` characters each, broken at blanks where
    possible.
    """
    return [f"({line})" for line in textwrap.wrap(plain(text), longest - 2, break_on_hyphens=False)]
