"""Which pen draws what: by colour, width, group or a function, or the nearest of given pens."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable
from typing import Any, TypeAlias

import numpy as np

from plotlib.checks import function, one_of
from plotlib.colours import NAMED, colour_difference, lab_of
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.svg.artwork import Ink

Chooser: TypeAlias = Callable[[Ink], Pen | None]
Pens: TypeAlias = "str | Iterable[Pen] | Callable[[Ink], Pen | None] | None"

WAYS = ("colour", "width", "group")
_WIDTH = 0.4  # mm: of pens for fills, which say none; what Pen has
_LONGEST = 200  # characters of a title that become a pen's name
_NAMES = {value: name for name, value in reversed(NAMED.items())}


def chooser(pens: Pens, inks: list[Ink]) -> Chooser:
    """The function that chooses a pen for each of ``inks``.

    Raises
    ------
    InvalidValue
        If ``pens`` is none of what it may be, or chooses what is no Pen.
    UnknownName
        If it is another word.
    """
    if pens is None:
        return _Own().pen
    if isinstance(pens, str):
        return _By(one_of("pens", pens, WAYS), inks).pen
    if callable(pens):
        return _Told(called_with("pens", function("pens", pens), 1, "(ink)")).pen
    return _Nearest(_listed(pens)).pen


def check_pens(pens: Any) -> Any:
    """What ``chooser`` takes, or the error for it; an iterable as a list."""
    if pens is None or isinstance(pens, str) or callable(pens):
        chooser(pens, [])
        return pens
    return _listed(pens)


def called_with(name: str, call: Any, count: int, what: str) -> Any:
    """A function that takes so many arguments, or InvalidValue."""
    try:
        inspect.signature(call).bind(*range(count))
    except TypeError as error:
        raise InvalidValue(
            f"{name} must be a function of {what}: {error}", name=name, value=call
        ) from error
    except ValueError:  # a builtin that does not say what it takes
        pass
    return call


def _listed(pens: Any) -> list[Pen]:
    wanted = (
        'pens must be None, "colour", "width", "group", several Pens or a function from an Ink to '
        "a Pen"
    )
    if not isinstance(pens, Iterable) or isinstance(pens, (bytes, dict)):
        raise InvalidValue(f"{wanted}; got {pens!r:.200}", name="pens", value=pens)
    found = list(pens)
    if not found or not all(isinstance(pen, Pen) for pen in found):
        raise InvalidValue(f"{wanted}; got {found!r:.200}", name="pens", value=pens)
    return found


class _Own:
    """A pen for each title, colour and width."""

    def __init__(self) -> None:
        self.known: dict[tuple[str, str, float], Pen] = {}
        self.names: set[str] = set()

    def pen(self, ink: Ink) -> Pen:
        width = _width(ink)
        key = (ink.title, ink.colour, width)
        if key not in self.known:
            colour = _NAMES.get(ink.colour, ink.colour)
            name = _printable(ink.title)
            for more in (colour, f"{width:g}"):
                if not name or name in self.names:
                    name = f"{name} {more}".strip()
            self.known[key] = Pen(_free(name, self.names), width=width, colour=ink.colour)
        return self.known[key]


class _By:
    """A pen for each colour, width or group; the rest is as its first stroke has it."""

    def __init__(self, way: str, inks: list[Ink]) -> None:
        self.way = way
        self.known: dict[object, Pen] = {}
        names: set[str] = set()
        strokes = [ink for ink in inks if ink.kind == "stroke"]
        for ink in [*strokes, *inks]:
            key = self.key(ink)
            if key not in self.known:
                name = _free(self.name(ink), names)
                self.known[key] = Pen(name, width=_width(ink), colour=ink.colour)

    def key(self, ink: Ink) -> object:
        return {"colour": ink.colour, "width": _width(ink), "group": ink.group}[self.way]

    def name(self, ink: Ink) -> str:
        if self.way == "colour":
            return _NAMES.get(ink.colour, ink.colour)
        if self.way == "width":
            return f"{_width(ink):g} mm"
        return _printable(ink.group) or "no group"

    def pen(self, ink: Ink) -> Pen:
        return self.known[self.key(ink)]


class _Told:
    """Asks a function of the caller."""

    def __init__(self, choose: Callable[..., Any]) -> None:
        self.choose = choose

    def pen(self, ink: Ink) -> Pen | None:
        try:
            found = self.choose(ink)
        except TypeError as error:
            raise InvalidValue(
                f"pens cannot be asked for line {ink.line}: {error}", name="pens"
            ) from error
        if found is not None and not isinstance(found, Pen):
            raise InvalidValue(
                f"pens must give a Pen, or None for what is not to be drawn; for line {ink.line} "
                f"it gave {found!r:.100}",
                name="pens",
                value=found,
            )
        return found


class _Nearest:
    """The pen whose colour looks most like the ink's (CIEDE2000); of equal ones that whose width is
    nearest.
    """

    def __init__(self, pens: list[Pen]) -> None:
        self.pens = pens
        self.labs = np.array([lab_of(pen.colour) for pen in pens])
        self.known: dict[tuple[str, float], Pen] = {}

    def pen(self, ink: Ink) -> Pen:
        key = (ink.colour, _width(ink))
        if key not in self.known:
            far = colour_difference(lab_of(ink.colour), self.labs).round(9).tolist()
            order = [(far[k], abs(pen.width - _width(ink)), k) for k, pen in enumerate(self.pens)]
            self.known[key] = self.pens[min(order)[2]]
        return self.known[key]


def _width(ink: Ink) -> float:
    return _WIDTH if ink.width is None else ink.width


def _printable(text: str) -> str:
    """A name that a pen may have; one that is printable is left as it is."""
    if not text.isprintable():
        one_line = " ".join(text.split())
        text = "".join(letter for letter in one_line if letter.isprintable())
    return text[:_LONGEST] if text.strip() else ""


def _free(name: str, names: set[str]) -> str:
    """The name, with a number behind it where it is taken."""
    found = name
    number = 2
    while found in names:
        found = f"{name} {number}"
        number += 1
    names.add(found)
    return found
