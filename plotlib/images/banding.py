"""Tone bands: iso-lines that lie as close as the tone asks for."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.fields.arrays import from_array
from plotlib.fields.isolines import isolines
from plotlib.images.cutting_white import without_white
from plotlib.images.feedback import drawn_in_rounds
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.tone import Tone, as_tone
from plotlib.images.wanted import Wanted, affordable, wanted
from plotlib.pen import Pen, as_pen

_MOST = 4_000_000  # nodes
_STEP = 0.5  # pen widths between nodes
_ROUNDS = 2
_SWEEPS = 60
_FLAT = 0.002  # coverage below which a wave would have no slope
_SOLID = 0.98  # coverage beyond which lines would lie upon each other


def tone_bands(
    tone: Tone,
    *,
    levels: ArrayLike | None = None,
    ink: InkModel | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Bands between iso-lines, the narrower the darker: the lines run round the lightest place of
    the picture like the fronts of a wave that is slow in dark tones. Or, with ``levels``, the plain
    iso-lines of the tone.

    Parameters
    ----------
    tone : Tone
        The picture; the lines stay in its rectangle.
    levels : float or array-like of shape (n,), optional
        Relative luminances, one or many: their iso-lines are drawn instead, which show the edges of
        the tones and not how dark they are.
    ink : InkModel, optional
        The ink model; without it the plain one.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        Band after band. Without ``levels`` it is drawn three times inside, each time corrected by
        the print before.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the pen is so fine that there would be more than 4 million
        nodes.

    References
    ----------
    H. Zhao, *A Fast Sweeping Method for Eikonal Equations*, Mathematics of Computation 74, 2005,
    603-627.

    Examples
    --------
    >>> from plotlib.pen import Pen
    >>> grey = Tone([[0.75]], (0, 0, 40, 40))
    >>> bands = tone_bands(grey, pen=Pen("black", width=0.5))
    >>> bool(0.22 < bands.length * 0.5 / 1600 < 0.28)
    True
    """
    picture = as_tone("tone", tone)
    model = as_ink("ink", ink)
    line = as_pen(pen)
    step = _STEP * line.width
    left, bottom, right, top = picture.extent
    affordable((right - left) * (top - bottom) / step**2, _MOST, "nodes", picture)
    if levels is not None:
        heights = checks.numbers("levels", levels)
        made = isolines(picture, picture.area, levels=heights, step=max(step, 0.05))
        return made.inked(line)
    asked = wanted(picture, model, step)
    if min(asked.values.shape) < 2:
        return Drawing(pen=line)

    def draw(coverage: Wanted) -> Drawing:
        fronts = _times(np.clip(coverage.values, _FLAT, _SOLID) / line.width, asked)
        last = float(fronts.max())
        count = int(last)
        if count < 1 and last <= 0.5:
            return Drawing(pen=line)
        field = from_array(fronts, _middles(asked))
        with np.errstate(invalid="ignore", over="ignore"):  # the wave is flat where it begins
            rings = isolines(
                field,
                picture.area,
                levels=np.arange(0.5, last, 1.0),
                step=min(asked.cell_x, asked.cell_y),
            ).inked(line)
        return without_white(rings, asked, line.width / 2)

    return drawn_in_rounds(draw, asked, _ROUNDS, "bands")


def _middles(asked: Wanted) -> tuple[float, float, float, float]:
    left, bottom, right, top = asked.extent
    across = asked.cell_x / 2
    up = asked.cell_y / 2
    return left + across, bottom + up, right - across, top - up


def _times(slowness: FloatArray, asked: Wanted) -> FloatArray:
    """When a wave from the lightest place arrives, in lines of the pen."""
    from plotlib.images.eikonal_kernel import sweep
    from plotlib.images.tone import blurred

    soft = blurred(slowness, (asked.cell_x, asked.cell_y), 2.0)
    time = np.full(slowness.shape, np.inf)
    time.flat[int(np.argmin(soft))] = 0.0
    cell = float(np.sqrt(asked.cell_x * asked.cell_y))
    for _ in range(_SWEEPS):
        if sweep(time, slowness, cell) < 1e-3:
            break
    return time
