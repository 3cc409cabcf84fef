"""Scribbling: strokes that go where the picture lacks most ink, until it lacks none."""

from __future__ import annotations

import math

import numpy as np

from plotlib import checks
from plotlib.checks import Seed
from plotlib.drawing import Drawing
from plotlib.images.feedback import drawn_in_rounds
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.tone import Tone, as_tone
from plotlib.images.wanted import Wanted, affordable, wanted
from plotlib.pen import Pen, as_pen
from plotlib.progress import stage

_MOST = 4_000_000  # cells
_CELL = 1.6  # pen widths along a cell
_FINE = 6  # pixels along a cell
_STEP = 3.0  # pen widths of a step
_ROUNDS = 4
_ENOUGH = 0.03  # coverage that a cell may lack in the end
_BUDGET = 200  # strokes between two looks at the clock


def scribbled(
    tone: Tone,
    *,
    step: float | None = None,
    ink: InkModel | None = None,
    seed: Seed = 0,
    pen: Pen | None = None,
) -> Drawing:
    """Scribbling until dark: every stroke begins where the picture lacks most ink, and wanders on
    to where it lacks most near by.

    Parameters
    ----------
    tone : Tone
        The picture; the strokes stay in its rectangle.
    step : float, optional
        The length in mm of the straight pieces, at least the pen's width and at most 1,000 times
        that. When not given: 3 times.
    ink : InkModel, optional
        The ink model; without it the plain one.
    seed : int or numpy Generator, default 0
        The chances on the way.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        The strokes in the order in which they were found, darkest first. It is drawn five times
        inside, each time corrected by the print before.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or there would be more than 4 million cells of 1.6 pen widths.

    Examples
    --------
    >>> from plotlib.pen import Pen
    >>> grey = scribbled(Tone([[0.6]], (0, 0, 20, 20)), pen=Pen("black", width=0.5))
    >>> bool(250 < grey.length < 450)
    True
    """
    picture = as_tone("tone", tone)
    model = as_ink("ink", ink)
    random = checks.generator(seed)
    line = as_pen(pen)
    way = _STEP * line.width
    if step is not None:
        way = checks.positive("step", step, unit="mm")
        checks.between("step", way, line.width, 1_000 * line.width, unit="mm")
    left, bottom, right, top = picture.extent
    cell = _CELL * line.width
    affordable((right - left) * (top - bottom) / cell**2, _MOST, "cells", picture)
    asked = wanted(picture, model, cell)
    state = random.bit_generator.state

    def draw(coverage: Wanted) -> Drawing:
        random.bit_generator.state = state
        return _scribbled(coverage, line, way, random)

    return drawn_in_rounds(draw, asked, _ROUNDS, "scribbling")


def _scribbled(asked: Wanted, pen: Pen, step: float, random: np.random.Generator) -> Drawing:
    from plotlib.images.scribble_kernel import COUNT, STROKES, Paper, scribble

    rows, columns = asked.values.shape
    # cells are nearly square: their pixels count as squares of the mean side
    pixel = math.sqrt(asked.cell_x * asked.cell_y) / _FINE
    values = asked.values
    area = float(asked.values.sum()) * asked.cell_x * asked.cell_y
    most = int(4 * area / (pen.width * pen.width)) + 10_000
    paper = Paper(
        lack=np.where(values > 0, values, -10.0),
        inked=np.zeros((rows * _FINE, columns * _FINE), np.bool_),
        bare=np.full((rows, columns), _FINE * _FINE, np.int64),
        points=np.zeros((most, 2)),
        first=np.zeros(most, np.int64),
        counts=np.zeros(2, np.int64),
        fine=_FINE,
    )
    radius = pen.width / 2 / pixel
    with stage("scribbling") as work:
        lacking = max(float(asked.values.sum()), 1e-9)
        while not scribble(paper, random, radius, step / pixel, _ENOUGH, _BUDGET):
            left_over = float(np.clip(paper.lack, 0.0, None).sum())
            work.done(min(0.99, 1.0 - left_over / lacking))
    count = int(paper.counts[COUNT])
    first = paper.first[: int(paper.counts[STROKES])]
    scale = np.array([asked.cell_x, asked.cell_y]) / _FINE
    points = paper.points[:count] * scale + (asked.left, asked.bottom)
    left, bottom, right, top = asked.extent
    points = np.clip(points, (left, bottom), (right, top))
    return Drawing.from_arrays(points, np.append(first, count), pen=pen)
