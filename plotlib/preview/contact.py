"""A contact sheet: many variants of one design on one sheet of paper."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple

import shapely

from plotlib.checks import function, several, whole
from plotlib.drawing import Bounds, Drawing
from plotlib.errors import InvalidValue, PlotlibError
from plotlib.pen import Pen, as_pen
from plotlib.preview.variants import Design, Made, all_made, combined
from plotlib.progress import Progress
from plotlib.sheet import Sheet

_GAP = 5.0  # mm between neighbours
_LABEL = 2.2  # mm, height of the capitals of a label, and less where it would not fit
_LEADING = 2.0  # times that height for the strip of the label
_SMALLEST = 0.05  # mm, a pen of a variant
_MOST = 2_000  # variants
_TOLD = 240  # characters of an error
_WORD = 24  # characters of an error's word, so that it fits its place
LABELS = Pen("label", width=0.25, colour="#555555")


def contact_sheet(
    make: Design,
    *,
    seeds: Iterable[int] | None = range(24),
    sheet: Sheet | None = None,
    columns: int | None = None,
    pen: Pen | None = None,
    workers: int | None = None,
    progress: Progress = None,
    **options: Any,
) -> Drawing:
    """Many variants of a design on one sheet, each labelled with its values: to look at, and to
    plot.

    All variants are drawn to one scale, each in the same place of its frame, so that they compare.
    A variant that raises an error, or gives no drawing, has the text of that in its place, and the
    others go on.

    Parameters
    ----------
    make : function
        The design: called with the values by their names, it returns a Drawing.
    seeds : iterable of int or None, default range(24)
        The values of its argument ``seed``, one variant for each. None: it has no such argument.
    sheet : Sheet, optional
        The paper of the contact sheet; A4 lying where it is not given.
    columns : int, optional
        Variants in a row; as many as leave each the most room where it is not given.
    pen : Pen, optional
        The pen of the labels; a grey one of 0.25 mm where it is not given.
    workers : int, optional
        Processes that work side by side; as many as there are processor cores where it is not
        given, and 1 works in this process. Where processes cannot be forked (Windows, macOS), a
        function of a notebook or a lambda is worked out in this process, and a script must stand
        under ``if __name__ == "__main__":``.
    progress : bool or function, optional
        True shows it at once, a function is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.
    **options
        The design's other arguments. A list or a range is varied, one variant for each value, and
        several of them in all combinations; anything else is handed over as it is.

    Returns
    -------
    Drawing
        In sheet mm, within ``sheet.area``. Pens are as wide as the variants are small, so that the
        shades are those of the design, and are called by both; ``inked(pen)`` gives them a pen that
        you have.

    Raises
    ------
    InvalidValue
        If an argument is invalid, there are no variants or more than 2,000, or they do not fit on
        the sheet.

    Examples
    --------
    >>> from plotlib.shapes import star
    >>> def design(seed, inner):
    ...     return star((0, 0), 20, inner=inner, tips=5 + seed)
    >>> proofs = contact_sheet(design, seeds=range(3), inner=[6, 12], columns=3, workers=1)
    >>> sorted({pen.name for pen in proofs.pens})
    ['label', 'pen 0.87 mm']
    """
    design = function("make", make)
    known = _sheet(sheet)
    ink = LABELS if pen is None else as_pen(pen)
    count = None if workers is None else whole("workers", workers, low=1, high=256)
    rows = None if columns is None else whole("columns", columns, low=1, high=_MOST)
    varied = dict(options)
    if seeds is not None:
        varied["seed"] = [whole("seed", one, low=0) for one in several("seeds", seeds, "numbers")]
    variants = combined(varied)
    if len(variants) > _MOST:
        raise InvalidValue(
            f"{len(variants):,} variants are too many for a sheet; at most {_MOST:,}",
            name="seeds",
            count=len(variants),
        )
    made = all_made(design, variants, workers=count, progress=progress)
    grid = _grid(known, made, rows)
    names = [name for name, value in varied.items() if isinstance(value, (list, range))]
    labels = [_label(variant, names) for variant in variants]
    return _laid_out(grid, made, labels, ink)


class _Grid(NamedTuple):
    """Where the variants stand: the sheet's area, cells across and down, what each shows (in the
    design's mm), and the scale.
    """

    area: Bounds
    columns: int
    rows: int
    page: Bounds
    scale: float

    @property
    def cell(self) -> tuple[float, float]:
        """Width and height of a cell, its label's strip left out."""
        return _cell(self.area, self.columns, self.rows)

    def corner(self, number: int) -> tuple[float, float]:
        """The lower left corner of a cell, above its label."""
        row, column = divmod(number, self.columns)
        width, height = self.cell
        left, _, _, top = self.area
        x = left + column * (width + _GAP)
        y = top - row * (height + _LABEL * _LEADING + _GAP) - height
        return x, y

    def frame(self, number: int) -> Any:
        """What a variant would show, in the middle of its cell, as an area."""
        x, y = self.corner(number)
        width, height = self.cell
        left, bottom, right, top = self.page
        across = (right - left) * self.scale / 2
        up = (top - bottom) * self.scale / 2
        middle = (x + width / 2, y + height / 2)
        return shapely.box(middle[0] - across, middle[1] - up, middle[0] + across, middle[1] + up)


