"""The page of a calibration sheet: a title on top, what to do below, room for the figure."""

from __future__ import annotations

import shapely
from shapely import Polygon

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.sheet import Sheet
from plotlib.text.inbox import boxed
from plotlib.text.letters import lettering
from plotlib.text.measuring import measure

TITLE = 4.0  # mm, height of capitals
TEXT = 2.2
_LEADING = 1.6
_GAP = 5.0
_RISE = 0.6  # mm that f and d reach above the capitals of a title


def as_sheet(sheet: object, *, least: tuple[float, float]) -> Sheet:
    """The door: a sheet with so many mm of room inside its margin."""
    if not isinstance(sheet, Sheet):
        raise InvalidValue(f"sheet must be a Sheet, got {sheet!r:.100}", name="sheet")
    left, bottom, right, top = sheet.area.bounds
    if right - left < least[0] or top - bottom < least[1]:
        raise InvalidValue(
            f"this sheet needs {least[0]:g} x {least[1]:g} mm inside its margin, and has "
            f"{right - left:g} x {top - bottom:g}",
            name="sheet",
            value=sheet,
        )
    return sheet


def page(sheet: Sheet, title: str, steps: str, pen: Pen) -> tuple[Drawing, Polygon]:
    """The lettering of a sheet, and the room that it leaves."""
    left, bottom, right, top = sheet.area.bounds
    head = lettering(title, height=TITLE, at=(left, top - _RISE), anchor="top left", pen=pen)
    lines = len(measure(steps, height=TEXT, wrap=right - left).baselines)
    deep = TEXT + (lines - 1) * TEXT * _LEADING + 1.5
    box = shapely.box(left, bottom, right, bottom + deep + 1)
    below = boxed(steps, box, height=TEXT, level="top", pen=pen)
    return head + below, shapely.box(left, bottom + deep + _GAP, right, top - TITLE - _GAP)


def words(text: str, at: tuple[float, float], pen: Pen, *, anchor: str = "top") -> Drawing:
    """A short text beside a mark."""
    return lettering(text, height=TEXT, at=at, anchor=f"{anchor} centre", pen=pen)
