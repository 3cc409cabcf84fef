"""Strokes cut where the picture is white."""

from __future__ import annotations

import numpy as np

from plotlib.arrays import ragged, reshape
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.images.breaking import runs
from plotlib.images.sampling import at
from plotlib.images.wanted import Wanted

WHITE = 0.004  # coverage below which nothing is drawn


def without_white(drawing: Drawing, asked: Wanted, step: float) -> Drawing:
    """The pieces of strokes that lie on tones, looked at every ``step`` mm or so."""
    return kept(drawing, asked, np.full(1, WHITE), step)


def kept(drawing: Drawing, asked: Wanted, limits: FloatArray, step: float) -> Drawing:
    """The pieces of strokes where more is asked for than the limit, one for each stroke or one."""
    if not len(drawing):
        return drawing
    fine = drawing.resampled(step)
    stroke = ragged.stroke_of(fine.offsets)
    limit = np.broadcast_to(limits, (len(fine),))[stroke]
    is_on = at(asked, fine.points) > limit
    begins, ends = runs(is_on, stroke, step, gap=2 * step, shortest=2 * step)
    counts = ends - begins
    offsets = ragged.offsets_of(counts)
    which = np.repeat(begins - offsets[:-1], counts) + np.arange(int(offsets[-1]))
    points, offsets = reshape.simplify(fine.points[which], offsets, 0.02)
    pen = drawing.pens[0] if drawing.pens else None
    return Drawing.from_arrays(points, offsets, pen=pen)
