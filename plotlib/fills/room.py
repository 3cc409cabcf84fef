"""Where the centre line of a pen may run, so that its ink stays inside an area."""

from __future__ import annotations

from shapely import MultiPolygon, Polygon

from plotlib.checks import not_negative
from plotlib.drawing import RegionLike
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen
from plotlib.regions import as_region, inset


def room(region: RegionLike, pen: Pen | None, keep: bool | float | None) -> Polygon | MultiPolygon:
    """The area for centre lines: all of ``region``, or what lies at least so far from its edge.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area that the ink may not leave.
    pen : Pen or None
        The pen, when one is given.
    keep : bool, float or None
        The distance in mm; True for half the pen's width, False for none, None for half the pen's
        width when there is a pen.
    """
    if pen is not None:
        as_pen(pen)
    area = as_region(region)
    distance = margin(pen, keep)
    return inset(area, distance) if distance else area


def margin(pen: Pen | None, keep: bool | float | None) -> float:
    """The distance in mm that ``room`` keeps from the edge."""
    if keep is None:
        keep = pen is not None
    if keep is True:
        if pen is None:
            raise InvalidValue(
                "inset=True keeps half the pen's width from the edge, but no pen is given; give "
                "one, or a distance in mm"
            )
        return pen.width / 2
    return 0.0 if keep is False else not_negative("inset", keep, unit="mm")
