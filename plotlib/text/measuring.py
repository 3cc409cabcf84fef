"""Measuring a text before it is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Unpack

import numpy as np

from plotlib.arrays import affine
from plotlib.arrays.ragged import bounds
from plotlib.checks import FloatArray
from plotlib.text.letters import block, placed
from plotlib.text.setting.layout import Layout
from plotlib.text.setting.style import Options, Style, style_of

Point = tuple[float, float]


@dataclass(frozen=True)
class Measure:
    """What a text takes, in mm.

    Attributes
    ----------
    advance : float
        The longest line, from its first pen position to its last; never below 0, whatever the
        tracking.
    advances : tuple of float
        The advance of each line.
    height : float
        From the last base line to the cap height of the first line.
    ink : (left, bottom, right, top) or None
        Bounds of the ink where it will stand; None for a text without ink.
    baseline : (x, y)
        Where the first base line begins.
    baselines : tuple of (x, y)
        Where each begins.
    end : (x, y)
        The pen position after the last character: where a text that goes on would begin.
    lines : tuple of str
        What each line says.

    Examples
    --------
    >>> measure("one two", height=5, wrap=15).lines
    ('one', 'two')
    """

    advance: float
    advances: tuple[float, ...]
    height: float
    ink: tuple[float, float, float, float] | None
    baseline: Point
    baselines: tuple[Point, ...]
    end: Point
    lines: tuple[str, ...]


def measure(
    text: str,
    *,
    height: float = 5.0,
    at: Point = (0.0, 0.0),
    align: str = "left",
    anchor: str = "baseline",
    angle: float = 0.0,
    wrap: float | None = None,
    stretch: float = 0.0,
    **options: Unpack[Options],
) -> Measure:
    """What ``lettering`` with the same arguments will take.

    Parameters
    ----------
    text, height, at, align, anchor, angle, wrap, stretch, **options
        As ``lettering`` takes them.

    Returns
    -------
    Measure
        Advances, ink bounds and base lines in mm.

    Raises
    ------
    InvalidValue
        If a character is missing in the face, a word is longer than ``wrap``, or an option is
        invalid.
    UnknownName
        If the face, alignment or anchor is unknown.

    Examples
    --------
    >>> taken = measure("Ferry", height=5)
    >>> round(taken.advance, 3), taken.ink[1], taken.ink[3]
    (18.571, -1.6666666666666665, 5.0)
    """
    style = style_of(height, **options)
    layout, matrix = block(
        text, style, at=at, align=align, anchor=anchor, angle=angle, wrap=wrap, stretch=stretch
    )
    begins = _baselines(layout, style, matrix)
    last = len(begins) - 1
    end = (layout.starts[last] + layout.advances[last], -last * style.leading)
    return Measure(
        advance=float(layout.advances.max(initial=0.0)),
        advances=tuple(layout.advances.tolist()),
        height=style.height + last * style.leading,
        ink=bounds(placed(layout, style, matrix)[0]),
        baseline=begins[0],
        baselines=begins,
        end=_mapped(matrix, [end])[0],
        lines=layout.texts,
    )


def _baselines(layout: Layout, style: Style, matrix: FloatArray) -> tuple[Point, ...]:
    return _mapped(
        matrix, [(x, -number * style.leading) for number, x in enumerate(layout.starts.tolist())]
    )


def _mapped(matrix: FloatArray, points: list[Point]) -> tuple[Point, ...]:
    return tuple(
        (float(x), float(y)) for x, y in affine.apply(matrix, np.array(points, np.float64))
    )
