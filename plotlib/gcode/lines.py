"""One line of a program taken apart: block delete, line number, words, comments.

The format is that of RS274NGC (NISTIR 6556, sections 3.3 and appendix E): blanks and case do not
matter outside comments.
"""

from __future__ import annotations

import re
from typing import NamedTuple

LONGEST = 256  # characters of a line (section 3.3)

_COMMENT = re.compile(r"\(([^()]*)\)|(;.*)")
_BLANK = re.compile(r"[ \t]+")
_NUMBER = re.compile(r"N(\d+)(?![\d.])", re.ASCII)
_WORD = re.compile(r"\0|([A-Z])([-+]?(?:\d+\.?\d*|\.\d+))", re.ASCII)
_MARK = "\0"  # stands where a comment was: no word may run across it


class Fault(Exception):
    """What is wrong with a line, and what to do; the interpreter adds which line it is."""


class Line(NamedTuple):
    """A line taken apart.

    Attributes
    ----------
    words : tuple of (str, float)
        Letters and numbers in the order written, without the line number.
    number : int or None
        The line number (N word).
    deleted : bool
        Whether the line starts with the block delete sign ``/``.
    message : str or None
        The text of a ``(MSG, …)`` comment.
    """

    words: tuple[tuple[str, float], ...]
    number: int | None = None
    deleted: bool = False
    message: str | None = None


def key(text: str) -> str:
    """A line in capitals without comments, blanks and line number: equal for lines that say the
    same letters.
    """
    code = _BLANK.sub("", _COMMENT.sub("", text))
    return (
        re.sub(r"^(/?)N\d+", r"\1", code.upper()) if code.isascii() else code
    )  # capitals of other letters may be ASCII ones


def parse(text: str, *, semicolons: bool = False) -> Line:
    """Take one line apart.

    Parameters
    ----------
    text : str
        The line, without its line end.
    semicolons : bool, default False
        Whether a comment may also start with a semicolon, which the standard does not know.

    Raises
    ------
    Fault
        For what the line format does not allow.

    Examples
    --------
    >>> parse("N20 g0x +0. 12 34y 7 (MSG, to the left)")
    Line(words=(('G', 0.0), ('X', 0.1234), ('Y', 7.0)), number=20, deleted=False, message='to the left')
    """
    code, comments = _split(text, semicolons)
    deleted = code.startswith("/")
    code, number = _numbered(code[deleted:])
    return Line(_words(code), number, deleted, _message(comments))


def _split(text: str, semicolons: bool) -> tuple[str, list[str]]:
    """The code without blanks, a mark where each comment was, and the comments."""
    if _MARK in text:
        raise Fault("the line holds a zero byte; this is not a text")
    comments: list[str] = []
    if "(" in text or ")" in text or ";" in text:
        comments = [match[1] for match in _COMMENT.finditer(text) if match[1] is not None]
        if not semicolons and any(match[2] for match in _COMMENT.finditer(text)):
            raise Fault(
                'a comment after ";" is not in the standard; write (…), or read with '
                'ignore={"semicolon comments"}'
            )
        text = _COMMENT.sub(_MARK, text)
        if "(" in text or ")" in text:
            raise Fault(
                "a comment must open and close on the same line, with no other inside; mend the "
                "parentheses"
            )
    if not text.isascii():
        odd = next(letter for letter in text if not letter.isascii())
        raise Fault(
            f"cannot read the character {odd!r} outside a comment; programs are plain ASCII: "
            f"delete or replace it"
        )
    return _BLANK.sub("", text).upper(), comments


def _numbered(code: str) -> tuple[str, int | None]:
    """The code after the N word, and its number."""
    match = _NUMBER.match(code)
    if match is None:
        return code, None
    if len(match[1]) > 5:
        raise Fault(f"the line number N{match[1]} has more than five digits; use 0 to 99999")
    return code[match.end() :], int(match[1])


def _words(code: str) -> tuple[tuple[str, float], ...]:
    words = []
    at = 0
    while at < len(code):
        match = _WORD.match(code, at)
        if match is None:
            raise Fault(_unreadable(code[at:]))
        if match[1] == "N":
            raise Fault(
                "a line number must be whole, without a sign, and stand first on its line; move "
                "or mend the N word"
            )
        if match[1]:
            words.append((match[1], float(match[2])))
        at = match.end()
    return tuple(words)


def _unreadable(rest: str) -> str:
    shown = rest.replace(_MARK, "()")[:20]
    if shown[0] == "/":
        return 'block delete "/" must be the first sign of the line; move it there'
    if shown[0] in "#[":
        return f"parameters and expressions are not read: {shown!r}; write the number itself"
    if shown[0].isascii() and shown[0].isalpha():
        return f"the letter {shown[0]} is not followed by a plain decimal number: {shown!r}; write a number such as 1.5"
    return f"cannot read {shown!r}; words are a letter and a number, comments stand in parentheses; declare lines of the controller's own"


def _message(comments: list[str]) -> str | None:
    """The message that the operator sees: the last comment that starts with MSG and a comma
    (section 3.3.4).
    """
    for comment in reversed(comments):
        head, comma, tail = comment.partition(",")
        if comma and _BLANK.sub("", head).upper() == "MSG":
            return tail.strip()
    return None
