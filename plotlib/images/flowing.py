"""Flow strokes: streamlines along a picture's edges, the closer the darker."""

from __future__ import annotations

import math

import numpy as np

from plotlib import checks
from plotlib.checks import Seed
from plotlib.drawing import Drawing
from plotlib.fields.arrays import from_array, from_arrays
from plotlib.fields.evenly import streamlines
from plotlib.images.cutting_white import kept
from plotlib.images.feedback import drawn_in_rounds
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.tangents import tangent_flow
from plotlib.images.tone import Tone, as_tone, blurred
from plotlib.images.wanted import Wanted, affordable, averaged, wanted
from plotlib.pen import Pen, as_pen

_MOST = 1_000_000  # square pen widths in the picture
_NODES = 60_000  # of the flow
_CLOSEST = 0.55  # pen widths between lines
_WIDEST = 8.0
_ROUNDS = 3
_TEST = 0.55  # as a share of the spacing: no lines come nearer
_SOFT = 0.4  # mm of the blur that spacings need to change smoothly


def flow_strokes(
    tone: Tone,
    *,
    ink: InkModel | None = None,
    seed: Seed = 0,
    pen: Pen | None = None,
) -> Drawing:
    """Strokes that follow the forms of a picture: evenly spaced streamlines of its edge tangent
    flow, the closer the darker.

    Parameters
    ----------
    tone : Tone
        The picture; the strokes stay in its rectangle.
    ink : InkModel, optional
        The ink model; without it the plain one.
    seed : int or numpy Generator, default 0
        Where the first lines stand, and which are broken in light tones.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        Lines in the order they were taken; iterative, as `fields.streamlines`. It is drawn four
        times inside, each time corrected by the print before. Lines are given 0.55 pen widths at
        least, so the darkest tones stay a little light.

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
    step = math.sqrt((right - left) * (top - bottom) / _NODES)
    rows = max(3, round((top - bottom) / step))
    columns = max(3, round((right - left) / step))
    flow = from_arrays(*tangent_flow(averaged(picture.values, rows, columns)), picture.extent)
    state = random.bit_generator.state

    def draw(coverage: Wanted) -> Drawing:
        random.bit_generator.state = state
        cell = (asked.cell_x, asked.cell_y)
        share = np.maximum(blurred(coverage.values, cell, _SOFT), 1e-6)
        apart = np.clip(line.width / share, _CLOSEST * line.width, _WIDEST * line.width)
        spacing = from_array(apart, asked.extent).maximum(_CLOSEST * line.width)
        lines = streamlines(
            flow,
            picture.area,
            spacing=spacing,
            test=_TEST,
            shortest=1.5 * line.width,
            seed=random,
            pen=line,
            progress=False,
        )
        limits = random.random(len(lines)) / _WIDEST
        return kept(lines, asked, np.maximum(limits, 0.004), line.width / 2)

    return drawn_in_rounds(draw, asked, _ROUNDS, "strokes along the picture's edges")
