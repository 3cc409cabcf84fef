"""Curves that visit every place of an area: Hilbert, Peano, Gosper."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.curves.lsystem import path
from plotlib.curves.making import apart, laid, single
from plotlib.drawing import Drawing
from plotlib.pen import Pen

_HILBERT = {"L": "+RF-LFL-FR+", "R": "-LF+RFR+FL-"}
_PEANO = {"X": "XFYFX+F+YFXFY-F-XFYFX", "Y": "YFXFY-F-XFYFX+F+YFXFY"}
_GOSPER = {"l": "l+r++r-l--ll-r+", "r": "-l+rr++r+l--l-r"}


def hilbert(corner: ArrayLike, size: float, *, depth: int, pen: Pen | None = None) -> Drawing:
    """The Hilbert curve through a square.

    Parameters
    ----------
    corner : point
        The lower left corner of the square in mm, where the curve begins; it ends at the lower
        right one.
    size : float
        The side of the square in mm, > 0.
    depth : int
        From 1 to 10: it visits ``4 ** depth`` points, ``size / (2 ** depth - 1)`` apart.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke.

    Raises
    ------
    InvalidValue
        If ``size`` is not positive, ``depth`` is out of range, or ``corner`` is not a finite
        point.

    References
    ----------
    D. Hilbert, *Über die stetige Abbildung einer Linie auf ein Flächenstück*, Mathematische Annalen
    38, 459-460, 1891.

    Examples
    --------
    >>> curve = hilbert((0, 0), 100, depth=3)
    >>> round(curve.length, 9), curve.bounds
    (900.0, (0.0, 0.0, 100.0, 100.0))
    """
    order = checks.whole("depth", depth, low=1, high=10)
    return _in_square(corner, size, "L", _HILBERT, order, 2**order - 1, pen)


def peano(corner: ArrayLike, size: float, *, depth: int, pen: Pen | None = None) -> Drawing:
    """The Peano curve through a square.

    Parameters
    ----------
    corner : point
        The lower left corner of the square in mm, where the curve begins; it ends at the upper
        right one.
    size : float
        The side of the square in mm, > 0.
    depth : int
        From 1 to 6: it visits ``9 ** depth`` points, ``size / (3 ** depth - 1)`` apart.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke.

    Raises
    ------
    InvalidValue
        If ``size`` is not positive, ``depth`` is out of range, or ``corner`` is not a finite
        point.

    References
    ----------
    G. Peano, *Sur une courbe, qui remplit toute une aire plane*, Mathematische Annalen 36, 157-160,
    1890.

    Examples
    --------
    >>> len(peano((0, 0), 80, depth=2)[0])
    81
    """
    order = checks.whole("depth", depth, low=1, high=6)
    return _in_square(corner, size, "X", _PEANO, order, 3**order - 1, pen)


def gosper(start: ArrayLike, end: ArrayLike, *, depth: int, pen: Pen | None = None) -> Drawing:
    """The Gosper curve, which fills an island with a ragged coast; copies of the island fit
    together.

    Parameters
    ----------
    start, end : point
        Where it begins and ends, in mm.
    depth : int
        From 0 to 7: it has ``7 ** depth`` steps.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke; no point is visited twice.

    Raises
    ------
    InvalidValue
        If both points are equal or not finite, or ``depth`` is out of range.

    References
    ----------
    M. Gardner, *In which "monster" curves force redefinition of the word "curve"*, Scientific
    American 235, December 1976 (from memory).

    Examples
    --------
    >>> len(gosper((0, 0), (60, 0), depth=3)[0])
    344
    """
    first, last = apart(start, end)
    points = path("l", _GOSPER, checks.whole("depth", depth, low=0, high=7), angle=60.0, draw="lr")
    return single(laid(points, first, last), pen)


def _in_square(
    corner: ArrayLike,
    size: float,
    axiom: str,
    rules: Mapping[str, str],
    depth: int,
    cells: int,
    pen: Pen | None,
) -> Drawing:
    place = checks.point("corner", corner)
    side = checks.positive("size", size, unit="mm")
    grid = path(axiom, rules, depth, angle=90.0, draw="F")
    return single(np.where(grid == cells, np.add(place, side), grid * (side / cells) + place), pen)
