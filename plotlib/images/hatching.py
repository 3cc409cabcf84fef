"""Tonal hatching: layers of parallel lines at several angles, switched on one after the other as
the picture gets darker.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from plotlib import checks
from plotlib.arrays.affine import cosine_sine
from plotlib.checks import FloatArray, IntArray, Seed
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.images.breaking import runs, thresholds
from plotlib.images.feedback import drawn_in_rounds
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.sampling import at
from plotlib.images.tone import Tone, as_tone
from plotlib.images.wanted import Wanted, affordable, wanted
from plotlib.pen import Pen, as_pen

ANGLES = (42.0, -24.0, 78.0, 12.0)
_MOST = 20_000_000  # samples along all lines
_APART = 1.5  # pen widths between lines: four layers then cover 0.988
_DASH = 12.0  # spacings between two places where a line may begin at another tone
_STEP = 0.5  # pen widths between samples
_ROUNDS = 2
_SOFT = 0.35  # of a layer's range over which the next one has begun already
_WHITE = 0.004  # coverage below which nothing is drawn
_TABLE = 512


def tonal_hatch(
    tone: Tone,
    *,
    spacing: float | None = None,
    angles: Sequence[float] = ANGLES,
    dash: float | None = None,
    ink: InkModel | None = None,
    seed: Seed = 0,
    pen: Pen | None = None,
) -> Drawing:
    """Tonal hatching: parallel lines in layers at several angles. In light tones few lines of the
    first layer are drawn; the darker it gets, the more of them, then the next layer across.

    Parameters
    ----------
    tone : Tone
        The picture; the lines stay in its rectangle.
    spacing : float, optional
        The distance in mm between the lines of a full layer, at least the pen's width. When not
        given: 1.5 times that width. Wide spacings leave the darkest tones too light.
    angles : sequence of float, default (42, -24, 78, 12)
        Of the layers in degrees, in the order in which they begin; 1 … 12 of them.
    dash : float, optional
        Mean length in mm of the pieces of a line that begin at tones of their own, > 0: the
        shorter, the softer the ends. When not given: 12 spacings.
    ink : InkModel, optional
        The ink model; without it the plain one.
    seed : int or numpy Generator, default 0
        Where lines end in the tones between.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        Layer after layer, row by row, every second row backwards. It is drawn three times inside,
        each time corrected by the tone of the print before.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the lines would be looked at in more than 20 million places.

    References
    ----------
    M. P. Salisbury, S. E. Anderson, R. Barzel, D. H. Salesin, *Interactive Pen-and-InkModel
    Illustration*, SIGGRAPH 1994 (strokes in priority order until the tone is met). Which rows come
    first follows J. G. van der Corput's sequence (1935).

    Examples
    --------
    >>> from plotlib.pen import Pen
    >>> grey = Tone([[0.75]], (0, 0, 40, 40))
    >>> rows = tonal_hatch(grey, angles=[0], pen=Pen("black", width=0.5))
    >>> bool(0.23 < rows.length * 0.5 / 1600 < 0.27)
    True
    """
    picture = as_tone("tone", tone)
    line = as_pen(pen)
    apart = _spacing(spacing, line.width)
    turns = _angles(angles)
    length = _DASH * apart if dash is None else checks.positive("dash", dash, unit="mm")
    model = as_ink("ink", ink)
    random = checks.generator(seed)
    step = _STEP * line.width
    asked = wanted(picture, model, step)
    width, height = asked.size
    affordable(width * height * len(turns) / (apart * step), _MOST, "samples of lines", picture)
    chances = random.spawn(len(turns))
    states = [chance.bit_generator.state for chance in chances]
    shares = _shares(line.width / apart, len(turns))

    def draw(coverage: Wanted) -> Drawing:
        layers = []
        for k, angle in enumerate(turns):
            chances[k].bit_generator.state = states[k]
            demand = coverage.replaced(np.interp(coverage.values, shares.coverage, shares.each[k]))
            rows = _rows(asked, angle, apart, step)
            layers.append(_layer(rows, demand, asked, length, line.width, chances[k]))
        return Drawing([stroke for layer in layers for stroke in layer], pen=line)

    return drawn_in_rounds(draw, asked, _ROUNDS, "hatching")


def _spacing(spacing: float | None, width: float) -> float:
    if spacing is None:
        return _APART * width
    apart = checks.positive("spacing", spacing, unit="mm")
    if apart < width:
        raise InvalidValue(
            f"spacing must be at least the pen's width, {width:g} mm, got {apart:g}",
            name="spacing",
            value=spacing,
        )
    return apart


def _angles(angles: Sequence[float]) -> list[float]:
    turns = [checks.finite("angles", angle) for angle in checks.several("angles", angles, "angles")]
    if not 1 <= len(turns) <= 12:
        raise InvalidValue(
            f"angles must be 1 to 12 directions in degrees, got {len(turns)}", name="angles"
        )
    return turns


class _Shares:
    """Which share of each layer's lines is drawn for a coverage: tables to look up."""

    def __init__(self, coverage: FloatArray, each: list[FloatArray]) -> None:
        self.coverage = coverage
        self.each = each


