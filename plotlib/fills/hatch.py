"""Hatching: parallel straight strokes over an area, in one direction or several."""

from __future__ import annotations

from collections.abc import Iterable

from plotlib.checks import finite, flag, not_negative, point, positive
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.door import directions
from plotlib.fills.joining import joined as strung_together
from plotlib.fills.laying import without_crumbs
from plotlib.fills.room import room
from plotlib.fills.scanlines import Frame, crossings, strokes
from plotlib.pen import Pen

LONGEST_JOIN = 10.0  # spacings; a longer way along the edge takes about as long as a lift


def hatch(
    region: RegionLike,
    *,
    spacing: float,
    angle: float = 0.0,
    origin: tuple[float, float] = (0.0, 0.0),
    alternate: bool = True,
    joined: bool = False,
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with parallel straight strokes.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; closed strokes of a Drawing count by the even-odd rule.
    spacing : float
        Distance between neighbouring strokes in mm, > 0.
    angle : float, default 0.0
        Direction of the strokes in degrees, counter-clockwise from the x axis.
    origin : (float, float), default (0, 0)
        Where the rows are counted from. Neighbouring areas line up when they share it; move it with
        the area to move the fill.
    alternate : bool, default True
        Whether every second row runs backwards, so that the pen need not return.
    joined : bool, default False
        Whether ends of neighbouring strokes are joined along the edge of the area, where that takes
        no more than ten spacings: one long stroke in the place of many lifts. Joined strokes run
        there and back whatever ``alternate`` says.
    shortest : float, default 0
        Strokes shorter than this are left out, mm: what the edge cuts into crumbs.
    inset : bool or float, optional
        How far in mm the centre of the pen stays away from the edge: True for half the pen's width,
        False for not at all. Without it half the pen's width when a pen is given. Parts of the area
        thinner than that are left out.
    pen : Pen, optional
        The pen of the strokes.

    Returns
    -------
    Drawing
        One stroke for each chord of the area, on odd multiples of ``spacing / 2`` from the origin,
        so that neighbouring fills line up. An edge that lies on a row is drawn when the area is
        above it (in the frame of the strokes), so that two areas that share it do not both draw it.

    Raises
    ------
    InvalidValue
        If ``spacing`` is not positive and finite, or so small that it would make millions of
        strokes.

    Examples
    --------
    >>> from shapely import box
    >>> len(hatch(box(0, 0, 10, 10), spacing=2.5))
    4
    >>> len(hatch(box(0, 0, 10, 10), spacing=2.5, joined=True))
    1
    """
    frame = Frame(
        positive("spacing", spacing, unit="mm"), finite("angle", angle), point("origin", origin)
    )
    there_and_back = flag("alternate", alternate)
    least = not_negative("shortest", shortest, unit="mm")
    in_one = flag("joined", joined)
    found = crossings(room(region, pen, inset), frame)
    if in_one:
        made = strung_together(found, frame, LONGEST_JOIN * frame.spacing)
    else:
        made = strokes(found, frame, alternate=there_and_back)
    return without_crumbs(Drawing.from_arrays(*made, pen=pen), least)


def cross_hatch(
    region: RegionLike,
    *,
    spacing: float,
    angles: Iterable[float] = (45.0, -45.0),
    origin: tuple[float, float] = (0.0, 0.0),
    joined: bool = False,
    shortest: float = 0.0,
    inset: bool | float | None = None,
    pen: Pen | None = None,
) -> Drawing:
    """Fill an area with parallel strokes in several directions, one layer after the other.

    Parameters
    ----------
    angles : iterable of float, default (45, -45)
        The direction of each layer in degrees.
    region, spacing, origin, joined, shortest, inset, pen
        As for `hatch`.

    Returns
    -------
    Drawing
        The layers in the order of ``angles``.

    Raises
    ------
    InvalidValue
        If there are no angles, or as `hatch` does.

    Examples
    --------
    >>> from shapely import box
    >>> len(cross_hatch(box(0, 0, 10, 10), spacing=2.5, angles=(0, 90)))
    8
    """
    turns = directions("angles", angles)
    least = not_negative("shortest", shortest, unit="mm")
    area = room(region, pen, inset)
    layers = [
        hatch(
            area,
            spacing=spacing,
            angle=angle,
            origin=origin,
            joined=joined,
            shortest=least,
            inset=False,
            pen=pen,
        )
        for angle in turns
    ]
    return Drawing(layers)
