"""Checks of the lines that a machine declares: plain ASCII, one line each, no stray motion in a
lift.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, TypeAlias

from plotlib.errors import InvalidValue

Lines: TypeAlias = "str | Iterable[str]"

_COMMENT = re.compile(r"\([^()]*\)|;.*")
_AXIS = re.compile(r"[XY][-+\d.#\[]")
_ENDS = {"M2", "M30"}
_STOPS = {"M0", "M1", "M60", *_ENDS}
_MOTIONS = {"G0", "G1", "G2", "G3"}
# Words after which the same coordinates mean another place (NISTIR 6556, table 5).
_FRAMES = frozenset(
    "G10 G20 G52 G54 G55 G56 G57 G58 G59 G59.1 G59.2 G59.3 G91 G92 G92.1 G92.2 G92.3".split()  # noqa: SIM905
)
_WORD = re.compile(r"([A-Z])([-+]?\d*\.?\d*)")


def declared(name: str, value: Any) -> tuple[str, ...]:
    """One line or several as a tuple; InvalidValue for what no controller could take."""
    several = isinstance(value, Iterable) and not isinstance(value, str)
    lines = tuple(value) if several else (value,)
    for line in lines:
        _check_line(name, line)
    return tuple(line.strip() for line in lines)


def _check_line(name: str, line: Any) -> None:
    if not isinstance(line, str) or not line.strip():
        problem = f"every line must be text with at least one word, got {line!r}"
    elif not (line.isascii() and line.isprintable()):
        problem = f"{line!r} must be one line of printable ASCII characters"
    elif re.search(r"[()]", _COMMENT.sub("", line)):
        problem = f"{line!r}: a comment must open and close on the same line, with no other inside"
    else:
        return
    raise InvalidValue(f"{name}: {problem}", name=name, value=line)


def bare(line: str) -> str:
    """A line without comments and blanks, in capitals: equal for lines that mean the same
    letters.
    """
    return re.sub(r"\s", "", _COMMENT.sub("", line)).upper()


def words(line: str) -> list[tuple[str, float | None]]:
    """The (letter, number) pairs of a line; None for a letter without a number."""
    return [
        (letter, float(number) if re.search(r"\d", number) else None)
        for letter, number in _WORD.findall(bare(line))
    ]


def lift_lines(name: str, value: Any) -> tuple[str, ...]:
    """Declared lines that move a pen: they must do something, and may not move X or Y."""
    lines = declared(name, value)
    spoken = [word for line in lines for word in words(line)]
    if all(letter in "NP" or (letter, number) == ("G", 4) for letter, number in spoken):
        raise InvalidValue(
            f"{name}: {list(lines)!r} does nothing to the pen", name=name, value=lines
        )
    said = {_named(word) for word in spoken if word[1] is not None}
    _check_lift(name, lines, said)
    return lines


def _check_lift(name: str, lines: tuple[str, ...], said: set[str]) -> None:
    """A lift is sent again and again, between moves: it may do nothing but lift."""
    clauses = (
        (
            "would move the carriage; a lift may not hold X or Y words, G28 or G30",
            said & {"G28", "G30"} or any(map(_AXIS.search, map(bare, lines))),
        ),
        ("stops the program; plotlib writes stops itself, and the epilogue ends", said & _STOPS),
        ("changes what coordinates mean; use absolute millimetres in a lift", said & _FRAMES),
        (
            "may be left out by the controller's block delete switch; take the / away",
            any(line.startswith("/") for line in lines),
        ),
    )
    for reason, holds in clauses:
        if holds:
            raise InvalidValue(f"{name}: {list(lines)!r} {reason}", name=name, value=lines)


def check_program(
    prologue: tuple[str, ...], setup: tuple[str, ...], epilogue: tuple[str, ...]
) -> None:
    """Refuse declared lines with which no program could pass its proof."""
    for name, lines in (("prologue", prologue), ("setup", setup), ("epilogue", epilogue)):
        _check_stops(name, lines)
    if any(_MOTIONS.intersection(_said(line)) for line in setup):
        raise InvalidValue(
            f"the setup may not move: {list(setup)!r} holds G0, G1, G2 or G3; put moves into the "
            f"prologue",
            name="setup",
            value=setup,
        )
    _check_modes(prologue, setup)
    _check_percents(prologue, setup, epilogue)


def _check_stops(name: str, lines: tuple[str, ...]) -> None:
    """No line stops the program but the last one of the epilogue, which may end it."""
    said = [_said(line) for line in lines]
    for number, line in enumerate(said):
        ends = _ENDS.intersection(line) if name == "epilogue" else set()
        if ends and any(said[number + 1 :]):
            raise InvalidValue(
                f"epilogue: {lines[number + 1]!r} comes after {min(ends)}, so it is never "
                f"run; put {min(ends)} last",
                name=name,
                value=lines,
            )
        stops = _STOPS.intersection(line) - ends
        if stops:
            raise InvalidValue(
                f"{min(stops)} in the {name} stops the program there; plotlib writes the stops "
                f"between pens itself: leave it out",
                name=name,
                value=lines,
            )


def _check_modes(prologue: tuple[str, ...], setup: tuple[str, ...]) -> None:
    """Programs are written in absolute millimetres and mm/min."""
    said = [
        (part, word)
        for part, lines in (("prologue", prologue), ("setup", setup))
        for line in lines
        for word in _said(line)
    ]
    for wrong, right, what in (
        ("G91", "G90", "absolute coordinates"),
        ("G20", "G21", "millimetres"),
        ("G93", "G94", "feeds in mm/min"),
    ):
        spoken = [(part, word) for part, word in said if word in (wrong, right)]
        if spoken and spoken[-1][1] == wrong:
            raise InvalidValue(
                f"prologue and setup leave {wrong} in force; programs are written in {what}: let "
                f"{right} come last",
                name=spoken[-1][0],
                value=wrong,
            )


def _check_percents(
    prologue: tuple[str, ...], setup: tuple[str, ...], epilogue: tuple[str, ...]
) -> None:
    """A program is framed by two % or by none (NISTIR 6556, section 3.2)."""
    count = sum(bare(line) == "%" for line in (*prologue, *setup, *epilogue))
    first = prologue[:1] and bare(prologue[0]) == "%"
    last = epilogue[-1:] and bare(epilogue[-1]) == "%"
    if count and not (count == 2 and first and last):
        raise InvalidValue(
            "% stands first in the prologue and last in the epilogue, in both or in neither",
            name="epilogue" if first else "prologue",
        )


def _said(line: str) -> list[str]:
    """The words of a line by name."""
    return [_named(word) for word in words(line)]


def _named(word: tuple[str, float | None]) -> str:
    letter, number = word
    return letter if number is None else f"{letter}{number:g}"


def spindle_after(lines: tuple[str, ...]) -> tuple[str, float | None] | None:
    """The state that spindle words leave behind: ("M5", None), ("M3", S) or ("M4", S); None when
    there is none among them.
    """
    state: str | None = None
    speed: float | None = None
    for line in lines:
        for letter, number in words(line):
            if letter == "S":
                speed = number
            if letter == "M" and number in (3, 4, 5):
                state = f"M{number:g}"
    if state is None:
        return None
    return state, None if state == "M5" else speed
