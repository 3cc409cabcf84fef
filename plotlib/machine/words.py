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
_FRAMES = {
    "G10",
    "G20",
    "G52",
    "G54",
    "G55",
    "G56",
    "G57",
    "G58",
    "G59",
    "G59.1",
    "G59.2",
    "G59.3",
    "G91",
    "G92",
    "G92.1",
    "G92.2",
    "G92.3",
}
_WORD = re.compile(r"([A-Z])([-+]?\d*\.?\d*)")


def declared(name: str, value: Any) -> tuple[str, ...]:
    """One line or several as a tuple; InvalidValue for what no controller could take."""
    lines = (
        (value,)
        if isinstance(value, str)
        else tuple(value)
        if isinstance(value, Iterable)
        else (value,)
    )
    for line in lines:
        if not isinstance(line, str) or not line.strip():
            raise InvalidValue(
                f"{name}: every line must be text with at least one word, got {line!r}", name=name
            )
        if not (line.isascii() and line.isprintable()):
            raise InvalidValue(
                f"{name}: {line!r} must be one line of printable ASCII characters", name=name
            )
        if re.search(r"[()]", _COMMENT.sub("", line)):
            raise InvalidValue(
                f"{name}: {line!r}: a comment must open and close on the same line, with no other "
                f"inside",
                name=name,
            )
    return tuple(line.strip() for line in lines)


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
    if not lines or all(
        letter == "N" or (letter, number) == ("G", 4) or letter == "P" for letter, number in spoken
    ):
        raise InvalidValue(f"{name}: {list(lines)!r} does nothing to the pen", name=name)
    _check_lift(
        name, lines, {f"{letter}{number:g}" for letter, number in spoken if number is not None}
    )
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
            raise InvalidValue(f"{name}: {list(lines)!r} {reason}", name=name)


def check_program(
    prologue: tuple[str, ...], setup: tuple[str, ...], epilogue: tuple[str, ...]
) -> None:
    """Refuse declared lines with which no program could pass its proof."""
    for name, lines in (("prologue", prologue), ("setup", setup), ("epilogue", epilogue)):
        said = [[_named(word) for word in words(line)] for line in lines]
        for number, line in enumerate(said):
            ends = _ENDS.intersection(line) if name == "epilogue" else set()
            if ends and any(said[number + 1 :]):
                raise InvalidValue(
                    f"epilogue: {lines[number + 1]!r} comes after {min(ends)}, so it is never "
                    f"run; put {min(ends)} last"
                )
            if _STOPS.intersection(line) - ends:
                word = min(_STOPS.intersection(line) - ends)
                raise InvalidValue(
                    f"{word} in the {name} stops the program there; plotlib writes the stops "
                    f"between pens itself: leave it out"
                )
    if any(_MOTIONS.intersection(map(_named, words(line))) for line in setup):
        raise InvalidValue(
            f"the setup may not move: {list(setup)!r} holds G0, G1, G2 or G3; put moves into the "
            f"prologue"
        )
    _check_modes([_named(word) for line in (*prologue, *setup) for word in words(line)])
    percent = [[bare(line) == "%" for line in lines] for lines in (prologue, setup, epilogue)]
    if sum(map(sum, percent)) and not (
        sum(map(sum, percent)) == 2 and percent[0][:1] == percent[2][-1:] == [True]
    ):
        raise InvalidValue(
            "% stands first in the prologue and last in the epilogue, in both or in neither"
        )


def _check_modes(said: list[str]) -> None:
    for wrong, right, what in (
        ("G91", "G90", "absolute coordinates"),
        ("G20", "G21", "millimetres"),
        ("G93", "G94", "feeds in mm/min"),
    ):
        last = next((word for word in reversed(said) if word in (wrong, right)), right)
        if last == wrong:
            raise InvalidValue(
                f"prologue and setup leave {wrong} in force; programs are written in {what}: let "
                f"{right} come last"
            )


def _named(word: tuple[str, float | None]) -> str:
    return word[0] if word[1] is None else f"{word[0]}{word[1]:g}"


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
    return None if state is None else (state, None if state == "M5" else speed)
