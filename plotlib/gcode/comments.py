"""Comments that no controller stumbles over: letters, digits, blanks and ``. , : -`` in
parentheses, in lines of bounded length.
"""

from __future__ import annotations

import re
import textwrap
import unicodedata

from plotlib.pen import Pen


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


def comment_lines(text: str, *, longest: int) -> list[str]:
    """``text`` as comment lines of at most ``longest`` characters each, broken at blanks where
    possible.
    """
    return [f"({line})" for line in textwrap.wrap(plain(text), longest - 2, break_on_hyphens=False)]


def message_line(text: str, *, longest: int) -> str:
    """``text`` as one message for the person at the machine, cut to ``longest`` characters."""
    return f"(MSG, {plain(text)[: longest - 7].rstrip()})"
