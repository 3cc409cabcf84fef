"""Judging a drawing of a picture: how near its print comes to the tone that was asked for."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from io import BytesIO
from typing import Any

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing, as_drawing
from plotlib.errors import InvalidValue
from plotlib.files import PathLike, check_suffix, write_whole
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.printing import printed
from plotlib.images.reading import encoded
from plotlib.images.tone import Extent, Tone, as_tone, blurred
from plotlib.images.wanted import averaged

_CELLS = 8  # cells in the radius of the blur
_MOST = 100_000_000  # pixels of a picture


@dataclass(frozen=True)
class Judgement:
    """How near a print comes to a tone, seen from where details of the blur's size are lost.

    Attributes
    ----------
    rmse : float
        Root of the mean squared difference of print and picture, as relative luminance.
    correlation : float
        Of print and picture, -1 … 1; not a number where one of them is one single grey.
    bias : float
        Mean of print minus picture: above 0 the print is too light.
    worst : (float, float)
        Where in mm the difference is largest.
    worst_error : float
        Print minus picture there.
    length : float
        Length of all strokes in mm.
    lifts : int
        How many strokes there are.
    blur : float
        Radius of the blur in mm.
    drawing : Drawing
        What was judged.
    tone : Tone
        What it was to look like.
    model : InkModel
        How ink and tone were taken to hang together.
    """

    rmse: float
    correlation: float
    bias: float
    worst: tuple[float, float]
    worst_error: float
    length: float
    lifts: int
    blur: float
    drawing: Drawing = field(repr=False)
    tone: Tone = field(repr=False)
    model: InkModel = field(repr=False)

    def __str__(self) -> str:
        """The figures in one line."""
        x, y = self.worst
        return (
            f"tone at a blur of {self.blur:g} mm: off by {self.rmse:.3f} (root mean square), "
            f"correlation {self.correlation:.3f}, {self.bias:+.3f} in the mean, "
            f"{self.worst_error:+.2f} at ({x:.0f}, {y:.0f}); {self.length / 1000:.2f} m of ink in "
            f"{self.lifts:,} strokes"
        )

    def png(self, path: PathLike, *, dpi: float = 100) -> None:
        """Write picture, print and blurred print side by side as a PNG.

        Parameters
        ----------
        path : str or path
            Where to.
        dpi : float, default 100
            Pixels in an inch (25.4 mm).

        Raises
        ------
        InvalidValue
            If ``path`` ends in another suffix than ``.png``, or the picture would have more than
            100 million pixels.
        MissingPackage
            If pillow is not installed.
        NotWritten
            If the file cannot be written.

        Examples
        --------
        >>> from pathlib import Path
        >>> from tempfile import TemporaryDirectory
        >>> judged = judge(Drawing([[(0, 5), (10, 5)]]), Tone([[0.9]], (0, 0, 10, 10)))
        >>> with TemporaryDirectory() as folder:
        ...     judged.png(Path(folder, "judged.png"))
        ...     Path(folder, "judged.png").read_bytes()[1:4]
        b'PNG'
        """
        check_suffix(path, ".png", other="preview.png")
        image = checks.package("PIL.Image", install="pillow", use="a PNG picture")
        data = BytesIO()
        image.fromarray(self._pixels(checks.positive("dpi", dpi))).save(data, "PNG")
        write_whole(path, data.getvalue())

    def _pixels(self, dpi: float) -> Any:
        """Grey bytes, row 0 on top."""
        left, bottom, right, top = self.tone.extent
        columns = max(1, round((right - left) * dpi / 25.4))
        rows = max(1, round((top - bottom) * dpi / 25.4))
        remedy = f"take {math.sqrt(_MOST / (3.0 * rows * columns)) * dpi:.3g} at most"
        checks.affordable("dpi", dpi, 3.0 * rows * columns, _MOST, "pixels", remedy)
        sharp = printed(self.drawing, self.tone.extent, rows, columns)
        soft = blurred(sharp, ((right - left) / columns, (top - bottom) / rows), self.blur)
        seen = np.asarray(self.model.tone(np.clip(soft, 0.0, 1.0)))
        panels = [averaged(self.tone.values, rows, columns), 1.0 - sharp, seen]
        gap = np.ones((rows, max(1, columns // 40)))
        wide = np.hstack([panels[0], gap, panels[1], gap, panels[2]])[::-1]
        return np.rint(255 * encoded(np.clip(wide, 0.0, 1.0))).astype(np.uint8)


def judge(
    drawing: Drawing, tone: Tone, *, ink: InkModel | None = None, blur: float = 2.0
) -> Judgement:
    """Simulate the print of a drawing and compare it with the tone that was asked for.

    The strokes are laid with the widths of their pens, what is covered is blurred to what is seen
    from afar, the ink model tells how light that looks, and the picture, blurred alike, is what it
    is compared with. All pens count as the same ink.

    Parameters
    ----------
    drawing : Drawing
        The strokes; those outside the tone's rectangle do not count.
    tone : Tone
        The tone asked for.
    ink : InkModel, optional
        The ink model; without it the plain one (Murray and Davies).
    blur : float, default 2
        Standard deviation of the Gaussian in mm, > 0.

    Returns
    -------
    Judgement
        Root mean square and correlation, the worst place, ink and lifts; ``.png(path)`` writes
        picture and print side by side.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or ``blur`` is so small that more than 100 million cells would be
        compared.

    Examples
    --------
    >>> from plotlib.pen import Pen
    >>> rows = Drawing([[(0, y), (40, y)] for y in range(1, 40, 2)], pen=Pen("black", width=0.5))
    >>> grey = judge(rows, Tone([[0.75]], (0, 0, 40, 40)))
    >>> round(grey.rmse, 2), round(grey.bias, 2), grey.length
    (0.0, 0.0, 800.0)
    """
    strokes = as_drawing("drawing", drawing)
    asked = as_tone("tone", tone)
    model = as_ink("ink", ink)
    radius = checks.positive("blur", blur, unit="mm")
    rows, columns = _cells(asked.extent, radius)
    left, bottom, right, top = asked.extent
    cell = ((right - left) / columns, (top - bottom) / rows)
    share = blurred(printed(strokes, asked.extent, rows, columns), cell, radius)
    seen = np.asarray(model.tone(np.clip(share, 0.0, 1.0)))
    target = blurred(averaged(asked.values, rows, columns), cell, radius)
    error = seen - target
    row, column = np.unravel_index(int(np.argmax(np.abs(error))), error.shape)
    return Judgement(
        rmse=float(np.sqrt(np.mean(error**2))),
        correlation=_correlation(seen, target),
        bias=float(error.mean()),
        worst=(left + (float(column) + 0.5) * cell[0], bottom + (float(row) + 0.5) * cell[1]),
        worst_error=float(error[row, column]),
        length=strokes.length,
        lifts=len(strokes),
        blur=radius,
        drawing=strokes,
        tone=asked,
        model=model,
    )


def _cells(extent: Extent, radius: float) -> tuple[int, int]:
    left, bottom, right, top = extent
    width = right - left
    height = top - bottom
    step = radius / _CELLS
    count = (width / step + 1) * (height / step + 1)
    if not count <= _MOST:
        least = radius * math.sqrt(count / _MOST)
        raise InvalidValue(
            f"blur = {radius:g} makes {count:,.3g} cells, more than {_MOST:,}; take "
            f"{checks.two_digits(least)} mm or more",
            name="blur",
            value=radius,
        )
    return max(1, math.ceil(height / step)), max(1, math.ceil(width / step))


def _correlation(one: FloatArray, other: FloatArray) -> float:
    spread = one.std() * other.std()
    if not spread > 1e-12:
        return math.nan
    return float(((one - one.mean()) * (other - other.mean())).mean() / spread)
