"""What a picture of a Drawing or a Plot shows: the strokes, and the page around them."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import MultiPolygon, Polygon

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
    paper : Polygon, MultiPolygon or None
        The sheet that is shown, in the drawing's mm, where it does not fill the page.
    """

    drawing: Drawing
    page: Bounds
    machine: Machine | None
    paper: Polygon | MultiPolygon | None = None

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the page in mm."""
        left, bottom, right, top = self.page
        return right - left, top - bottom


def frame(
    thing: Plot | Drawing, *, sheet: Sheet | None = None, page: RegionLike | None = None
) -> Frame:
    """The page that ``thing`` is shown on.

    Parameters
    ----------
    thing : Plot or Drawing
        What is shown.
    sheet : Sheet, optional
        Show this whole paper. A Drawing is in sheet mm, so the page begins at (0, 0); on a Plot
        the sheet lies ``at`` its place on the bed, turned by its angle.
    page : area, optional
        Show the bounding box of this area instead, in the drawing's mm (bed mm for a Plot).

    Returns
    -------
    Frame
        With neither, the sheet of a Plot, else its bed; for a Drawing its bounds and half the width
        of its widest pen.

    Raises
    ------
    InvalidValue
        If ``thing`` is neither, ``sheet`` is no Sheet, ``page`` is one or has no extent, or both
        are given.
    """
    if not isinstance(thing, (Plot, Drawing)):
        raise InvalidValue(f"a Plot or a Drawing can be shown, got {type(thing).__name__}")
    machine = thing.machine if isinstance(thing, Plot) else None
    drawing = thing.drawing if isinstance(thing, Plot) else thing
    if sheet is not None and page is not None:
        raise InvalidValue("give a sheet or a page, not both: each is what the picture shows")
    if sheet is not None:
        return _on_sheet(drawing, sheet, machine)
    if page is not None:
        return Frame(drawing, _bounds(page), machine)
    if isinstance(thing, Plot) and thing.sheet is not None:
        return _on_sheet(drawing, thing.sheet, machine)
    if isinstance(thing, Plot):
        return Frame(drawing, _bounds(thing.machine.bed), machine)
    return Frame(drawing, _drawing_page(drawing), machine)


def _on_sheet(drawing: Drawing, sheet: object, machine: Machine | None) -> Frame:
    """The extent of the whole paper, in sheet mm or, of a Plot, in bed mm."""
    if not isinstance(sheet, Sheet):
        raise InvalidValue(
            f"sheet must be a Sheet, got {sheet!r:.100}; another area to show is a page",
            name="sheet",
            value=sheet,
        )
    paper = sheet.paper if machine is None else sheet.on_bed
    left, bottom, right, top = paper.bounds
    is_whole = sheet.outline is None and (machine is None or sheet.angle == 0)
    return Frame(drawing, (left, bottom, right, top), machine, None if is_whole else paper)


def _drawing_page(drawing: Drawing) -> Bounds:
    half = max((pen.width for pen in drawing.pens), default=1.0) / 2
    left, bottom, right, top = drawing.bounds or (half, half, half, half)
    return left - half, bottom - half, right + half, top + half


def _bounds(page: RegionLike) -> Bounds:
    if isinstance(page, Sheet):
        raise InvalidValue(
            "page must be an area, got a Sheet; write sheet=... to show the whole paper",
            name="page",
            value=page,
        )
    area = as_area(page, "page")
    if area.is_empty:
        raise InvalidValue("the page is an empty area; give an area with some extent", name="page")
    left, bottom, right, top = area.bounds
    return left, bottom, right, top
