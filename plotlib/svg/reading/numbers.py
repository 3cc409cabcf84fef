"""Numbers and lists of numbers as SVG and CSS write them."""

from __future__ import annotations

import re

NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
SPACE = r"[ \t\n\r\f]*"
SEPARATOR = rf"{SPACE},?{SPACE}"

_NUMBER = re.compile(NUMBER)
# Only ever matched at the beginning of a text: its longest part that is a list.
_LIST = re.compile(rf"{SPACE}(?:{NUMBER}(?:{SEPARATOR}{NUMBER})*)?{SPACE}")


def listed(text: str) -> tuple[list[float], int]:
    """The numbers of the longest beginning of a text that is a list of them, and where it ends.

    >>> listed("0.6.5,-2 x")
    ([0.6, 0.5, -2.0], 9)
    """
    found = _LIST.match(text)
    end = found.end() if found else 0
    return [float(word) for word in _NUMBER.findall(text[:end])], end


def numbers(text: str) -> list[float] | None:
    """A list of numbers with blanks or commas between them, or None if it is none."""
    values, end = listed(text)
    return values if end == len(text) else None


def number(text: str) -> float | None:
    """One number, or None."""
    values = numbers(text)
    return values[0] if values is not None and len(values) == 1 else None
