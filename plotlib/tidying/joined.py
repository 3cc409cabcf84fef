"""Joining strokes whose ends meet, as a drawing of its own."""

from __future__ import annotations

import numpy as np

from plotlib.arrays import ragged
from plotlib.checks import IntArray, between
from plotlib.drawing import Drawing, as_drawing

_UNITS = 1e6  # a mm: points that are nearer than half of one are the same point
_FARTHEST = 1000.0  # mm; the squares of longer links would not fit into whole numbers


def joined(drawing: Drawing, tolerance: float = 0.0) -> Drawing:
    """Put strokes of one pen together whose ends meet, so that the pen is lifted as rarely as
    possible.

    Parameters
    ----------
    drawing : Drawing
        The strokes.
    tolerance : float, default 0
        Ends up to so many mm apart are linked by a straight piece of new ink where that saves a
        lift, the shortest first; 0 to 1000.

    Returns
    -------
    Drawing
        The same ink, and the links, in the fewest strokes; each stands where the first of its parts
        stood. Points are rounded to 1e-6 mm.

    Raises
    ------
    InvalidValue
        If ``drawing`` is no Drawing, or ``tolerance`` is out of its range.

    Notes
    -----
    By Euler's theorem a connected part with 2k nodes of odd degree takes max(1, k) strokes and no
    fewer. `plotlib.plan` does the same with what it is given, so this is for drawings that are to
    be looked at, cut or filled as whole lines first.

    References
    ----------
    L. Euler, *Solutio problematis ad geometriam situs pertinentis*, 1736; C. Hierholzer,
    Mathematische Annalen 6, 1873 (both from memory).

    Examples
    --------
    >>> corner = Drawing([[(0, 0), (5, 0)], [(5, 0.01), (5, 5)]])
    >>> len(joined(corner)), len(joined(corner, 0.02))
    (2, 1)
    """
    strokes = as_drawing("drawing", drawing)
    most = between("tolerance", tolerance, 0.0, _FARTHEST, unit="mm")
    if not len(strokes):
        return strokes
    parts = []
    sources = []
    for index, pen in enumerate(strokes.pens):
        mine = np.flatnonzero(strokes.pen_index == index)
        one, source = _joined_layer(strokes[mine], most)
        parts.append(one.inked(pen))
        sources.append(mine[source])
    order = np.argsort(np.concatenate(sources), kind="stable")
    return Drawing(parts)[order]


def _joined_layer(strokes: Drawing, tolerance: float) -> tuple[Drawing, IntArray]:
    """The strokes of one pen joined, and the first stroke (M,) in each."""
    from plotlib.planning.ordering.join import join

    units = np.rint(strokes.points * _UNITS).astype(np.int64)
    points, offsets = ragged.without_repeats(units, strokes.offsets)
    found = join(points, offsets, tolerance=tolerance * _UNITS)
    return Drawing.from_arrays(found.points / _UNITS, found.offsets), found.source
