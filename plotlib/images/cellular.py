"""Cells: the edges of Voronoi cells that are the smaller the darker it is."""

from __future__ import annotations

import math

import numpy as np

from plotlib import checks
from plotlib.checks import Seed
from plotlib.drawing import Drawing
from plotlib.fields.tessellation import voronoi
from plotlib.images.cutting_white import WHITE, without_white
from plotlib.images.feedback import drawn_in_rounds
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.stippling import stippled
from plotlib.images.tone import Tone, as_tone
from plotlib.images.wanted import Wanted, affordable, wanted
from plotlib.pen import Pen, as_pen

_MOST = 100_000  # cells
_TIMES = 1  # that it is drawn again, corrected by the print before
_PIXELS = 24  # in the smallest cell at least
_ROUNDS = 30
# Twice the distance from the middle of a regular hexagon of area 1 to its sides.
_ACROSS = math.sqrt(2 / math.sqrt(3))
_DARKEST = 0.95  # coverage of the smallest cells: those of black would be no cells


def cells(
    tone: Tone,
    *,
    rounds: int = _ROUNDS,
    ink: InkModel | None = None,
    seed: Seed = 0,
    pen: Pen | None = None,
) -> Drawing:
    """A mosaic of Voronoi cells, the smaller the darker; their edges are drawn, each once.

    Parameters
    ----------
    tone : Tone
        The picture; the edges stay in its rectangle.
    rounds : int, default 30
        Rounds of the relaxation that evens the cells out, 0 … 1,000.
    ink : InkModel, optional
        The ink model; without it the plain one.
    seed : int or numpy Generator, default 0
        Where the first cells lie.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        Edges, cut where the picture is white. The number of cells is that of hexagons whose rims
        cover what the tone asks for; it is drawn twice inside, corrected by the first print.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the tone needs more than 100,000 cells.

    References
    ----------
    A. Secord, *Weighted Voronoi Stippling*, NPAR 2002 (how the cells settle).

    Examples
    --------
    >>> from plotlib.pen import Pen
    >>> mosaic = cells(Tone([[0.6]], (0, 0, 20, 20)), pen=Pen("black", width=0.5))
    >>> bool(280 < mosaic.length < 400)
    True
    """
    picture = as_tone("tone", tone)
    turns = checks.whole("rounds", rounds, low=0, high=1_000)
    model = as_ink("ink", ink)
    random = checks.generator(seed)
    line = as_pen(pen)
    asked = wanted(picture, model, line.width / math.sqrt(_PIXELS) * 2)
    total = _cells(asked, line.width).values.sum() * asked.cell_x * asked.cell_y
    affordable(float(total), _MOST, "cells", picture)
    state = random.bit_generator.state

    def draw(coverage: Wanted) -> Drawing:
        random.bit_generator.state = state
        density = _cells(coverage, line.width)
        count = round(float(density.values.sum()) * asked.cell_x * asked.cell_y)
        places = stippled(density, min(count, 2 * _MOST), turns, random)
        if len(places) < 2:
            return Drawing(pen=line)
        edges = voronoi(places, picture.area, pen=line)
        return without_white(edges, asked, line.width / 2)

    return drawn_in_rounds(draw, asked, _TIMES, "cells")


def _cells(asked: Wanted, width: float) -> Wanted:
    """Cells on a mm²: hexagons of which half a pen's width along the rim leaves the square of
    (1 - width / across) bare.
    """
    share = np.minimum(asked.values, _DARKEST)
    across = width / np.maximum(1.0 - np.sqrt(1.0 - share), 1e-6)
    return asked.replaced(np.where(asked.values < WHITE, 0.0, (_ACROSS / across) ** 2))
