"""Parts of charts: a scale bar and a north arrow of our own design."""

from __future__ import annotations

from typing import Unpack

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen
from plotlib.text.letters import lettering
from plotlib.text.setting.style import Options

_LONGEST = 1e8  # mm
_MOST_ROWS = 1_000_000


def scale_bar(
    at: tuple[float, float],
    *,
    step: float,
    count: int,
    scale: float,
    unit: str = "",
    thickness: float = 1.6,
    height: float = 2.5,
    pen: Pen | None = None,
    **options: Unpack[Options],
) -> Drawing:
    """A bar of fields by turns inked and free, with its figures above.

    Parameters
    ----------
    at : (float, float)
        Lower left corner of the bar in mm.
    step : float
        What one field stands for, in the chart's unit, > 0.
    count : int
        How many fields.
    scale : float
        Millimetres on paper for one unit of the chart, > 0.
    unit : str
        Written after the last figure.
    thickness : float, default 1.6
        Of the bar in mm.
    height : float, default 2.5
        Height of the figures in mm.
    pen : Pen, optional
        Its width decides how close the lines of the inked fields lie.
    **options
        As ``lettering`` takes them.

    Returns
    -------
    Drawing
        The bar's middle line of ink is exactly ``step * count * scale`` mm long.

    Raises
    ------
    InvalidValue
        If the bar would be too long or too thick to ink, ``count`` is not from 1 to 1,000, or
        another argument is invalid.
    UnknownName
        If an option of ``lettering`` is another word.

    Examples
    --------
    >>> bar = scale_bar((10, 10), step=0.5, count=4, scale=20, unit="km")
    >>> bar[0][:, 0].tolist()
    [10.0, 50.0, 50.0, 10.0, 10.0]
    """
    x, y = checks.point("at", at)
    each = checks.positive("step", step)
    one = each * checks.positive("scale", scale)
    fields = checks.whole("count", count, low=1, high=1000)
    thick = checks.positive("thickness", thickness, unit="mm")
    tall = checks.positive("height", height, unit="mm")
    name = checks.string("unit", unit)
    spacing = 0.85 * as_pen(pen).width
    if one * fields > _LONGEST:
        raise InvalidValue(
            f"step * count * scale makes a bar of {one * fields:g} mm, more than {_LONGEST:g}; "
            f"scale is in mm of paper for one unit of the chart",
            name="scale",
            value=scale,
        )
    checks.affordable(
        "thickness",
        thick,
        thick / spacing * fields,
        _MOST_ROWS,
        "rows of ink",
        "take a thinner bar",
    )
    edges = x + one * np.arange(fields + 1)
    frame = np.array(
        [
            [edges[0], y],
            [edges[-1], y],
            [edges[-1], y + thick],
            [edges[0], y + thick],
            [edges[0], y],
        ]
    )
    walls = [np.array([[edge, y], [edge, y + thick]]) for edge in edges[1:-1]]
    inked = [_zigzag(edges[k], edges[k + 1], y, y + thick, spacing) for k in range(0, fields, 2)]
    parts = [Drawing([frame, *walls, *inked], pen=pen)]
    for k, edge in enumerate(edges):
        place = float(edge)
        foot = y + thick + 0.5 * tall
        figure = f"{k * each:.10g}"
        parts.append(
            lettering(figure, height=tall, at=(place, foot), align="centre", pen=pen, **options)
        )
    if name:
        end = (float(edges[-1]) + 0.9 * tall, y)
        parts.append(lettering(name, height=tall, at=end, pen=pen, **options))
    return Drawing(parts)


def _zigzag(left: float, right: float, bottom: float, top: float, spacing: float) -> FloatArray:
    """One stroke to and fro inside a field, rows no farther apart than ``spacing``."""
    rows = int(np.ceil((top - bottom) / spacing)) + 1
    levels = np.linspace(bottom, top, rows)[1:-1]
    if not len(levels):
        levels = np.array([(bottom + top) / 2])
    sides = np.where(np.arange(2 * len(levels)) % 4 % 3 == 0, left, right)
    return np.column_stack([sides, np.repeat(levels, 2)])


def north_arrow(
    at: tuple[float, float],
    *,
    size: float = 20.0,
    angle: float = 0.0,
    letter: str = "N",
    pen: Pen | None = None,
    **options: Unpack[Options],
) -> Drawing:
    """A slim north arrow: a needle inked on its right half, standing on an open ring, the letter
    above the point.

    Parameters
    ----------
    at : (float, float)
        The middle of the ring in mm.
    size : float, default 20
        From the ring's foot to the needle's point in mm, > 0.
    angle : float, default 0
        Degrees counter-clockwise by which north is turned from straight up; the letter stays
        upright to the needle.
    letter : str, default "N"
        Above the point; an empty text leaves it out.
    pen, **options
        As ``lettering`` takes them.

    Returns
    -------
    Drawing
        The ring, the needle and its ink, then the letter.

    Raises
    ------
    InvalidValue
        If ``size`` is not positive and finite, ``letter`` is no str, or another argument is
        invalid.
    UnknownName
        If an option of ``lettering`` is another word.

    Examples
    --------
    >>> north_arrow((0, 0), size=20, letter="").bounds[3]
    16.0
    """
    tall = checks.positive("size", size, unit="mm")
    checks.string("letter", letter)
    unit = tall / 20.0
    rows = 16.0 * unit / (0.85 * as_pen(pen).width)
    checks.affordable("size", tall, rows, _MOST_ROWS, "rows of ink", "take a broader pen")
    tip = 16.0 * unit
    wing = 3.2 * unit
    notch = 6.0 * unit
    needle = np.array(
        [[0.0, tip], [-wing, 0.0], [0.0, notch], [wing, 0.0], [0.0, tip], [0.0, notch]]
    )
    turn = np.radians(np.linspace(180.0 + 37.0, 360.0 - 37.0, 33))
    ring = 4.0 * unit * np.column_stack([np.cos(turn), np.sin(turn)])
    strokes = [needle, *_half_inked(tip, wing, notch, 0.85 * as_pen(pen).width), ring]
    drawing = Drawing(strokes, pen=pen)
    if letter:
        drawing += lettering(
            letter,
            height=3.5 * unit,
            at=(0.0, tip + 1.8 * unit),
            align="centre",
            pen=pen,
            **options,
        )
    return drawing.turned(checks.finite("angle", angle)).moved(*checks.point("at", at))


def _half_inked(tip: float, wing: float, notch: float, spacing: float) -> list[FloatArray]:
    """Lines from the needle's spine to its right edge, to and fro in one stroke."""
    levels = np.arange(tip - 2 * spacing, 0.0, -spacing)
    right = wing * (tip - levels) / tip
    left = np.where(levels >= notch, 0.0, wing * (notch - levels) / notch)
    levels, left, right = (values[right - left > spacing / 2] for values in (levels, left, right))
    if not len(levels):
        return []
    odd = np.arange(len(levels)) % 2 == 1
    pairs = np.stack([np.where(odd, right, left), np.where(odd, left, right)], axis=1)
    return [np.column_stack([pairs.ravel(), np.repeat(levels, 2)])]
