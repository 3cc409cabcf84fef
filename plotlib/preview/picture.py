"""A picture of the paper with the pens' true widths and colours, as PNG."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from math import floor, sqrt
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from plotlib.arrays.ragged import take
from plotlib.checks import FloatArray, flag, package, positive
from plotlib.colours import PAPER
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.files import PathLike, check_suffix, write_whole
from plotlib.planning.frame import Frame, frame
from plotlib.planning.plot import Plot
from plotlib.preview.ink import Layer, lay
from plotlib.preview.light import encoded, light_of
from plotlib.progress import stage
from plotlib.sheet import Sheet

if TYPE_CHECKING:
    from PIL.Image import Image

_LARGEST = 400_000_000  # pixels
_BAND = 1 << 19  # pixels worked on at a time, 80 to 250 bytes each
_COMPRESSION = 3  # of 9: twice as fast as the usual 6, and within 2 % of its size on line work

_TRAVEL_COLOUR = "#d1495b"
_TRAVEL_WIDTH = 0.15
_TRAVEL_STRENGTH = 0.8


def png(
    plot_or_drawing: Plot | Drawing,
    path: PathLike,
    *,
    dpi: float = 150,
    paper: str = PAPER,
    sheet: Sheet | None = None,
    page: RegionLike | None = None,
    travel: bool = False,
) -> None:
    """Write a picture of the sheet with the ink on it, whole or not at all; the file says its true
    size.

    Parameters
    ----------
    plot_or_drawing : Plot or Drawing
        What to show.
    path : str or path
        Where to.
    dpi : float, default 150
        Pixels in an inch (25.4 mm).
    paper : str, default "#fcfaf5"
        Colour of the paper, ``#rrggbb`` or ``#rgb``.
    sheet : Sheet, optional
        The paper that a Drawing in sheet mm belongs on, shown whole. A Plot knows its sheet.
    page : area, optional
        Instead of the sheet, the area whose bounding box is shown, in the drawing's mm (bed mm for
        a Plot). With neither a Plot is shown on its sheet, else on its bed, and a Drawing is cut to
        its ink: its bounds and half the width of its widest pen.
    travel : bool, default False
        Show the pen-up moves too, as thin red lines below the ink.

    Raises
    ------
    InvalidValue
        If ``path`` ends in another suffix than ``.png``, a colour cannot be read, sheet and page
        are both given, or the picture has more than 400 million pixels; the message then gives the
        largest dpi.
    MissingPackage
        If pillow is not installed.
    NotWritten
        If the file cannot be written; one that stood there is as it was.

    Examples
    --------
    >>> from pathlib import Path
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     png(Drawing([[(0, 0), (30, 40)]]), Path(folder, "line.png"), dpi=100)
    ...     Path(folder, "line.png").read_bytes()[1:4]
    b'PNG'
    """
    check_suffix(path, ".png", other="svg.write or gcode.write")
    picture = image(plot_or_drawing, dpi=dpi, paper=paper, sheet=sheet, page=page, travel=travel)
    data = BytesIO()
    picture.save(data, "PNG", dpi=(float(dpi), float(dpi)), compress_level=_COMPRESSION)
    write_whole(path, data.getvalue())


def image(
    plot_or_drawing: Plot | Drawing,
    *,
    dpi: float = 150,
    paper: str = PAPER,
    sheet: Sheet | None = None,
    page: RegionLike | None = None,
    travel: bool = False,
) -> Image:
    """A picture of the sheet with the ink on it, as a value; a notebook shows it.

    Each pass of a pen takes light away from the paper, as much as the pen's ``opacity`` says: what
    lies twice is darker, and a highlighter does not cover the ink below it
    (:mod:`plotlib.preview.ink`). Light is mixed in linear light, and lines thinner than a pixel
    take away as much wherever they lie.

    Parameters
    ----------
    plot_or_drawing, dpi, paper, sheet, page, travel
        As for :func:`png`.

    Returns
    -------
    PIL.Image.Image
        Of mode RGB; ``numpy.asarray`` makes an array (rows, columns, 3) of sRGB bytes of it.

    Raises
    ------
    InvalidValue
        If an argument is invalid, as for :func:`png`.
    MissingPackage
        If pillow is not installed.

    Examples
    --------
    >>> picture = image(Drawing([[(0, 0), (30, 40)]]), dpi=254)
    >>> picture.size, picture.mode
    ((304, 404), 'RGB')
    """
    pillow = package("PIL.Image", install="pillow", use="a PNG picture")
    array = pixels(plot_or_drawing, dpi=dpi, paper=paper, sheet=sheet, page=page, travel=travel)
    picture: Image = pillow.fromarray(array)
    picture.info["dpi"] = (float(dpi), float(dpi))
    return picture


def pixels(
    plot_or_drawing: Plot | Drawing,
    *,
    dpi: float = 150,
    paper: str = PAPER,
    sheet: Sheet | None = None,
    page: RegionLike | None = None,
    travel: bool = False,
) -> NDArray[np.uint8]:
    """The picture of :func:`image` as an array (rows, columns, 3) of sRGB bytes."""
    shown = frame(plot_or_drawing, sheet=sheet, page=page)
    scale = positive("dpi", dpi) / 25.4
    rows, columns = _shape(shown, scale)
    ground = light_of("paper", paper)
    moves = _moves(plot_or_drawing) if flag("travel", travel) else None
    layers = list(_layers(shown, scale, moves))
    result = np.empty((rows, columns, 3), np.uint8)
    step = max(1, _BAND // columns)
    with stage("inking the picture") as work:
        for top in range(0, rows, step):
            band = result[top : top + step]
            light = np.broadcast_to(ground, band.shape).astype(np.float32)
            for layer in layers:
                lay(light, ground, layer, top)
            band[...] = encoded(light)
            work.done(min(1.0, (top + step) / rows))
    return result


def _layers(shown: Frame, scale: float, moves: FloatArray | None) -> Iterator[Layer]:
    """The pen-up moves, then pen after pen."""
    drawing = shown.drawing
    corner = np.array([shown.page[0], shown.page[3]])
    points = (drawing.points - corner) * (scale, -scale)
    if moves is not None:
        ends = ((moves - corner) * (scale, -scale)).reshape(-1, 2)
        offsets = np.arange(0, len(ends) + 1, 2)
        colour = light_of("colour", _TRAVEL_COLOUR)
        yield Layer(ends, offsets, max(_TRAVEL_WIDTH * scale, 1.0), colour, _TRAVEL_STRENGTH)
    for number, pen in enumerate(drawing.pens):
        rows, offsets = take(drawing.offsets, np.flatnonzero(drawing.pen_index == number))
        colour = light_of("colour", pen.colour)
        yield Layer(points[rows], offsets, pen.width * scale, colour, pen.opacity)


def _moves(thing: Plot | Drawing) -> FloatArray:
    """The pen-up moves (n, 2, 2) in mm: those of a Plot, or straight from stroke to stroke of a
    Drawing.
    """
    if isinstance(thing, Plot):
        legs = np.stack([thing.legs.begin, thing.legs.end], axis=1)
        return np.asarray(thing.machine.to_mm(legs), np.float64)
    inner = thing.offsets[1:-1]
    return np.stack([thing.points[inner - 1], thing.points[inner]], axis=1)


def _shape(shown: Frame, scale: float) -> tuple[int, int]:
    width, height = shown.size
    if width * height * scale * scale > _LARGEST:
        limit = floor(25.4 * sqrt(_LARGEST / (width * height)) * 10) / 10
        raise InvalidValue(
            f"a picture of {width:.5g} x {height:.5g} mm at {scale * 25.4:g} dpi has "
            f"{width * height * scale * scale:.3g} pixels; "
            f"at most {_LARGEST:,} are made: use a dpi up to {limit:g}, or show a smaller page",
            name="dpi",
            largest=limit,
        )
    return max(1, round(height * scale)), max(1, round(width * scale))
