"""What a picture of a Drawing or a Plot shows: the strokes, and the page around them."""

from __future__ import annotations

from dataclasses import dataclass

from plotlib.arrays.areas import as_area
from plotlib.drawing import Bounds, Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.machine import Machine
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet


@dataclass(frozen=True)
class Frame:
    """Strokes and the page they are shown on.

    Attributes
    ----------
    drawing : Drawing
        The strokes.
    page : (float, float, float, float)
        Left, bottom, right and top of the page, in the drawing's mm.
    machine : Machine or None
        The machine of a Plot.
    """

    drawing: Drawing
    page: Bounds
    machine: Machine | None

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the page in mm."""
        left, bottom, right, top = self.page
        return right - left, top - bottom


def frame(thing: Plot | Drawing, *, page: RegionLike | None = None) -> Frame:
    """The page that ``thing`` is shown on.

    Without ``page`` it is the sheet of a Plot, else its bed; for a Drawing its bounds and half the
    width of its widest pen. With ``page`` it is a whole Sheet or the bounding box of an area, in
    the mm of the drawing (for a Plot bed mm, where a Sheet lies ``at`` its place).

    Raises
    ------
    InvalidValue
        If ``thing`` is neither, or ``page`` has no extent.
    """
    if isinstance(thing, Plot):
        return Frame(thing.drawing, _plot_page(thing, page), thing.machine)
    if isinstance(thing, Drawing):
        return Frame(thing, _drawing_page(thing) if page is None else _bounds(page), None)
    raise InvalidValue(f"a Plot or a Drawing can be shown, got {type(thing).__name__}")


def _plot_page(plot: Plot, page: RegionLike | None) -> Bounds:
    sheet = plot.sheet if page is None else page
    if isinstance(sheet, Sheet):
        left, bottom = sheet.at
        return left, bottom, left + sheet.width, bottom + sheet.height
    return _bounds(plot.machine.bed if sheet is None else sheet)


def _drawing_page(drawing: Drawing) -> Bounds:
    half = max((pen.width for pen in drawing.pens), default=1.0) / 2
    left, bottom, right, top = drawing.bounds or (half, half, half, half)
    return left - half, bottom - half, right + half, top + half


def _bounds(page: RegionLike) -> Bounds:
    area = page.paper if isinstance(page, Sheet) else as_area(page, "page")
    if area.is_empty:
        raise InvalidValue("the page is an empty area; give a Sheet or an area with some extent")
    left, bottom, right, top = area.bounds
    return left, bottom, right, top