def _sheet(sheet: object) -> Sheet:
    if sheet is None:
        return Sheet.iso("A4", landscape=True)
    if not isinstance(sheet, Sheet):
        raise InvalidValue(f"sheet must be a Sheet, got {sheet!r:.100}", name="sheet", value=sheet)
    return sheet


def _grid(sheet: Sheet, made: list[Made], columns: int | None) -> _Grid:
    """The grid that leaves the variants the most room."""
    area: Bounds = sheet.area.bounds
    page = _page([one for one in made if isinstance(one, Drawing)])
    choices = range(1, len(made) + 1) if columns is None else [columns]
    best = max((_of_columns(area, page, number, len(made)) for number in choices), key=_roominess)
    if min(best.cell) < 2 * _LABEL:
        width, height = best.cell
        raise InvalidValue(
            f"{len(made)} variants do not fit on this sheet: each would have "
            f"{max(width, 0):.1f} x {max(height, 0):.1f} mm; take fewer, a larger sheet, or other "
            f"columns",
            name="sheet",
            count=len(made),
        )
    return best


def _of_columns(area: Bounds, page: Bounds, columns: int, count: int) -> _Grid:
    rows = -(-count // columns)
    width, height = _cell(area, columns, rows)
    across = max(page[2] - page[0], 1e-9)
    up = max(page[3] - page[1], 1e-9)
    return _Grid(area, columns, rows, page, min(width / across, height / up))


def _cell(area: Bounds, columns: int, rows: int) -> tuple[float, float]:
    left, bottom, right, top = area
    width = (right - left - (columns - 1) * _GAP) / columns
    height = (top - bottom - (rows - 1) * _GAP) / rows - _LABEL * _LEADING
    return width, height


def _roominess(grid: _Grid) -> tuple[float, float]:
    """What is to be large: the scale; where that says nothing, the smaller side of a cell."""
    return (grid.scale if min(grid.cell) > 0 else min(grid.cell)), min(grid.cell)


def _page(drawings: list[Drawing]) -> Bounds:
    """What every frame shows: all that any variant inks."""
    boxes = [_with_ink(drawing) for drawing in drawings]
    if not boxes:
        return 0.0, 0.0, 1.0, 1.0
    left, bottom, right, top = shapely.union_all(boxes).bounds
    return left, bottom, right, top


def _with_ink(drawing: Drawing) -> Any:
    """The bounding box of a drawing and its pens' widths."""
    return drawing.box(margin=max(pen.width for pen in drawing.pens) / 2)


def _label(variant: dict[str, Any], names: list[str]) -> str:
    """The values of what is varied."""
    return ", ".join(f"{name} {_value(variant[name])}" for name in names)


def _value(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float) else f"{value}"[:_WORD]


def _laid_out(grid: _Grid, made: list[Made], labels: list[str], pen: Pen) -> Drawing:
    from plotlib.text import lettering

    width = grid.cell[0]
    tall = _label_height(labels, width, pen)
    parts = []
    for number, (one, label) in enumerate(zip(made, labels, strict=True)):
        x, y = grid.corner(number)
        if isinstance(one, Drawing):
            parts.append(_placed(one, grid, (x, y)))
        else:
            parts.append(_told(one, grid.frame(number), pen))
        if label.strip():
            at = (x + width / 2, grid.frame(number).bounds[1] - _LABEL * _LEADING)
            parts.append(lettering(label, height=tall, at=at, align="centre", pen=pen, missing="?"))
    return Drawing(parts)


def _label_height(labels: list[str], width: float, pen: Pen) -> float:
    """Of all labels, so that the longest fits below its variant."""
    from plotlib.text import measure

    longest = max(measure(label, height=_LABEL, missing="?").advance for label in labels)
    return _LABEL * min(1.0, (width - pen.width) / max(longest, 1e-9))


def _placed(drawing: Drawing, grid: _Grid, corner: tuple[float, float]) -> Drawing:
    """A variant in the middle of its cell, its pens as much thinner as it is smaller."""
    left, bottom, right, top = grid.page
    width, height = grid.cell
    small = drawing.moved(-(left + right) / 2, -(bottom + top) / 2).scaled(grid.scale, about=(0, 0))
    parts = []
    for pen, strokes in small.by_pen().items():
        thin = max(pen.width * grid.scale, _SMALLEST)
        name = f"{pen.name} {thin:.2f} mm"
        parts.append(strokes.inked(Pen(name, width=thin, colour=pen.colour, feed=pen.feed)))
    middle = (corner[0] + width / 2, corner[1] + height / 2)
    return Drawing(parts).moved(*middle)


def _told(text: str, place: Any, pen: Pen) -> Drawing:
    """The text of an error in the place of a drawing, within a frame."""
    from plotlib.text import boxed

    words = " ".join(text[:_TOLD].split())
    words = " ".join(_broken(word) for word in words.split())
    frame = Drawing([place.exterior], pen=pen)
    room: dict[str, Any] = {"margin": 2 * pen.width, "pen": pen, "missing": "?"}
    try:
        return frame + boxed(words, place, height=_LABEL, level="middle", align="centre", **room)
    except PlotlibError:  # too long for its place at that height
        return frame + boxed(words, place, level="middle", align="centre", **room)


def _broken(word: str) -> str:
    parts = [word[at : at + _WORD] for at in range(0, len(word), _WORD)]
    return " ".join(parts)
