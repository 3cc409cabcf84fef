"""The grammar of path data: SVG 2, chapter Paths, section "The grammar for path data"."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import NoReturn

from plotlib.svg.reading.numbers import NUMBER, SEPARATOR, SPACE, listed
from plotlib.svg.reading.outline import Outline, Pencil

_LETTERS = "MmZzLlHhVvCcSsQqTtAa"
_COMMAND = re.compile(rf"{SPACE}([{_LETTERS}])([^{_LETTERS}]*)")
# Flags are single characters with nothing needed between them; the rotation needs a separator
# behind it.
_ARC = re.compile(
    rf"({NUMBER}){SEPARATOR}({NUMBER}){SEPARATOR}({NUMBER})(?:[ \t\n\r\f]+,?{SPACE}|,{SPACE})"
    rf"([01]){SEPARATOR}([01]){SEPARATOR}({NUMBER}){SEPARATOR}({NUMBER})"
)
_BETWEEN = re.compile(SEPARATOR)
_SIZES = {"L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2}


class _Fault(Exception):
    """Path data that break the grammar."""


def path_outline(data: str) -> Outline:
    """The outline of path data; at a fault what came before it is kept, as the standard asks.

    >>> path_outline("M1 1 2 2 3 3").controls[:, 3].tolist()
    [[2.0, 2.0], [3.0, 3.0]]
    """
    reader = _Reader()
    fault = ""
    if data.strip(" \t\n\r\f") not in ("", "none"):
        try:
            reader.read(data)
        except _Fault as error:
            fault = str(error)
    return reader.pencil.outline(fault)


class _Reader:
    """Follows the commands; ``last`` is the letter of the last one, ``hook`` the last control
    point of a curve.
    """

    def __init__(self) -> None:
        self.pencil = Pencil()
        self.last = ""
        self.hook = (0.0, 0.0)
        self.draw: dict[str, Callable[..., None]] = {
            "L": self._line,
            "H": self._across,
            "V": self._up,
            "C": self._cubic,
            "S": self._smooth_cubic,
            "Q": self._quadratic,
            "T": self._smooth_quadratic,
        }

    def read(self, data: str) -> None:
        """Draw all commands of ``data``."""
        end = 0
        while True:
            found = _COMMAND.match(data, end)
            if found is None:
                break
            letter = found[1]
            if not self.last and letter not in "Mm":
                _fail(data, found.start(1), "path data must begin with M or m")
            self.command(letter, found[2], data, found.start(2))
            end = found.end()
        if data[end:].strip(" \t\n\r\f"):
            _fail(data, end, "path data must begin with M or m")

    def command(self, letter: str, text: str, data: str, at: int) -> None:
        """Draw one command with all of its arguments."""
        if letter in "Aa":
            self.arcs(letter == "a", text, data, at)
            return
        values, end = listed(text)
        if letter in "Zz":
            self.pencil.close()
            self.last = "Z"
            end = len(text) - len(text.lstrip(" \t\n\r\f"))
        elif letter in "Mm":
            self.moves(letter == "m", values)
        else:
            self.segments(letter, values)
        size = _SIZES.get(letter.upper(), 2)
        if end < len(text):
            _fail(data, at + end, f"what follows {letter} cannot be read")
        if letter not in "Zz" and (not values or len(values) % size):
            _fail(data, at + end, f"{letter} takes {size} numbers at a time")

    def moves(self, relative: bool, values: list[float]) -> None:
        """Begin a subpath; further pairs are lines."""
        if len(values) < 2:
            return
        pencil = self.pencil
        x, y = values[:2]
        if relative and self.last:  # a relative move at the beginning is from the origin
            x += pencil.x
            y += pencil.y
        pencil.move(x, y)
        self.last = "M"
        if len(values) > 2:
            self.segments("l" if relative else "L", values[2:])

    def segments(self, letter: str, values: list[float]) -> None:
        """Draw the segments of one command other than a move or an arc."""
        kind = letter.upper()
        size = _SIZES[kind]
        draw = self.draw[kind]
        is_relative = letter != kind
        for k in range(0, len(values) - size + 1, size):
            draw(is_relative, *values[k : k + size])
            self.last = kind

    def arcs(self, relative: bool, text: str, data: str, at: int) -> None:
        """Draw the arcs of one command."""
        end = len(text) - len(text.lstrip(" \t\n\r\f"))
        first = True
        while first or end < len(text):
            found = _ARC.match(text, end)
            if found is None:
                rest = text[end:].strip(" \t\n\r\f")
                if first or rest:
                    _fail(data, at + end, "A takes radii, rotation, two flags and a point")
                return
            self._arc(relative, *found.groups())
            first = False
            between = _BETWEEN.match(text, found.end())
            end = between.end() if between else found.end()
            if end == len(text) and text[found.end() :].strip(" \t\n\r\f"):
                _fail(data, at + end, "a comma must stand between two numbers")

    def _arc(self, relative: bool, *words: str) -> None:
        rx, ry, turn, _, _, x, y = map(float, words)
        pencil = self.pencil
        if relative:
            x += pencil.x
            y += pencil.y
        if all(map(math.isfinite, (rx, ry, turn, x, y))):
            pencil.arc(rx, ry, turn, words[3] == "1", words[4] == "1", (x, y))
        else:
            pencil.line(x, y)
        self.last = "A"

    def _line(self, relative: bool, x: float, y: float) -> None:
        pencil = self.pencil
        if relative:
            pencil.line(pencil.x + x, pencil.y + y)
        else:
            pencil.line(x, y)

    def _across(self, relative: bool, x: float) -> None:
        pencil = self.pencil
        pencil.line(pencil.x + x if relative else x, pencil.y)

    def _up(self, relative: bool, y: float) -> None:
        pencil = self.pencil
        pencil.line(pencil.x, pencil.y + y if relative else y)

    def _cubic(
        self, relative: bool, a: float, b: float, c: float, d: float, x: float, y: float
    ) -> None:
        pencil = self.pencil
        if relative:
            p = pencil.x
            q = pencil.y
            pencil.curve(p + a, q + b, p + c, q + d, p + x, q + y)
            self.hook = (p + c, q + d)
        else:
            pencil.curve(a, b, c, d, x, y)
            self.hook = (c, d)

    def _smooth_cubic(self, relative: bool, c: float, d: float, x: float, y: float) -> None:
        pencil = self.pencil
        p = pencil.x
        q = pencil.y
        a, b = self._reflected("CS")
        dx = p if relative else 0.0
        dy = q if relative else 0.0
        pencil.curve(a, b, c + dx, d + dy, x + dx, y + dy)
        self.hook = (c + dx, d + dy)

    def _quadratic(self, relative: bool, a: float, b: float, x: float, y: float) -> None:
        pencil = self.pencil
        dx = pencil.x if relative else 0.0
        dy = pencil.y if relative else 0.0
        pencil.quadratic(a + dx, b + dy, x + dx, y + dy)
        self.hook = (a + dx, b + dy)

    def _smooth_quadratic(self, relative: bool, x: float, y: float) -> None:
        pencil = self.pencil
        dx = pencil.x if relative else 0.0
        dy = pencil.y if relative else 0.0
        self.hook = self._reflected("QT")
        pencil.quadratic(*self.hook, x + dx, y + dy)

    def _reflected(self, kinds: str) -> tuple[float, float]:
        """The last control point mirrored in the current point, which it is itself after another
        kind of command.
        """
        pencil = self.pencil
        if self.last not in kinds or not self.last:
            return pencil.x, pencil.y
        return 2 * pencil.x - self.hook[0], 2 * pencil.y - self.hook[1]


def _fail(data: str, at: int, why: str) -> NoReturn:
    near = data[at : at + 12].strip()
    where = f"at character {at + 1}"
    raise _Fault(f"{why} ({where}, {near!r})" if near else f"{why} ({where}, the end)")
