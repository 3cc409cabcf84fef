"""Marks that show whether several pens lie where they belong."""

from __future__ import annotations

from collections.abc import Iterable

from plotlib.arrays.areas import as_area
from plotlib.checks import positive, several
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen
from plotlib.shapes.round import circle

_RING = 0.28  # of the size: the arms of the cross stand out of the ring, as printers have them


def registration_marks(
    region: RegionLike, *, pens: Pen | Iterable[Pen] | None = None, size: float = 6.0
) -> Drawing:
    """Crosses in rings in the corners of an area, the same with every pen.

    Where the pens lie right on each other the marks look like one; where one is off, its mark shows
    which way and how far.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; the marks touch the corners of its bounding box from inside. Of a sheet what lies
        inside its margin.
    pens : Pen or several, optional
        All pens of the drawing, as in ``drawing.pens``; the default pen without it.
    size : float, default 6
        Width and height of each mark in mm, > 0.

    Returns
    -------
    Drawing
        Four marks for each pen, three strokes each, pen after pen.

    Raises
    ------
    InvalidValue
        If ``region`` is no area or too small for the marks, ``size`` is not positive, or ``pens``
        holds something else than pens.

    Examples
    --------
    >>> from shapely import box
    >>> marks = registration_marks(box(0, 0, 100, 60), pens=[Pen("blue"), Pen("red")])
    >>> len(marks), marks.bounds
    (24, (0.0, 0.0, 100.0, 60.0))
    """
    area = as_area(region)
    wide = positive("size", size, unit="mm")
    chosen = _listed(pens)
    if area.is_empty:
        raise InvalidValue("cannot put registration marks into an empty area", name="region")
    left, bottom, right, top = area.bounds
    if min(right - left, top - bottom) < 2 * wide:
        raise InvalidValue(
            f"marks of {wide:g} mm do not fit into the corners of {right - left:g} x "
            f"{top - bottom:g} mm; the sides must be twice as long",
            name="size",
            value=size,
        )
    arm = wide / 2
    places = [(x, y) for x in (left + arm, right - arm) for y in (bottom + arm, top - arm)]
    marks = Drawing([_mark(x, y, arm) for x, y in places])
    return Drawing([marks.inked(pen) for pen in chosen])


def _mark(x: float, y: float, arm: float) -> Drawing:
    across = [(x - arm, y), (x + arm, y)]
    up = [(x, y - arm), (x, y + arm)]
    return Drawing([across, up]) + circle((x, y), 2 * arm * _RING)


def _listed(pens: Pen | Iterable[Pen] | None) -> list[Pen]:
    given = [pens] if pens is None or isinstance(pens, Pen) else several("pens", pens, "pens")
    if any(pen is None for pen in given) and len(given) > 1:
        raise InvalidValue(f"pens must be Pens, got {pens!r:.200}", name="pens", value=pens)
    return [as_pen(pen, "pens") for pen in given]
