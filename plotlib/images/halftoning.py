"""The halftone screen: dots on a turned grid, the larger the darker."""

from __future__ import annotations

import functools
import math

import numpy as np

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.arrays.affine import cosine_sine
from plotlib.arrays.flatten import TOLERANCE, circle_chords, unit_circle
from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.images.feedback import drawn_in_rounds
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.printing import printed
from plotlib.images.sampling import at
from plotlib.images.tone import Tone, as_tone
from plotlib.images.wanted import Wanted, affordable, wanted
from plotlib.pen import Pen, as_pen

_MOST = 1_000_000  # dots
_APART = 3.0  # pen widths between dots
_ROUNDS = 2
_WHITE = 0.004  # coverage below which nothing is drawn
_SIZES = 48  # of dots that are told apart
_OVERLAP = 0.9  # pen widths between turns of a filled dot
_PATCH = 4  # dots a side of the patch that is measured
_GOLDEN = (math.sqrt(5.0) - 1) / 2


def halftone(
    tone: Tone,
    *,
    spacing: float | None = None,
    angle: float = 45.0,
    ink: InkModel | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """A halftone screen: filled dots on a square grid that is turned by an angle, the larger the
    darker, growing together where it is darkest.

    Parameters
    ----------
    tone : Tone
        The picture; the dots stay in its rectangle.
    spacing : float, optional
        The distance in mm between dots, at least the pen's width. When not given: 3 times that.
    angle : float, default 45
        Of the screen in degrees; give each pen its own.
    ink : InkModel, optional
        The ink model; without it the plain one.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        One stroke for each dot: a point, or a spiral with a rim. Tones lighter than dots of the
        pen's own width are met by leaving dots out. It is drawn three times inside, each time
        corrected by the print before.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or there are more than a million dots.

    References
    ----------
    R. Ulichney, *Digital Halftoning*, MIT Press 1987 (clustered dots; from memory).

    Examples
    --------
    >>> from plotlib.pen import Pen
    >>> screen = halftone(Tone([[0.7]], (0, 0, 30, 30)), pen=Pen("black", width=0.5))
    >>> bool(350 < len(screen) < 450)
    True
    """
    picture = as_tone("tone", tone)
    turn = checks.finite("angle", angle)
    line = as_pen(pen)
    apart = _APART * line.width
    if spacing is not None:
        apart = checks.positive("spacing", spacing, unit="mm")
        if not line.width <= apart <= 1e4 * line.width:
            raise InvalidValue(
                f"spacing must be from the pen's width, {line.width:g} mm, to 10,000 times it, got "
                f"{apart:g}",
                name="spacing",
                value=spacing,
            )
    model = as_ink("ink", ink)
    left, bottom, right, top = picture.extent
    affordable((right - left) * (top - bottom) / apart**2, _MOST, "dots", picture)
    asked = wanted(picture, model, min(line.width, apart / 3))
    places = _grid(asked, turn, apart)
    on_ink = at(asked, places) > _WHITE
    places = places[on_ink]
    sizes = _sizes(round(apart / line.width, 6))

    def draw(coverage: Wanted) -> Drawing:
        share = at(coverage, places)
        number = np.rint(np.interp(share, sizes, np.arange(_SIZES))).astype(np.int64)
        # lighter than the smallest dot: some of them, spread evenly over any neighbourhood
        lot = np.modf(_GOLDEN * np.arange(len(places)) + 0.5)[0]
        is_drawn = share > sizes[0] * np.where(number == 0, lot, 0.0)
        made = _dots(places[is_drawn], number[is_drawn], apart, line)
        return made.clipped(picture.area)

    return drawn_in_rounds(draw, asked, _ROUNDS, "a halftone screen")


def _grid(asked: Wanted, angle: float, apart: float) -> FloatArray:
    """Places in rows to and fro, within the rectangle."""
    left, bottom, right, top = asked.extent
    cosine, sine = cosine_sine(angle)
    reach = math.hypot(right - left, top - bottom) / 2
    steps = (np.arange(-math.ceil(reach / apart), math.ceil(reach / apart) + 1)) * apart
    u, v = np.meshgrid(steps, steps)
    u[1::2] = u[1::2, ::-1]
    x = (left + right) / 2 + u * cosine - v * sine
    y = (bottom + top) / 2 + u * sine + v * cosine
    inside = (x >= left) & (x <= right) & (y >= bottom) & (y <= top)
    return np.stack([x[inside], y[inside]], axis=1)


def _radius(number: int, apart: float, width: float) -> float:
    """Outer radius of a dot: from the pen's own to one that leaves no gap."""
    return width / 2 + number / (_SIZES - 1) * max(0.0, apart / math.sqrt(2) - width / 2)


@functools.lru_cache(maxsize=32)
def _sizes(apart: float) -> FloatArray:
    """Coverage of each size of dot, ``apart`` pen widths from each other: drawn and measured."""
    pen = Pen("pen", width=1.0)
    k = np.arange(-2, _PATCH + 2)
    x, y = np.meshgrid((k + 0.5) * apart, (k + 0.5) * apart)
    places = np.stack([x.ravel(), y.ravel()], axis=1)
    extent = (0.0, 0.0, _PATCH * apart, _PATCH * apart)
    cells = min(64, max(8, math.ceil(8 * apart)))
    found = []
    for number in range(_SIZES):
        dots = _dots(places, np.full(len(places), number), apart, pen)
        found.append(float(printed(dots, extent, cells, cells).mean()))
    return np.asarray(np.maximum.accumulate(found) + 1e-9 * np.arange(_SIZES))


def _dots(places: FloatArray, number: IntArray, apart: float, pen: Pen) -> Drawing:
    """Dots of numbered sizes, filled by a spiral with a rim."""
    shapes = [_dot(_radius(k, apart, pen.width), pen.width) for k in range(_SIZES)]
    counts = np.array([len(shape) for shape in shapes])[number]
    offsets = ragged.offsets_of(counts)
    first = ragged.offsets_of(np.array([len(shape) for shape in shapes]))
    which = np.repeat(first[number] - offsets[:-1], counts) + np.arange(int(offsets[-1]))
    points = np.concatenate(shapes)[which] + np.repeat(places, counts, axis=0)
    return Drawing.from_arrays(points, offsets, pen=pen)


def _dot(radius: float, width: float) -> FloatArray:
    """A stroke that fills a disc with a pen: a point, or a spiral to a rim."""
    rim = radius - width / 2
    if rim <= 0.02 * width:
        return np.zeros((1, 2))
    ring = rim * unit_circle(int(circle_chords(rim, TOLERANCE)))
    turns = max(1, math.ceil(rim / (_OVERLAP * width)))
    if rim <= width / 2:
        return np.asarray(ring)
    steps = turns * max(8, len(ring))
    angle = 2 * math.pi * turns * np.sqrt(np.arange(steps) / steps)
    spiral = (rim / (2 * math.pi * turns)) * angle[:, None]
    inward = np.stack([np.cos(angle), np.sin(angle)], axis=1) * spiral
    return np.asarray(np.concatenate([inward, ring]))
