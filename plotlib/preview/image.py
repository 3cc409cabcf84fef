"""A picture of the paper with the pens' true widths and colours, as PNG."""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from math import floor, sqrt

import numpy as np
from numpy.typing import NDArray

from plotlib.arrays.ragged import take
from plotlib.arrays.raster import cover
from plotlib.checks import FloatArray, IntArray, flag, package, positive
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.files import PathLike, check_suffix, write_whole
from plotlib.planning.frame import Frame, frame
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet

_LARGEST = 400_000_000  # pixels
_BAND = 1 << 22  # pixels worked on at a time

# How far an ink that is darker than the paper lets what lies below shine through: 0 covers like
# paint, 1 multiplies like a filter.
_CLARITY = 0.5

_TRAVEL_COLOUR = "#d1495b"
_TRAVEL_WIDTH = 0.15
_TRAVEL_STRENGTH = 0.8


def png(
    plot_or_drawing: Plot | Drawing,
    path: PathLike,
    *,
    dpi: float = 150,
    paper: str = "#fcfaf5",
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
    image = package("PIL.Image", install="pillow", use="a PNG picture")
    array = pixels(plot_or_drawing, dpi=dpi, paper=paper, sheet=sheet, page=page, travel=travel)
    data = BytesIO()
    image.fromarray(array).save(data, "PNG", dpi=(float(dpi), float(dpi)))
    write_whole(path, data.getvalue())


def pixels(
    plot_or_drawing: Plot | Drawing,
    *,
    dpi: float = 150,
    paper: str = "#fcfaf5",
    sheet: Sheet | None = None,
    page: RegionLike | None = None,
    travel: bool = False,
) -> NDArray[np.uint8]:
    """The picture of ``png`` as an array (rows, columns, 3) of sRGB bytes.

    Colours are mixed in linear light (IEC 61966-2-1), so that half-covered pixels are as bright as
    half-covered paper. Inks darker than the paper are a little translucent, so that crossings of
    different pens show; lighter ones cover.
    """
    shown = frame(plot_or_drawing, sheet=sheet, page=page)
    scale = positive("dpi", dpi) / 25.4
    rows, columns = _shape(shown, scale)
    layers = list(
        _layers(shown, scale, _moves(plot_or_drawing) if flag("travel", travel) else None)
    )
    ground = _linear(_rgb("paper", paper))
    result = np.empty((rows, columns, 3), np.uint8)
    step = max(1, _BAND // columns)
    for top in range(0, rows, step):
        band = result[top : top + step]
        light = np.broadcast_to(ground, band.shape).astype(np.float32)
        for layer in layers:
            _lay(light, ground, layer, top)
        band[...] = _encoded(light)
    return result


class _Layer:
    """Strokes of one colour in pixels, y down."""

    def __init__(
        self,
        points: FloatArray,
        offsets: IntArray,
        *,
        width: float,
        colour: str,
        strength: float = 1.0,
    ) -> None:
        self.points = points
        self.offsets = offsets
        self.width = width
        self.strength = strength
        self.light = _linear(_rgb("colour", colour))


def _layers(shown: Frame, scale: float, moves: FloatArray | None) -> Iterator[_Layer]:
    """The pen-up moves, then pen after pen."""
    drawing = shown.drawing
    corner = np.array([shown.page[0], shown.page[3]])
    points = (drawing.points - corner) * (scale, -scale)
    if moves is not None:
        ends = ((moves - corner) * (scale, -scale)).reshape(-1, 2)
        width = max(_TRAVEL_WIDTH * scale, 1.0)
        yield _Layer(
            ends,
            np.arange(0, len(ends) + 1, 2),
            width=width,
            colour=_TRAVEL_COLOUR,
            strength=_TRAVEL_STRENGTH,
        )
    for number, pen in enumerate(drawing.pens):
        rows, offsets = take(drawing.offsets, np.flatnonzero(drawing.pen_index == number))
        yield _Layer(points[rows], offsets, width=pen.width * scale, colour=pen.colour)


def _moves(thing: Plot | Drawing) -> FloatArray:
    """The pen-up moves (n, 2, 2) in mm: those of a Plot, or straight from stroke to stroke of a
    Drawing.
    """
    if isinstance(thing, Plot):
        legs = np.stack([thing.legs.begin, thing.legs.end], axis=1)
        return np.asarray(thing.machine.to_mm(legs), np.float64)
    inner = thing.offsets[1:-1]
    return np.stack([thing.points[inner - 1], thing.points[inner]], axis=1)


def _lay(light: NDArray[np.float32], ground: NDArray[np.float32], layer: _Layer, top: int) -> None:
    """Lay ink on a band of paper that begins at row ``top``."""
    if not len(layer.points):
        return
    share = cover(
        layer.points - (0.0, top), layer.offsets, width=layer.width, shape=light.shape[:2]
    )
    inked = np.flatnonzero(share)
    weight = share.ravel()[inked, None] * np.float32(layer.strength)
    flat = light.reshape(-1, 3)
    below = flat[inked]
    clarity = np.float32(_CLARITY if layer.light.sum() < ground.sum() else 0.0)
    ink = layer.light * (1 - clarity + clarity * np.minimum(below / np.maximum(ground, 1e-3), 1))
    flat[inked] = below + weight * (ink - below)


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


def _rgb(name: str, colour: object) -> NDArray[np.uint8]:
    text = colour if isinstance(colour, str) else ""
    if re.fullmatch("#[0-9a-fA-F]{3}", text):
        text = "#" + "".join(digit * 2 for digit in text[1:])
    if not re.fullmatch("#[0-9a-fA-F]{6}", text):
        raise InvalidValue(
            f"{name} must be a colour written #rrggbb or #rgb, got {colour!r}",
            name=name,
            value=colour,
        )
    return np.frombuffer(bytes.fromhex(text[1:]), np.uint8)


def _linear(rgb: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Linear light, 0 to 1, of sRGB bytes (IEC 61966-2-1)."""
    value = rgb / 255.0
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4).astype(
        np.float32
    )


def _encoded(light: NDArray[np.float32]) -> NDArray[np.uint8]:
    """SRGB bytes of linear light, by a table."""
    table = np.linspace(0.0, 1.0, 1 << 16)
    curve = np.where(table <= 0.0031308, 12.92 * table, 1.055 * table ** (1 / 2.4) - 0.055)
    encoded: NDArray[np.uint8] = np.rint(curve * 255).astype(np.uint8)[
        np.rint(light * 65535).astype(np.uint16)
    ]
    return encoded
