"""Contour-parallel filling: rings that follow the edge inward."""

from __future__ import annotations

from plotlib.arrays.ragged import empty, pack, without_repeats
from plotlib.checks import flag, positive, whole
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.ring_walk import walked
from plotlib.fills.rings import Ring, nested
from plotlib.fills.room import room
from plotlib.pen import Pen


def contour(
    region: RegionLike,
    *,
    spacing: float,
    joined: bool = True,
    rings: int | None = None,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with rings that follow its edge, each a step further in.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    spacing : float
        Distance between neighbouring rings in mm, > 0.
    joined : bool, default True
        Whether neighbouring rings become one stroke: inward like a spiral, and with detours where
        the area branches. Steps stay inside. Else each ring is a closed stroke.
    rings : int, optional
        How many rings at the most, counted from the edge; all that there is room for without it.
    inset : bool or float, optional
        How far in mm the first ring is from the edge: True for half the pen's width, False for not
        at all (it runs on the edge). Without it half the pen's width when a pen is given.
    pen : Pen, optional
        The pen of the strokes.

    Returns
    -------
    Drawing
        Outside corners stay sharp, inside corners become round, their chords within 1 % of the
        spacing. To that accuracy the fill moves and turns with its area.

    Raises
    ------
    InvalidValue
        If ``spacing`` is not or so small that the rings are more than 20,000 deep.

    References
    ----------
    M. Held, *On the Computational Geometry of Pocket Machining*, Springer 1991 (paths parallel to
    the contour; from memory).

    Examples
    --------
    >>> from shapely import box
    >>> area = box(0, 0, 10, 10)
    >>> len(contour(area, spacing=1, joined=False)), len(contour(area, spacing=1))
    (5, 1)
    """
    step = positive("spacing", spacing, unit="mm")
    most = None if rings is None else whole("rings", rings, low=1)
    in_one = flag("joined", joined)
    area = room(region, pen, inset)
    roots = nested(area, step, most)
    if not roots:
        return Drawing.from_arrays(*empty(), pen=pen)
    strokes = (
        walked(roots, step) if in_one else [ring.points for root in roots for ring in _all(root)]
    )
    return Drawing.from_arrays(*without_repeats(*pack(strokes)), pen=pen)


def _all(root: Ring) -> list[Ring]:
    """The rings of a tree, each before those below it."""
    found = []
    waiting = [root]
    while waiting:
        ring = waiting.pop()
        found.append(ring)
        waiting.extend(reversed(ring.children))
    return found