def _shares(full: float, layers: int) -> _Shares:
    """Layers begin one after the other, each before the last one is full; where they cross they
    cover once.
    """
    effort = np.linspace(0.0, 1.0 + (layers - 1) * (1.0 - _SOFT), _TABLE)
    each = [np.clip(effort - k * (1.0 - _SOFT), 0.0, 1.0) for k in range(layers)]
    bare = np.ones(_TABLE)
    for share in each:
        bare = bare * (1.0 - min(full, 1.0) * share)
    return _Shares(1.0 - bare, each)


class _Rows:
    """Samples along parallel chords of a rectangle: ``points`` (n, 2), the ``row`` (n,) of each,
    and for each row where it begins and ends (rows, 2, 2), to and fro.
    """

    def __init__(
        self, points: FloatArray, row: IntArray, number: IntArray, chords: FloatArray
    ) -> None:
        self.points = points
        self.row = row
        self.number = number
        self.chords = chords


def _rows(asked: Wanted, angle: float, apart: float, step: float) -> _Rows:
    """Chords at odd multiples of half the spacing from the middle of the rectangle."""
    number, chords = chords_of(asked, angle, apart)
    if not len(chords):
        return _Rows(np.empty((0, 2)), np.empty(0, np.int64), number, chords)
    lengths = np.hypot(*(chords[:, 1] - chords[:, 0]).T)
    counts = np.maximum(1, np.ceil(lengths / step - 1e-9)).astype(np.int64)
    row = np.repeat(np.arange(len(chords)), counts)
    first = np.cumsum(counts) - counts
    share = (np.arange(len(row)) - first[row] + 0.5) / counts[row]
    points = chords[row, 0] + share[:, None] * (chords[row, 1] - chords[row, 0])
    return _Rows(points, row, number, chords)


def chords_of(asked: Wanted, angle: float, apart: float) -> tuple[IntArray, FloatArray]:
    """Numbers (rows,) and ends (rows, 2, 2) of the parallel chords of a rectangle."""
    cosine, sine = cosine_sine(angle)
    left, bottom, right, top = asked.extent
    middle = np.array([(left + right) / 2, (bottom + top) / 2])
    half = np.array([(right - left) / 2, (top - bottom) / 2])
    reach = half[0] * abs(sine) + half[1] * abs(cosine)
    last = math.floor(reach / apart - 0.5 + 1e-9)
    number = np.arange(-last - 1, last + 1)
    across = (number + 0.5) * apart
    start = across[:, None] * np.array([-sine, cosine])
    low = np.full(len(number), -math.inf)
    high = np.full(len(number), math.inf)
    for axis, run in enumerate((cosine, sine)):
        if abs(run) < 1e-12:
            continue
        one = (-half[axis] - start[:, axis]) / run
        two = (half[axis] - start[:, axis]) / run
        low = np.maximum(low, np.minimum(one, two))
        high = np.minimum(high, np.maximum(one, two))
    keep = high > low
    direction = np.array([cosine, sine])
    ends = np.stack([low[keep], high[keep]], axis=1)[:, :, None] * direction
    chords = middle + start[keep][:, None, :] + ends
    back = np.arange(int(keep.sum())) % 2 == 1
    chords[back] = chords[back, ::-1]
    return number[keep], np.clip(chords, (left, bottom), (right, top))


def _layer(
    rows: _Rows,
    demand: Wanted,
    asked: Wanted,
    dash: float,
    width: float,
    random: np.random.Generator,
) -> list[FloatArray]:
    """The pieces of the rows that are drawn, each of two points."""
    if not len(rows.row):
        return []
    step = _STEP * width
    on_paper = at(asked, rows.points) > _WHITE
    limit = thresholds(rows.number[rows.row], step, dash, random)
    is_on = (at(demand, rows.points) > limit) & on_paper
    begins, ends = runs(is_on, rows.row, step, gap=2 * width, shortest=2 * width)
    row = rows.row[begins]
    counts = np.bincount(rows.row, minlength=len(rows.chords))
    first = np.cumsum(counts) - counts
    shares = np.stack([begins - first[row], ends - first[row]], axis=1) / counts[row][:, None]
    start = rows.chords[row, 0][:, None, :]
    way = (rows.chords[row, 1] - rows.chords[row, 0])[:, None, :]
    return list(start + shares[:, :, None] * way)
