"""Drawings and plots as SVG in true size: millimetres, y down, groups of one pen."""

from __future__ import annotations

import re
from decimal import Decimal
from math import ceil, floor
from xml.sax.saxutils import escape

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays.pathtext import path_text
from plotlib.arrays.ragged import take, without_repeats
from plotlib.checks import IntArray, flag, whole
from plotlib.colours import PAPER
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.files import PathLike, check_suffix, write_whole
from plotlib.pen import Pen
from plotlib.planning.frame import Frame, frame
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet
from plotlib.svg.artwork import SHEET

# XML 1.0 (Fifth Edition), production 2: everything but these is a character.
_NO_CHARACTER = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def write(
    plot_or_drawing: Plot | Drawing,
    path: PathLike,
    *,
    sheet: Sheet | None = None,
    page: RegionLike | None = None,
    decimals: int | None = None,
    title: str | None = None,
    layers: bool = False,
) -> None:
    """Write an SVG file in true size, whole or not at all.

    Width, height and view box are in mm and coordinates are millimetres from the page's upper left
    corner, without transforms. Strokes that follow each other with one pen are a group with the
    pen's name as title, its colour and its width, with round caps and joins; each stroke is a path,
    in drawing order; closed strokes end with Z, and a dot is a line of no length. The same input
    gives the same bytes, and `read` gives back the same strokes, in the same order, on the same
    pens, to half a unit of the last decimal (a pen's name, width and colour are kept).

    Parameters
    ----------
    plot_or_drawing : Plot or Drawing
        What to write.
    path : str or path
        Where to.
    sheet : Sheet, optional
        The paper that a Drawing in sheet mm belongs on: the file is as large as the paper, and each
        stroke lies where it will lie on it. A Plot knows its sheet. One that does not fill the
        page, since it is round, cut to shape or turned, lies below as a filled path without a
        stroke.
    page : area, optional
        Instead of the sheet, the area whose bounding box the file shows, in the drawing's mm (bed
        mm for a Plot); rounded outwards to ``decimals``. With neither a Plot is shown on its sheet,
        else on its bed, and a Drawing is cut to its ink: its bounds and half the width of its
        widest pen.
    decimals : int, optional
        Decimals of the coordinates, 0 … 6; without it those of the Plot's machine (more where the
        sheet's edges need them), 3 for a Drawing.
    title : str, optional
        Title of the document; characters that XML forbids are left out.
    layers : bool, default False
        Whether each pen is one group, a layer of its own, even where that changes the order of the
        strokes.

    Raises
    ------
    InvalidValue
        If ``plot_or_drawing`` is neither, ``path`` ends in another suffix than ``.svg``, sheet and
        page are both given, the page is empty, or ``decimals`` is out of range.
    NotWritten
        If the file cannot be written; one that stood there is as it was.

    References
    ----------
    W3C, *Scalable Vector Graphics (SVG) 2*.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     write(Drawing([[(0, 0), (30, 40)]]), Path(folder, "line.svg"))
    ...     print(Path(folder, "line.svg").read_text().splitlines()[4])
    <path d="M0.2 40.2L30.2 0.2"/>
    """
    shown = frame(plot_or_drawing, sheet=sheet, page=page)
    check_suffix(path, ".svg", other="preview.png or gcode.write")
    if title is not None and not isinstance(title, str):
        raise InvalidValue(f"title must be some text, got {title!r}")
    digits = (
        _default_decimals(shown) if decimals is None else whole("decimals", decimals, low=0, high=6)
    )
    write_whole(path, _document(shown, digits, title, flag("layers", layers)))


def _default_decimals(shown: Frame) -> int:
    """So many that a Plot's points stay as planned and its page's edges stay where they are."""
    if shown.machine is None:
        return 3
    return max(shown.machine.decimals, _places(shown.page[0]), _places(shown.page[3]))


def _places(value: float) -> int:
    exponent = Decimal(repr(round(value, 6))).normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def _document(shown: Frame, digits: int, title: str | None, layers: bool) -> bytes:
    scale = 10**digits
    left, bottom = (floor(edge * scale + 1e-4) for edge in shown.page[:2])
    right, top = (ceil(edge * scale - 1e-4) for edge in shown.page[2:])
    width = _number((right - left) / scale)
    height = _number((top - bottom) / scale)
    grid = np.rint(shown.drawing.points * scale).astype(np.int64)
    units = np.column_stack([grid[:, 0] - left, top - grid[:, 1]])
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">\n'
    )
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>\n',
        head,
        "" if title is None else f"<title>{_text(title)}</title>\n",
        "" if shown.paper is None else _paper(shown.paper, (left, top), digits),
    ]
    groups = [
        _group(shown.drawing, units, strokes, digits) for strokes in _groups(shown.drawing, layers)
    ]
    return "".join(parts).encode() + b"".join(groups) + b"</svg>\n"


def _paper(paper: Polygon | MultiPolygon, corner: tuple[int, int], digits: int) -> str:
    """A sheet that does not fill the page: filled, without a stroke, below everything."""
    rings = shapely.get_rings(shapely.get_parts(paper))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    offsets = np.append(0, np.cumsum(np.bincount(ring)))
    units = np.rint(points * 10**digits).astype(np.int64)
    placed = np.column_stack([units[:, 0] - corner[0], corner[1] - units[:, 1]])
    data = path_text(*without_repeats(placed, offsets), decimals=digits).decode()
    path = data.replace("\n", "")
    style = f'fill="{PAPER}" fill-rule="evenodd"'
    return f'<path {style} d="{path}"><title>{SHEET}</title></path>\n'


def _groups(drawing: Drawing, layers: bool) -> list[IntArray]:
    """The numbers of the strokes in each group: of each pen, or of each run of one pen."""
    index = drawing.pen_index
    if layers:
        return [np.flatnonzero(index == number) for number in range(len(drawing.pens))]
    if not len(index):
        return []
    return np.split(np.arange(len(index)), np.flatnonzero(np.diff(index)) + 1)


def _group(drawing: Drawing, units: IntArray, strokes: IntArray, digits: int) -> bytes:
    """Strokes of one pen, a path each."""
    pen = drawing.pens[drawing.pen_index[strokes[0]]]
    rows, offsets = take(drawing.offsets, strokes)
    data = path_text(*without_repeats(units[rows], offsets), decimals=digits)
    paths = data[:-1].replace(b"\n", b'"/>\n<path d="')
    return _opening(pen).encode() + b'<path d="' + paths + b'"/>\n</g>\n'


def _opening(pen: Pen) -> str:
    ink = f'stroke="{pen.colour}" stroke-width="{_number(pen.width)}"'
    return (
        f'<g fill="none" {ink} stroke-linecap="round" stroke-linejoin="round">\n'
        f"<title>{_text(pen.name)}</title>\n"
    )


def _number(value: float) -> str:
    """Plain decimals without needless zeros; never an exponent."""
    return format(Decimal(repr(value)).normalize(), "f")


def _text(text: str) -> str:
    """Escaped; a carriage return by number, as readers turn a plain one into a line feed."""
    return escape(_NO_CHARACTER.sub("", text), {"\r": "&#13;"})
