"""A picture of the paper with the pens' true widths and colours, as PNG."""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from math import floor, sqrt
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from plotlib.arrays.ragged import take
from plotlib.checks import package, positive
from plotlib.colours import PAPER
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.files import PathLike, check_suffix, write_whole
from plotlib.planning.plot import Plot
from plotlib.preview.ground import Ground
from plotlib.preview.ink import Layer, lay
from plotlib.preview.light import encoded, light_of
from plotlib.preview.marks import Marks, Scene, scene
from plotlib.progress import Progress, asked
from plotlib.sheet import Sheet

if TYPE_CHECKING:
    from PIL.Image import Image

_LARGEST = 400_000_000  # pixels
_BAND = 1 << 19  # pixels worked on at a time, 80 to 250 bytes each
_COMPRESSION = 3  # of 9: twice as fast as the usual 6, and within 2 % of its size on line work
_WORKERS = min(4, os.cpu_count() or 1)  # bands at a time; the kernels need no interpreter
_THINNEST = 1.0  # pixels, a mark


def png(
    plot_or_drawing: Plot | Drawing,
    path: PathLike,
    *,
    dpi: float = 150,
    paper: str = PAPER,
    sheet: Sheet | None = None,
    page: RegionLike | None = None,
    travel: bool = False,
    lifts: bool = False,
    by_order: bool = False,
    margin: bool = False,
    bed: bool = False,
    keep_outs: bool = False,
    ruler: bool = False,
    progress: Progress = None,
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
    lifts : bool, default False
        Show where the pen goes down, by green dots, and up, by red rings.
    by_order : bool, default False
        Colour the strokes by their order instead of their pen: the first blue, the last orange.
    margin : bool, default False
        Outline what lies inside the sheet's margin.
    bed : bool, default False
        Show the machine's whole bed, with the sheet in its place.
    keep_outs : bool, default False
        Outline and hatch the machine's keep-outs.
    ruler : bool, default False
        Add a strip of 8 mm with millimetres along the left and the lower edge: of the sheet where
        one is shown, else of the bed, or of a Drawing.
    progress : bool or function, optional
        None shows the progress of work above two seconds as :mod:`plotlib.progress` does, True
        always, False never; a function is told the share done.

    Raises
    ------
    InvalidValue
        If ``path`` ends in another suffix than ``.png``, a colour cannot be read, sheet and page
        are both given, a Drawing is to show a bed or keep-outs, there is no sheet whose margin
        could be shown, or the picture has more than 400 million pixels; the message then gives the
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
    picture = image(
        plot_or_drawing,
        dpi=dpi,
        paper=paper,
        sheet=sheet,
        page=page,
        travel=travel,
        lifts=lifts,
        by_order=by_order,
        margin=margin,
        bed=bed,
        keep_outs=keep_outs,
        ruler=ruler,
        progress=progress,
    )
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
    lifts: bool = False,
    by_order: bool = False,
    margin: bool = False,
    bed: bool = False,
    keep_outs: bool = False,
    ruler: bool = False,
    progress: Progress = None,
) -> Image:
    """A picture of the sheet with the ink on it, as a value; a notebook shows it.

    Each pass of a pen takes light away from the paper, as much as the pen's ``opacity`` says: what
    lies twice is darker, and a highlighter does not cover the ink below it
    (:mod:`plotlib.preview.ink`). Light is mixed in linear light, and lines thinner than a pixel
    take away as much wherever they lie.

    Parameters
    ----------
    plot_or_drawing, dpi, paper, sheet, page
        As for :func:`png`.
    travel, lifts, by_order, margin, bed, keep_outs, ruler, progress
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
    array = pixels(
        plot_or_drawing,
        dpi=dpi,
        paper=paper,
        sheet=sheet,
        page=page,
        travel=travel,
        lifts=lifts,
        by_order=by_order,
        margin=margin,
        bed=bed,
        keep_outs=keep_outs,
        ruler=ruler,
        progress=progress,
    )
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
    progress: Progress = None,
    **marks: bool,
) -> NDArray[np.uint8]:
    """The picture of :func:`image` as an array (rows, columns, 3) of sRGB bytes."""
    shown = scene(plot_or_drawing, sheet=sheet, page=page, marks=Marks(**marks))
    scale = positive("dpi", dpi) / 25.4
    result = np.empty((*_shape(shown, scale), 3), np.uint8)
    ground = light_of("paper", paper)
    layers = list(_layers(shown, scale))
    corner = (shown.page[0], shown.page[3])
    grounds = [
        Ground.of(area, corner, scale, ground if colour is None else light_of("", colour))
        for area, colour in shown.grounds
    ]

    def ink(top: int) -> None:
        band = result[top : top + step]
        light = np.broadcast_to(ground, band.shape).astype(np.float32)
        for area in grounds:
            area.lay(light, top)
        for layer in layers:
            lay(light, ground, layer, top)
        band[...] = encoded(light)

    step = max(1, _BAND // result.shape[1])
    tops = range(0, len(result), step)
    with asked("inking the picture", progress) as work, ThreadPoolExecutor(_WORKERS) as pool:
        bands = [pool.submit(ink, top) for top in tops]
        try:
            for number, band in enumerate(bands):
                band.result()
                work.done((number + 1) / len(bands))
        finally:
            pool.shutdown(cancel_futures=True)  # after Ctrl-C only the bands that were begun
    return result


def _layers(shown: Scene, scale: float) -> Iterator[Layer]:
    """Pen after pen, in pixels."""
    corner = np.array([shown.page[0], shown.page[3]])
    for drawing, is_mark in shown.layers:
        points = (drawing.points - corner) * (scale, -scale)
        for number, pen in enumerate(drawing.pens):
            rows, offsets = take(drawing.offsets, np.flatnonzero(drawing.pen_index == number))
            width = pen.width * scale
            if is_mark:
                width = max(width, _THINNEST)
            colour = light_of("colour", pen.colour)
            yield Layer(points[rows], offsets, width, colour, pen.opacity, covers=is_mark)


def _shape(shown: Scene, scale: float) -> tuple[int, int]:
    left, bottom, right, top = shown.page
    width = right - left
    height = top - bottom
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
