"""Leaving out what is too short to be worth a lift."""

from __future__ import annotations

import numpy as np

from plotlib.checks import flag, positive
from plotlib.drawing import Drawing, as_drawing


def without_specks(drawing: Drawing, length: float, *, keep_dots: bool = False) -> Drawing:
    """Leave out strokes that are shorter than a length.

    Parameters
    ----------
    drawing : Drawing
        The strokes.
    length : float
        In mm, > 0; strokes of this length and longer stay.
    keep_dots : bool, default False
        Whether strokes without any length stay, as in a drawing made of dots.

    Returns
    -------
    Drawing
        The other strokes, unchanged and in their order.

    Raises
    ------
    InvalidValue
        If ``drawing`` is no Drawing, or ``length`` is not positive and finite.

    Examples
    --------
    >>> drawing = Drawing([[(0, 0), (9, 0)], [(0, 5), (0.1, 5)], [(3, 3)]])
    >>> len(without_specks(drawing, 0.2)), len(without_specks(drawing, 0.2, keep_dots=True))
    (1, 2)
    """
    strokes = as_drawing("drawing", drawing)
    least = positive("length", length, unit="mm")
    dots = flag("keep_dots", keep_dots)
    lengths = strokes.lengths
    stays = lengths >= least
    if dots:
        stays |= lengths == 0.0
    return strokes[np.flatnonzero(stays)]
