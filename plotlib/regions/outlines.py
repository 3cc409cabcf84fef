"""Outlines of areas as strokes: at a distance, true to size in spite of the pen's width; and the
area that a pen sweeps.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays.pieces import open_pieces
from plotlib.checks import finite, one_of, positive
from plotlib.drawing import Drawing, RegionLike, as_drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen
from plotlib.regions.door import as_region
from plotlib.regions.offsets import outset, united

_QUARTER = 32


def outline(
    region: RegionLike,
    *,
    distances: Iterable[float] = (0.0,),
    corners: str = "round",
    pen: Pen | None = None,
) -> Drawing:
    """The outline of an area, and copies of it further out or in.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    distances : iterable of float, default (0,)
        How far out each copy is, in mm; below zero further in. Copies that vanish are left out.
    corners : {"round", "sharp"}
        What outside corners of copies further out become.
    pen : Pen, optional
        The pen.

    Returns
    -------
    Drawing
        Closed strokes: the outer ring and then the holes of each part, copy after copy.

    Raises
    ------
    InvalidValue
        If ``region`` is no area, ``distances`` are no finite numbers, or ``pen`` is no Pen.
    UnknownName
        If ``corners`` is another word.

    Examples
    --------
    >>> from shapely import box
    >>> outline(box(0, 0, 10, 10), distances=(0, 1, -2)).lengths.round(1).tolist()
    [40.0, 46.3, 24.0]
    """
    area = as_region(region)
    steps = _numbers(distances)
    one_of("corners", corners, ("round", "sharp"))
    return Drawing(
        [
            part
            for step in steps
            for part in shapely.get_parts(outset(area, step, corners=corners))
            if not part.is_empty
        ],
        pen=pen,
    )


def _numbers(distances: Any) -> list[float]:
    if not isinstance(distances, Iterable) or isinstance(distances, (str, bytes)):
        raise InvalidValue(
            f"distances must be several numbers in mm, such as (0, -2), got {distances!r:.80}",
            name="distances",
            value=distances,
        )
    try:
        return [finite("distances", distance, unit="mm") for distance in distances]
    except TypeError as error:  # what says that it can be iterated over, and cannot
        raise InvalidValue(
            f"distances must be several numbers in mm, got {distances!r:.80}",
            name="distances",
            value=distances,
        ) from error


def compensated(region: RegionLike, *, pen: Pen | None = None, true: str = "outside") -> Drawing:
    """The outline of an area, moved by half the pen's width so that the ink's edge measures true.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area at its true size.
    pen : Pen, optional
        The pen; the default pen without it.
    true : {"outside", "inside"}
        Which edge of the inked line lies on the outline of the area: the outer one, for things
        measured over the ink (a box); or the inner one, for what is measured within the ink (a
        window).

    Returns
    -------
    Drawing
        Closed strokes. Corners stay sharp as far as a round pen can draw them.

    Raises
    ------
    InvalidValue
        If ``region`` is no area or ``pen`` is no Pen.
    UnknownName
        If ``true`` is another word.

    Examples
    --------
    >>> from shapely import box
    >>> compensated(box(0, 0, 10, 10), pen=Pen("broad", width=1)).bounds
    (0.5, 0.5, 9.5, 9.5)
    """
    ink = as_pen(pen)
    side = -1.0 if one_of("true", true, ("outside", "inside")) == "outside" else 1.0
    return outline(region, distances=(side * ink.width / 2,), corners="sharp", pen=ink)


def swept(drawing: Drawing, *, width: float | None = None) -> Polygon | MultiPolygon:
    """The area that the pens sweep along strokes, for fills of its own or as a silhouette.

    Parameters
    ----------
    drawing : Drawing
        The strokes; caps and joins are round, as a pen makes them.
    width : float, optional
        Of the strokes in mm, > 0; the width of each stroke's pen without it.

    Returns
    -------
    Polygon or MultiPolygon
        The union of the strokes with their width; round ends are polygons of 128 corners.

    Raises
    ------
    InvalidValue
        If ``drawing`` is no Drawing, or ``width`` is not positive and finite.

    References
    ----------
    J. Serra, *Image Analysis and Mathematical Morphology*, Academic Press 1982 (dilation by a disc;
    from memory).

    Examples
    --------
    >>> swept(Drawing([[(0, 0), (10, 0)]]), width=2).bounds
    (-1.0, -1.0, 11.0, 1.0)
    """
    strokes = as_drawing("drawing", drawing)
    if width is None:
        half = np.array([pen.width / 2 for pen in strokes.pens])[strokes.pen_index]
    else:
        half = np.full(len(strokes), positive("width", width, unit="mm") / 2)
    if not len(strokes):
        return Polygon()
    lines, stroke = open_pieces(strokes.points, strokes.offsets)
    return united(shapely.buffer(lines, half[stroke], quad_segs=_QUARTER))
