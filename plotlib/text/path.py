"""Text along a curve."""

from __future__ import annotations

from typing import Unpack

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.ragged import meet, offsets_of, stroke_of
from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, OutsideEnvelope
from plotlib.pen import Pen
from plotlib.text.setting.layout import Layout, laid_out
from plotlib.text.setting.strokes import placed
from plotlib.text.setting.style import ALIGNMENTS, Options, Style, style_of

_BOTH = ("left", "right")


def along(
    text: str,
    curve: Drawing | ArrayLike,
    *,
    height: float = 5.0,
    side: str = "left",
    align: str = "left",
    start: float = 0.0,
    offset: float = 0.0,
    pen: Pen | None = None,
    **options: Unpack[Options],
) -> Drawing:
    """Letter one line of text along a curve, each character turned to it.

    A character stands with the middle of its room on the curve; the way along the curve from one to
    the next is what the line of text has on a straight base line, so the text keeps its length.

    Parameters
    ----------
    text : str
        One line.
    curve : Drawing of one stroke, or array-like (n, 2)
        What the base line follows, in mm. On a closed stroke the text may run over the seam.
    height : float, default 5
        Height of the capitals in mm.
    side : {"left", "right"}
        On which side of the curve the letters stand; on the right the text runs against the curve's
        direction, so that it reads upright.
    align : {"left", "centre", "right", "justified"}
        Where on the curve the text stands as it reads; justified spreads the characters over the
        whole curve.
    start : float, default 0
        Length in mm by which the text is moved along the curve as it reads.
    offset : float, default 0
        Distance in mm of the base line from the curve, towards the letters.
    pen : Pen, optional
        The pen; without it the default pen.
    **options
        ``face``, ``slant``, ``width``, ``tracking``, ``word_space``, ``missing`` as ``lettering``
        takes them.

    Returns
    -------
    Drawing
        Strokes in reading order.

    Raises
    ------
    InvalidValue, UnknownName
        For a curve that is not one stroke with a length, a text of several lines, or what
        ``lettering`` refuses.
    OutsideEnvelope
        When the text is longer than the curve, by ``excess`` mm.

    Examples
    --------
    >>> quarter = [(30 * np.cos(t), 30 * np.sin(t)) for t in np.linspace(np.pi, np.pi / 2, 60)]
    >>> len(along("Skerrow", quarter, height=4, align="centre"))
    11
    """
    style = style_of(height, **options)
    checks.one_of("side", side, _BOTH)
    checks.one_of("align", align, ALIGNMENTS)
    path = _one_stroke(curve)
    path = path[::-1] if side == "right" else path
    layout = laid_out(text, style)
    if len(layout.starts) > 1:
        raise InvalidValue(f"text along a curve is one line, got {len(layout.starts)}", name="text")
    away = checks.finite("offset", offset, unit="mm")
    pens = _pens(layout, style, path, align, checks.finite("start", start, unit="mm"), text)
    return Drawing.from_arrays(*_turned(layout, style, path, pens, away), pen=pen)


def _one_stroke(curve: Drawing | ArrayLike) -> FloatArray:
    if isinstance(curve, Drawing):
        if len(curve) != 1:
            raise InvalidValue(
                f"text runs along one stroke, this drawing has {len(curve)}; choose one, as in "
                f"drawing[0]",
                name="curve",
            )
        curve = curve[0]
    path = checks.points("curve", curve, least=2)
    path = np.asarray(
        path[np.concatenate([[True], (path[1:] != path[:-1]).any(axis=1)])], np.float64
    )
    if len(path) < 2:
        raise InvalidValue(
            "text runs along a curve with a length, this one is a single point", name="curve"
        )
    return path


def _rooms(layout: Layout, style: Style) -> FloatArray:
    """Room in mm that each slot takes without tracking."""
    advances = np.array([glyph.advance for glyph in layout.glyphs], np.float64)
    return advances[layout.index] * style.scale[0]


def _pens(
    layout: Layout, style: Style, path: FloatArray, align: str, start: float, text: str
) -> FloatArray:
    """Way along the curve to the pen position of each slot."""
    whole = float(np.hypot(*np.diff(path, axis=0).T).sum())
    spare = whole - float(layout.advances[0])
    begin = start + {"left": 0.0, "centre": spare / 2, "right": spare, "justified": 0.0}[align]
    closed = meet(path[0], path[-1])
    over = -spare
    if not closed:  # it may run over either end
        beyond = 0.0 if align == "justified" else begin - spare
        over = max(-spare, -begin, beyond)
    if len(layout.index) and over > 1e-9 * whole:
        raise OutsideEnvelope(
            f"the text {text[:40]!r} takes {layout.advances[0]:.2f} mm and runs over the curve of "
            f"{whole:.2f} mm by {over:.2f} mm; "
            "change start, letter it smaller, lower width or tracking, or take a longer curve",
            stroke=0,
            side="end",
            excess=over,
            count=1,
        )
    gaps = len(layout.index) if closed else len(layout.index) - 1
    stretch = spare / gaps if align == "justified" and gaps > 0 else 0.0
    return np.asarray(begin + layout.pen + stretch * np.arange(len(layout.index)))


def _turned(
    layout: Layout, style: Style, path: FloatArray, pens: FloatArray, offset: float
) -> tuple[FloatArray, IntArray]:
    points, offsets, slot = placed(layout.glyphs, layout.index)
    if not len(points):
        return points, offsets_of(np.zeros(0, np.int64))
    across, up = style.scale
    rooms = _rooms(layout, style)
    anchor, direction = _frames(path, pens, rooms)
    owner = slot[stroke_of(offsets)]
    lefts = np.array([glyph.left for glyph in layout.glyphs])[layout.index]
    x = (points[:, 0] - lefts[owner]) * across - rooms[owner] / 2 + points[:, 1] * (up * style.lean)
    y = points[:, 1] * up + offset
    c, s = direction[owner].T
    return anchor[owner] + np.column_stack([x * c - y * s, x * s + y * c]), offsets


def _frames(path: FloatArray, pens: FloatArray, rooms: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The point of the curve under the middle of each slot, and the direction there: the chord
    under the slot.
    """
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    half = np.maximum(rooms, 1e-6 * run[-1]) / 2
    middle = pens + rooms / 2
    chord = _along(path, run, middle + half) - _along(path, run, middle - half)
    length = np.hypot(*chord.T)
    flat = length <= 1e-9 * half
    chord[flat] = (1.0, 0.0)
    length[flat] = 1.0
    return _along(path, run, middle), chord / length[:, None]


def _along(path: FloatArray, run: FloatArray, distance: FloatArray) -> FloatArray:
    """Points at ``distance`` along the curve; round and round a closed one, straight on beyond the
    ends of an open one.
    """
    if meet(path[0], path[-1]):
        distance = np.mod(distance, run[-1])
    at = np.clip(np.searchsorted(run, distance, side="right") - 1, 0, len(path) - 2)
    share = (distance - run[at]) / (run[at + 1] - run[at])
    return np.asarray(path[at] + share[:, None] * (path[at + 1] - path[at]))
