"""Checks of the lines that a machine declares: plain ASCII, one line each, no stray motion in a lift."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, TypeAlias

from plotlib.errors import InvalidValue

Lines: TypeAlias = "str | Iterable[str]"

_COMMENT = re.compile(r"\([^()]*\)|;.*")
_WORD = re.compile(r"([A-Z])([-+]?\d*\.?\d*)")


def declared(name: str, value: Any) -> tuple[str, ...]:
    """One line or several as a tuple; InvalidValue for what no controller could take."""
    lines = (value,) if isinstance(value, str) else tuple(value) if isinstance(value, Iterable) else (value,)
    for line in lines:
        if not isinstance(line, str) or not line.strip():
            raise InvalidValue(f"{name}: every line must be text with at least one word, got {line!r}", name=name)
        if not (line.isascii() and line.isprintable()):
            raise InvalidValue(f"{name}: {line!r} must be one line of printable ASCII characters", name=name)
    return tuple(line.strip() for line in lines)


def bare(line: str) -> str:
    """A line without comments and blanks, in capitals: equal for lines that mean the same letters."""
    return re.sub(r"\s", "", _COMMENT.sub("", line)).upper()


def words(line: str) -> list[tuple[str, float | None]]:
    """The (letter, number) pairs of a line; None for a letter without a number."""
    return [(letter, float(number) if re.search(r"\d", number) else None) for letter, number in _WORD.findall(bare(line))]


def lift_lines(name: str, value: Any) -> tuple[str, ...]:
    """Declared lines that move a pen: they must do something, and may not move X or Y."""
    lines = declared(name, value)
    spoken = [word for line in lines for word in words(line)]
    if not lines or all(letter == "N" or (letter, number) == ("G", 4) or letter == "P" for letter, number in spoken):
        raise InvalidValue(f"{name}: {list(lines)!r} does nothing to the pen", name=name)
    if any(letter in "XY" and number is not None for letter, number in spoken):
        raise InvalidValue(f"{name}: {list(lines)!r} would move the carriage; a lift may not hold X or Y words", name=name)
    return lines


def spindle_after(lines: tuple[str, ...]) -> tuple[str, float | None] | None:
    """The state that spindle words leave behind: ("M5", None), ("M3", S) or ("M4", S); None when there is none among them."""
    state: str | None = None
    speed: float | None = None
    for line in lines:
        for letter, number in words(line):
            if letter == "S":
                speed = number
            if letter == "M" and number in (3, 4, 5):
                state = f"M{number:g}"
    return None if state is None else (state, None if state == "M5" else speed)
