"""Flow strokes: streamlines along a picture's edges, the closer the darker, and short strokes in
their gaps.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray, Seed
from plotlib.drawing import Drawing
from plotlib.fields.arrays import from_array, from_arrays
from plotlib.fields.evenly import streamlines
from plotlib.images.cutting_white import WHITE, kept, without_white
from plotlib.images.feedback import drawn_in_rounds
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.tangents import tangent_flow
from plotlib.images.tone import Tone, as_tone, blurred
from plotlib.images.wanted import Wanted, affordable, averaged, wanted
from plotlib.pen import Pen, as_pen

if TYPE_CHECKING:
    from plotlib.images.scribble_kernel import Paper

_MOST = 1_000_000  # square pen widths in the picture
_NODES = 60_000  # of the flow
_CLOSEST = 0.55  # pen widths between lines
_WIDEST = 8.0
_ROUNDS = 4
_TEST = 0.55  # as a share of the spacing: no lines come nearer
# by the table of tests/benchmarks/images.py, and so that ramps rise with several seeds:
_LIGHTER = 0.85  # share of the coverage given to long lines: what is too dark, nothing mends
_CELL = 2.0  # pen widths along a cell, in which ink is counted
_FINE = 10  # pixels along a cell
_STEP = 1.0  # pen widths of a step of the short strokes
_ENOUGH = 0.06  # coverage that a cell may lack before the next round
_BUDGET = 200  # strokes between two chances to stop
_SOFT = 0.4  # mm of the blur that spacings need to change smoothly


def flow_strokes(
    tone: Tone,
    *,
    ink: InkModel | None = None,
    seed: Seed = 0,
    pen: Pen | None = None,
) -> Drawing:
    """Strokes that follow the forms of a picture: evenly spaced streamlines of its edge tangent
    flow, the closer the darker, and between them short strokes along the same flow where the
    picture still lacks ink.

    Parameters
    ----------
    tone : Tone
        The picture; the strokes stay in its rectangle.
    ink : InkModel, optional
        The ink model; without it the plain one.
    seed : int or numpy Generator, default 0
        Where the first lines stand, which are broken in light tones, and where in a gap short
        strokes begin.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        Long lines in the order they were taken, 0.55 pen widths apart at least, then the short
        strokes, darkest place first, which may overlap them; iterative, as `fields.streamlines`. It
        is drawn five times inside, each time corrected by the print before.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or more than a million squares of the pen's width fit into the
        picture.

    References
    ----------
    H. Kang, S. Lee, C. K. Chui, *Coherent Line Drawing*, NPAR 2007, 43-50.

    Examples
    --------
    >>> from plotlib.pen import Pen
    >>> strokes = flow_strokes(Tone([[0.3, 0.8]], (0, 0, 20, 20)), pen=Pen("black", width=0.5))
    >>> bool(strokes.length > 200)
    True
    """
    picture = as_tone("tone", tone)
    model = as_ink("ink", ink)
    random = checks.generator(seed)
    line = as_pen(pen)
    left, bottom, right, top = picture.extent
    affordable((right - left) * (top - bottom) / line.width**2, _MOST, "squares", picture)
    asked = wanted(picture, model, line.width)
    if min(asked.values.shape) < 3:
        return Drawing(pen=line)
    flow = _flow(picture)
    field = from_arrays(flow[..., 0], flow[..., 1], picture.extent)
    state = random.bit_generator.state

    def draw(coverage: Wanted) -> Drawing:
        random.bit_generator.state = state
        cell = (asked.cell_x, asked.cell_y)
        share = np.maximum(blurred(_LIGHTER * coverage.values, cell, _SOFT), 1e-6)
        apart = np.clip(line.width / share, _CLOSEST * line.width, _WIDEST * line.width)
        spacing = from_array(apart, asked.extent).maximum(_CLOSEST * line.width)
        lines = streamlines(
            field,
            picture.area,
            spacing=spacing,
            test=_TEST,
            shortest=1.5 * line.width,
            seed=random,
            pen=line,
            progress=False,
        )
        limits = random.random(len(lines)) / _WIDEST
        lines = kept(lines, asked, np.maximum(limits, WHITE), line.width / 2)
        between = _between(lines, coverage, flow, line, random)
        return lines + without_white(between, asked, line.width / 2)

    return drawn_in_rounds(draw, asked, _ROUNDS, "strokes along the picture's edges")


def _flow(picture: Tone) -> FloatArray:
    """Unit tangents (rows, columns, 2) on nearly square nodes over the picture."""
    left, bottom, right, top = picture.extent
    step = math.sqrt((right - left) * (top - bottom) / _NODES)
    rows = max(3, round((top - bottom) / step))
    columns = max(3, round((right - left) / step))
    return np.stack(tangent_flow(averaged(picture.values, rows, columns)), axis=-1)


def _between(
    lines: Drawing, asked: Wanted, flow: FloatArray, pen: Pen, random: np.random.Generator
) -> Drawing:
    """Short strokes along the flow where lines leave the picture lacking ink."""
    from plotlib.images.scribble_kernel import COUNT, STROKES
    from plotlib.images.streak_kernel import lines as laid
    from plotlib.images.streak_kernel import streak

    paper = _paper(asked, pen)
    rows, columns = paper.lack.shape
    size = np.array(asked.size)
    # cells are nearly square: their pixels count as squares of the mean side
    pixels = np.array([columns, rows]) * _FINE / size
    scale = math.sqrt(pixels[0] * pixels[1])
    corner = np.array([asked.left, asked.bottom])
    radius = pen.width / 2 * scale
    laid(paper, (lines.points - corner) * pixels, lines.offsets, radius)
    step = _STEP * pen.width * scale
    while not streak(paper, flow, random, radius, step, _ENOUGH, _BUDGET):
        pass
    count = int(paper.counts[COUNT])
    first = paper.first[: int(paper.counts[STROKES])]
    points = np.clip(paper.points[:count] / pixels, 0.0, size) + corner
    return Drawing.from_arrays(points, np.append(first, count), pen=pen)


def _paper(asked: Wanted, pen: Pen) -> Paper:
    """Paper without ink, on cells of so many pen widths."""
    from plotlib.images.scribble_kernel import Paper

    wide, high = asked.size
    rows = math.ceil(high / (_CELL * pen.width))
    columns = math.ceil(wide / (_CELL * pen.width))
    values = averaged(asked.values, rows, columns)
    most = int(8 * float(values.mean()) * wide * high / pen.width**2) + 10_000
    return Paper(
        lack=np.where(values > 0, values, -10.0),
        inked=np.zeros((rows * _FINE, columns * _FINE), np.bool_),
        bare=np.full((rows, columns), _FINE * _FINE, np.int64),
        points=np.zeros((most, 2)),
        first=np.zeros(most, np.int64),
        counts=np.zeros(2, np.int64),
        fine=_FINE,
    )
