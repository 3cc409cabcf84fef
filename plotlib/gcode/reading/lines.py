"""One line of a program taken apart: block delete, line number, words, comments.

The format is that of RS274NGC (NISTIR 6556, sections 3.3 and appendix E): blanks and case do not
matter outside comments.
"""

from __future__ import annotations

import re
from typing import NamedTuple

LONGEST = 256  # characters of a line (section 3.3)
_LARGEST = 1e15  # beyond it a float64 no longer counts thousandths, and sums run over

_COMMENT = re.compile(r"\(([^()]*)\)|(;.*)")
_BLANK = re.compile(r"[ \t]+")
_NUMBER = re.compile(r"N(\d+)(?![\d.])", re.ASCII)
_WORD = re.compile(r"\0|([A-Z])([-+]?(?:\d+\.?\d*|\.\d+))", re.ASCII)
_EXPONENT = re.compile(r"(?<=[\d.])[Ee](?=[-+]?[\d.])")
_MARK = "\0"  # stands where a comment was: no word may run across it


class Fault(Exception):
    """What is wrong with a line, and what to do; the interpreter adds which line it is.

    Attributes
    ----------
    column : int
        The character of the line, from 1, at which a word cannot be read; 0 for the line as a
        whole.
    """

    def __init__(self, reason: str, *, column: int = 0) -> None:
        super().__init__(reason)
        self.column = column


class _Unreadable(Exception):
    """A word that cannot be read, ``at`` characters into the code without blanks."""

    def __init__(self, reason: str, at: int) -> None:
        super().__init__(reason)
        self.at = at


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
        If the line format does not allow what stands there.

    Examples
    --------
    >>> line = parse("N20 g0x +0. 12 34y 7 (MSG, to the left)")
    >>> line.words
    (('G', 0.0), ('X', 0.1234), ('Y', 7.0))
    >>> line.number, line.message
    (20, 'to the left')
    """
    code, comments = _split(text, semicolons)
    if "E" in code:
        _check_exponents(text)
    deleted = code.startswith("/")
    rest, number = _numbered(code[deleted:])
    try:
        words = _words(rest)
    except _Unreadable as error:
        at = len(code) - len(rest) + error.at
        raise Fault(str(error), column=_column(text, at)) from None
    return Line(words, number, deleted, _message(comments))


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


def _check_exponents(text: str) -> None:
    """Refuse ``X1E5``: the standard has no exponents, other languages do."""
    bare = _COMMENT.sub(lambda comment: " " * len(comment[0]), text)
    match = _EXPONENT.search(bare)
    if match is not None:
        raise Fault(
            "a number followed by E may be one with an exponent or two words; write the number "
            "in plain decimals, or a blank before the E",
            column=match.start() + 1,
        )


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
            raise _Unreadable(_unreadable(code[at:]), at)
        if match[1] == "N":
            raise _Unreadable(
                "a line number must be whole, without a sign, and stand first on its line; move "
                "or mend the N word",
                at,
            )
        if match[1]:
            words.append((match[1], _number(match, at)))
        at = match.end()
    return tuple(words)


def _number(match: re.Match[str], at: int) -> float:
    number = float(match[2])
    if abs(number) > _LARGEST:
        raise _Unreadable(
            f"the number after {match[1]} is beyond {_LARGEST:g}, which no machine counts to; "
            f"write a smaller one",
            at,
        )
    return number


def _column(text: str, at: int) -> int:
    """Which character of a line, from 1, stands ``at`` in its code without blanks."""
    kept: list[int] = []
    begun = 0
    for match in (*_COMMENT.finditer(text), None):
        end = len(text) if match is None else match.start()
        kept += [index for index in range(begun, end) if text[index] not in " \t"]
        if match is not None:
            kept.append(end)
            begun = match.end()
    return kept[at] + 1


def _unreadable(rest: str) -> str:
    shown = rest.replace(_MARK, "()")[:20]
    if shown[0] == "/":
        return 'block delete "/" must be the first sign of the line; move it there'
    if shown[0] in "#[":
        return f"parameters and expressions are not read: {shown!r}; write the number itself"
    if shown[0].isascii() and shown[0].isalpha():
        return (
            f"the letter {shown[0]} is not followed by a plain decimal number: {shown!r}; write a "
            f"number such as 1.5"
        )
    return (
        f"cannot read {shown!r}; words are a letter and a number, comments stand in parentheses; "
        f"declare lines of the controller's own"
    )


def _message(comments: list[str]) -> str | None:
    """The message that the operator sees: the last comment that starts with MSG and a comma
    (section 3.3.4).
    """
    for comment in reversed(comments):
        head, comma, tail = comment.partition(",")
        if comma and _BLANK.sub("", head).upper() == "MSG":
            return tail.strip()
    return None
