"""A small inline SVG of strokes, for notebooks: as much as the eye sees at that size, and never
more than a page can bear.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import NamedTuple, TypeAlias

import numpy as np

from plotlib.arrays.pathtext import path_text
from plotlib.arrays.ragged import offsets_of, take
from plotlib.arrays.reshape import simplify
from plotlib.checks import FloatArray, IntArray
from plotlib.colours import PAPER

Chosen: TypeAlias = tuple[IntArray, IntArray, IntArray]

_LARGEST = 640.0  # px of the longer side
_MAGNIFIED = 8.0  # px for a mm at most, so that a small drawing stays small
_FINE = 10  # units in a px: the coordinates are whole tenths
_THINNEST = 3  # units; below it a line fades away on a screen
_BUDGET = 1_600_000  # bytes of path data
_POINTS = 1_500_000  # that are looked at closely
_MANY = 200_000  # points; of more, what moves by two tenths of a px is not missed
_PIECE = 200  # points; what is left out of long strokes is left out in such pieces
_CAPTION = 22  # px
_LETTER = 6.6  # px, of a letter of a caption in the mean

_STYLE = 'fill="none" stroke-linecap="round" stroke-linejoin="round"'


class Desk(NamedTuple):
    """What a paper lies on that does not fill its page: a colour, and the rings of the paper, each
    of shape (N, 2), in mm.
    """

    colour: str
    paper: tuple[FloatArray, ...]


def svg_picture(
    points: FloatArray,
    offsets: IntArray,
    pen_index: IntArray,
    widths: Sequence[float],
    colours: Sequence[str],
    *,
    page: tuple[float, float, float, float] | None = None,
    desk: Desk | None = None,
    caption: str = "",
) -> str:
    """An SVG element at most 640 px wide and high (and a caption), below 2 MB however many strokes
    there are.

    Points are put on tenths of a px, points that change nothing at that size go, and where that is
    not enough only one in so many strokes (of long ones: pieces of 200 points) is shown: a caption
    says so.

    Parameters
    ----------
    points : ndarray, shape (N, 2), float64
        Points in mm, y up.
    offsets : ndarray, shape (M + 1,), int64
        Where each stroke begins, and the end.
    pen_index : ndarray, shape (M,), int64
        The pen of each stroke.
    widths, colours : sequence of float, sequence of str
        Width in mm and ``#rrggbb`` of each pen.
    page : (float, float, float, float), optional
        Left, bottom, right, top in mm of the paper; without it the bounds of the ink.
    desk : Desk, optional
        What shows where the paper does not fill the page.
    caption : str, optional
        A line below the picture.

    Examples
    --------
    >>> line = np.array([[0.0, 0.0], [30.0, 20.0]])
    >>> print(svg_picture(line, np.array([0, 2]), np.array([0]), [0.5], ["#1d4e89"]))
    <svg xmlns="http://www.w3.org/2000/svg" width="244" height="164" viewBox="0 0 2440 1640">
    <rect width="2440" height="1640" fill="#fcfaf5"/>
    <path fill="none" stroke-linecap="round" stroke-linejoin="round"
    stroke="#1d4e89" stroke-width="40" d="M20 1620l2400-1600"/>
    </svg>
    """
    left, bottom, right, top = _ink(points, widths) if page is None else page
    scale = min(_LARGEST / max(right - left, top - bottom), _MAGNIFIED) * _FINE
    size = np.maximum(np.rint(np.array([right - left, top - bottom]) * scale / _FINE), 1).astype(
        np.int64
    )
    units: IntArray
    units, offsets = _snapped(points, offsets, (left, top), scale)
    units, offsets, pen_index, share = _one_in(units, offsets, pen_index, -(-len(units) // _POINTS))
    units, offsets, pen_index = _seen(
        units, offsets, pen_index, tolerance=1.0 if len(units) < _MANY else 2.0
    )
    while (
        wanted := int(_bytes(units, offsets).sum())
    ) > _BUDGET:  # once, unless the strokes chosen are longer than most
        units, offsets, pen_index, step = _one_in(units, offsets, pen_index, -(-wanted // _BUDGET))
        share *= step
    paths = [] if desk is None else [_desk(desk, size, (left, top), scale)]
    for number, (width, colour) in enumerate(zip(widths, colours, strict=True)):
        rows, mine = take(offsets, np.flatnonzero(pen_index == number))
        if len(rows):
            data = (
                path_text(units[rows], mine, decimals=0, relative=True)
                .decode("ascii")
                .replace("\n", "")
            )
            paths.append(
                f'<path {_STYLE} stroke="{colour}" '
                f'stroke-width="{max(_THINNEST, round(width * scale))}" d="{data}"/>\n'
            )
    told = [caption] if caption else []
    if share > 1:
        told.append(f"1 in {share} of its strokes is shown.")
    return _document(int(size[0]), int(size[1]), "".join(paths), told)


def _ink(points: FloatArray, widths: Sequence[float]) -> tuple[float, float, float, float]:
    half = max(widths, default=1.0) / 2
    if not len(points):
        return -half, -half, half, half
    x = points[:, 0]
    y = points[:, 1]
    return (
        float(x.min()) - half,
        float(y.min()) - half,
        float(x.max()) + half,
        float(y.max()) + half,
    )


def _desk(desk: Desk, size: IntArray, corner: tuple[float, float], scale: float) -> str:
    """The page in the colour of the desk, and the paper on it."""
    ends = np.cumsum([0, *(len(ring) for ring in desk.paper)])
    units, offsets = _snapped(np.concatenate(desk.paper), ends, corner, scale)
    data = path_text(units, offsets, decimals=0, relative=True).decode("ascii").replace("\n", "")
    wide, high = size * _FINE
    return (
        f'<rect width="{wide}" height="{high}" fill="{desk.colour}"/>\n'
        f'<path fill="{PAPER}" fill-rule="evenodd" d="{data}"/>\n'
    )


def _document(width: int, height: int, paths: str, told: list[str]) -> str:
    high = height + _CAPTION * len(told)
    wide = max(width, *(round(_LETTER * len(line)) for line in told)) if told else width
    box = f'width="{wide}" height="{high}" viewBox="0 0 {wide * _FINE} {high * _FINE}"'
    if wide > width and paths:  # in the middle above a longer caption
        paths = f'<g transform="translate({(wide - width) * _FINE // 2} 0)">\n{paths}</g>\n'
    paper = f'<rect width="{wide * _FINE}" height="{high * _FINE}" fill="{PAPER}"/>'
    font = 'font-family="sans-serif" font-size="130" fill="#555"'
    notes = ""
    for number, line in enumerate(told, start=1):
        place = f'x="60" y="{(height + number * _CAPTION - 7) * _FINE}"'
        notes += f"<text {place} {font}>{escape(line)}</text>\n"
    return f'<svg xmlns="http://www.w3.org/2000/svg" {box}>\n{paper}\n{paths}{notes}</svg>'


def _snapped(
    points: FloatArray, offsets: IntArray, corner: tuple[float, float], scale: float
) -> tuple[IntArray, IntArray]:
    """The points in whole units, y down, each once in a row."""
    across = np.rint((points[:, 0] - corner[0]) * scale).astype(np.int64)
    down = np.rint((corner[1] - points[:, 1]) * scale).astype(np.int64)
    keep = np.ones(len(across), np.bool_)
    keep[1:] = (across[1:] != across[:-1]) | (down[1:] != down[:-1])
    keep[offsets[:-1]] = True
    before = offsets_of(keep.astype(np.int64))
    return np.column_stack([across[keep], down[keep]]), before[offsets]


def _seen(units: IntArray, offsets: IntArray, pen_index: IntArray, *, tolerance: float) -> Chosen:
    """Without points that change nothing at this size, and without dots upon dots."""
    fewer, offsets = simplify(units.astype(np.float64), offsets, tolerance)
    units = np.rint(fewer).astype(np.int64)
    dots = np.flatnonzero(np.diff(offsets) == 1)
    if len(dots) < 2:
        return units, offsets, pen_index
    _, first = np.unique(_places(units[offsets[dots]], pen_index[dots]), return_index=True)
    keep = np.ones(len(pen_index), np.bool_)
    keep[dots] = False
    keep[dots[first]] = True
    rows, fresh = take(offsets, np.flatnonzero(keep))
    return units[rows], fresh, pen_index[keep]


def _places(units: IntArray, pen_index: IntArray) -> IntArray:
    """One number for each pen and place."""
    columns = np.column_stack([pen_index, units - units.min(axis=0)])
    wide: IntArray = columns.max(axis=0) + 1
    places: IntArray = (columns[:, 0] * wide[1] + columns[:, 1]) * wide[2] + columns[:, 2]
    return places


def _one_in(
    units: IntArray, offsets: IntArray, pen_index: IntArray, step: int
) -> tuple[IntArray, IntArray, IntArray, int]:
    """Every ``step``-th stroke, or piece of a long stroke, and the step."""
    if step <= 1:
        return units, offsets, pen_index, 1
    begin, counts, source = _pieces(offsets)
    chosen = slice(0, None, step)
    fresh = offsets_of(counts[chosen])
    rows = np.repeat(begin[chosen] - fresh[:-1], counts[chosen]) + np.arange(fresh[-1])
    return units[rows], fresh, pen_index[source[chosen]], step


def _pieces(offsets: IntArray) -> tuple[IntArray, IntArray, IntArray]:
    """Long strokes as pieces that share their ends: the first point and the number of points of
    each, and its stroke.
    """
    parts = np.maximum(-(-(np.diff(offsets) - 1) // (_PIECE - 1)), 1)
    source = np.repeat(np.arange(len(parts)), parts)
    begin = offsets[source] + (np.arange(len(source)) - offsets_of(parts)[:-1][source]) * (
        _PIECE - 1
    )
    return begin, np.minimum(begin + _PIECE, offsets[source + 1]) - begin, source


def _bytes(units: IntArray, offsets: IntArray) -> IntArray:
    """At least the bytes (M,) of each stroke's text: a step takes two signs and its digits, a
    stroke its first point besides.
    """
    if len(offsets) == 1:
        return np.zeros(0, np.int64)
    steps = np.zeros_like(units)
    steps[1:] = np.abs(np.diff(units, axis=0))
    digits = np.searchsorted(10 ** np.arange(1, 6), steps.ravel(), side="right")
    each: IntArray = digits.reshape(-1, 2).sum(axis=1) + 4
    each[offsets[:-1]] = 16
    each[offsets[:-1][np.diff(offsets) == 1]] = 22
    return np.add.reduceat(each, offsets[:-1])
