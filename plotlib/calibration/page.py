"""The page of a calibration sheet: a title on top, what to do below, room for the figure."""

from __future__ import annotations

from typing import NamedTuple

import shapely

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen
from plotlib.sheet import Sheet
from plotlib.text.inbox import boxed
from plotlib.text.letters import lettering
from plotlib.text.measuring import measure

TITLE = 4.0  # mm, height of capitals
TEXT = 2.2
_LEADING = 1.6
_GAP = 5.0
_RISE = 0.6  # mm that f and d reach above the capitals of a title


class Page(NamedTuple):
    """What is lettered on a sheet, by which pen, and the room that is left, in sheet mm."""

    text: Drawing
    pen: Pen
    left: float
    bottom: float
    right: float
    top: float

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of the room."""
        return (self.left + self.right) / 2, (self.bottom + self.top) / 2


def as_sheet(sheet: object, *, least: tuple[float, float]) -> Sheet:
    """The door: a sheet along the machine's axes, with so many mm of room inside its margin."""
    if not isinstance(sheet, Sheet):
        raise InvalidValue(f"sheet must be a Sheet, got {sheet!r:.100}", name="sheet")
    if not sheet.is_plain:
        raise InvalidValue(
            "sheet must be a rectangle that lies straight, so that what is measured on it is the "
            "machine's x and y; leave angle and outline out",
            name="sheet",
            value=sheet,
        )
    left, bottom, right, top = sheet.area.bounds
    if right - left < least[0] or top - bottom < least[1]:
        raise InvalidValue(
            f"this sheet needs {least[0]:g} x {least[1]:g} mm inside its margin, and has "
            f"{right - left:g} x {top - bottom:g}",
            name="sheet",
            value=sheet,
        )
    return sheet


def page(
    sheet: object, title: str, steps: str, pen: Pen | None, *, least: tuple[float, float]
) -> Page:
    """The lettering of a sheet with so much room at least, and the room that it leaves."""
    paper = as_sheet(sheet, least=least)
    ink = as_pen(pen)
    left, bottom, right, top = paper.area.bounds
    head = lettering(title, height=TITLE, at=(left, top - _RISE), anchor="top left", pen=ink)
    lines = len(measure(steps, height=TEXT, wrap=right - left).baselines)
    deep = TEXT + (lines - 1) * TEXT * _LEADING + 1.5
    box = shapely.box(left, bottom, right, bottom + deep + 1)
    below = boxed(steps, box, height=TEXT, level="top", pen=ink)
    return Page(head + below, ink, left, bottom + deep + _GAP, right, top - TITLE - _GAP)


def words(text: str, at: tuple[float, float], pen: Pen, *, anchor: str = "top centre") -> Drawing:
    """A short text beside a mark."""
    return lettering(text, height=TEXT, at=at, anchor=anchor, pen=pen)


def cross(at: tuple[float, float], arm: float, pen: Pen) -> Drawing:
    """An upright cross."""
    x, y = at
    return Drawing([[(x - arm, y), (x + arm, y)], [(x, y - arm), (x, y + arm)]], pen=pen)
