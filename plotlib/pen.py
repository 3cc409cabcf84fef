"""Pens: what a stroke is drawn with."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from plotlib.checks import IntArray, between, finite, point, positive, rate
from plotlib.colours import NAMED
from plotlib.errors import InvalidValue

if TYPE_CHECKING:
    from plotlib.machine.lifts import Lift

# One line of a black fine liner then sends back 4 % of the paper's light, optical density 1.4:
# about what solid black ink on uncoated paper measures (common practice, no source).
_OPACITY = 0.97


@dataclass(frozen=True)
class Pen:
    """A pen: its name, the width of its line, its colour and the feed it likes.

    Parameters
    ----------
    name : str
        What the stop between pens asks for; equal names must be equal pens within one drawing.
    width : float, default 0.4
        Width of the drawn line in mm, > 0.
    colour : str, default "#1a1a1a"
        ``#rrggbb``, ``#rgb`` or a named colour of CSS such as ``"navy"``; for pictures only. Kept
        as ``#rrggbb``.
    feed : float, optional
        Drawing feed in mm/min; without it the machine's own feed is used.
    write_out : float, optional
        Millimetres of line that the pen draws until it is empty (its write-out length), > 0; the
        report of a plot then says how much of it is used, and warns where it is not enough.
    opacity : float, default 0.97
        How much of its colour one pass of the pen leaves, 0.01 … 1; for previews only. A fine liner
        nearly covers the paper at once; a highlighter, at 0.5 or so, grows darker where it lies
        twice.
    offset : (float, float), default (0, 0)
        How far to the right and up, in mm, this pen's tip sits from where the holder has others:
        the carriage stands so far to the left and below of the ink, rounded to the machine's grid,
        and must stay on the bed too. Measure it by a cross drawn with each pen.
    lift : Lift, optional
        How this pen is raised and lowered, in its own words, heights and settle times, such as
        ``ZLift`` with another height for a brush; without it the machine's own lift. One file has
        one lift: pens with different ones are written by ``gcode.write_each``.

    Raises
    ------
    InvalidValue
        If the name is empty or holds control characters, the width, feed or write-out is not
        positive, the colour cannot be read, the opacity is out of range, the offset is no pair of
        finite numbers, or ``lift`` is no lift.

    Examples
    --------
    >>> Pen("blue", width=0.4, colour="#1d4e89", feed=2_500).feed
    2500.0
    """

    name: str
    width: float = 0.4
    colour: str = "#1a1a1a"
    feed: float | None = None
    write_out: float | None = field(default=None, kw_only=True)
    opacity: float = field(default=_OPACITY, kw_only=True)
    offset: tuple[float, float] = field(default=(0.0, 0.0), kw_only=True)
    lift: Lift | None = field(default=None, kw_only=True)

    def __post_init__(self) -> None:
        if not isinstance(self.name, str) or not self.name.strip() or not self.name.isprintable():
            raise InvalidValue(f"a pen needs a name of printable characters, got {self.name!r}")
        object.__setattr__(self, "width", positive("pen width", self.width, unit="mm"))
        object.__setattr__(self, "colour", _colour(self.colour))
        if self.feed is not None:
            object.__setattr__(self, "feed", rate("pen feed", self.feed))
        if self.write_out is not None:
            write_out = positive("pen write_out", self.write_out, unit="mm")
            object.__setattr__(self, "write_out", write_out)
        object.__setattr__(self, "opacity", between("pen opacity", self.opacity, 0.01, 1.0))
        x, y = point("pen offset", self.offset)
        finite("pen offset", max(abs(x), abs(y)), unit="mm")
        object.__setattr__(self, "offset", (x, y))
        if self.lift is not None:
            _check_lift(self.lift)


def _check_lift(value: object) -> None:
    from plotlib.machine.lifts import Lift

    if not isinstance(value, Lift):
        raise InvalidValue(
            f"pen lift must be a lift, such as ZLift(up=4, down=0, feed=600), got {value!r:.200}",
            name="lift",
            value=value,
        )


def _colour(value: object) -> str:
    text = value.strip().lower() if isinstance(value, str) else ""
    text = NAMED.get(text, text)
    if re.fullmatch(r"#[0-9a-f]{3}", text):
        text = "#" + "".join(digit * 2 for digit in text[1:])
    if not re.fullmatch(r"#[0-9a-f]{6}", text):
        raise InvalidValue(
            f"pen colour must be written #rrggbb or #rgb, or be one of the {len(NAMED)} colour "
            f'names of CSS such as "navy"; got {value!r}',
            name="colour",
            value=value,
        )
    return text


DEFAULT_PEN = Pen("pen")


def as_pen(pen: Pen | None, name: str = "pen") -> Pen:
    """The door for ``pen=``: the pen, the default pen for None, or InvalidValue."""
    if pen is None:
        return DEFAULT_PEN
    if not isinstance(pen, Pen):
        raise InvalidValue(
            f'{name} must be a Pen, such as Pen("blue", width=0.4), got {pen!r:.200}',
            name=name,
            value=pen,
        )
    return pen


def in_use(index: IntArray, pens: tuple[Pen, ...]) -> tuple[IntArray, tuple[Pen, ...]]:
    """Only the pens that some stroke has, in the order of their first stroke, and the new index
    (M,) of each stroke's pen: equal drawings are equal values then.
    """
    if len(pens) > 1 or not len(index):
        used, first, inverse = np.unique(index, return_index=True, return_inverse=True)
        rank = np.argsort(first)
        pens = tuple(pens[k] for k in used[rank])
        index = np.argsort(rank)[inverse].astype(np.int64)
    check_names(pens)
    return index, pens


def check_names(pens: tuple[Pen, ...]) -> None:
    """Refuse two different pens of one name."""
    names: dict[str, Pen] = {}
    for pen in pens:
        other = names.setdefault(pen.name, pen)
        if other != pen:
            raise InvalidValue(
                f"two different pens are called {pen.name!r}: {other} and {pen}; give one another "
                f"name",
                name=pen.name,
            )
