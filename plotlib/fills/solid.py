"""Solid filling: an area covered with ink, few lifts, little ink upon ink."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays.fromshapely import to_lines
from plotlib.arrays.ragged import pack, without_repeats
from plotlib.checks import between, flag, one_of
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.contour import contour
from plotlib.fills.coverage import Coverage, coverage
from plotlib.fills.hatch import hatch
from plotlib.fills.ring_walk import walked
from plotlib.fills.rings import nested
from plotlib.pen import Pen, as_pen
from plotlib.regions import as_region, centre_lines, inset, outset
from plotlib.regions.offsets import only_areas

_ENOUGH = 0.0025  # bare share at which mending ends
_ROUNDS = 2
_LIFT = 15.0  # mm of ink that take about as long as a lift
_METHODS = ("best", "contour", "hatch")
_THIN = ("omit", "centre")


@dataclass(frozen=True)
class SolidFill:
    """A solid filling and what was measured of it.

    Attributes
    ----------
    drawing : Drawing
        The strokes.
    cover : Coverage
        Of the part of the area that the pen can reach.
    unreached : float
        Share of the whole area that a round pen cannot ink without crossing the edge: corners
        sharper than the pen, parts thinner.
    thin : int
        How many parts are thinner than the pen.
    method : str
        ``"contour"``, or ``"hatch"`` and its angle.
    """

    drawing: Drawing
    cover: Coverage
    unreached: float
    thin: int
    method: str


def solid(
    region: RegionLike,
    *,
    pen: Pen | None = None,
    overlap: float = 0.2,
    method: str = "best",
    thin: str = "omit",
    mended: bool = True,
) -> Drawing:
    """Cover an area completely: the strokes of `measured_solid`.

    Examples
    --------
    >>> from shapely import box
    >>> len(solid(box(0, 0, 10, 6)))
    2
    """
    return measured_solid(
        region, pen=pen, overlap=overlap, method=method, thin=thin, mended=mended
    ).drawing


def measured_solid(
    region: RegionLike,
    *,
    pen: Pen | None = None,
    overlap: float = 0.2,
    method: str = "best",
    thin: str = "omit",
    mended: bool = True,
) -> SolidFill:
    """Cover an area completely with a pen, with few lifts and little ink upon ink, and measure the
    cover.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    pen : Pen, optional
        Its width decides; the default pen without it. Ink stays inside the area.
    overlap : float, default 0.2
        Share of the pen's width by which neighbouring strokes overlap, 0 to 0.9; common practice is
        0.1 to 0.2.
    method : {"best", "contour", "hatch"}
        Rings that follow the edge; rows along or across the area within one ring; or whichever
        measures best.
    thin : {"omit", "centre"}
        Parts thinner than the pen are left bare, or drawn along their middle, where the ink crosses
        the edge.
    mended : bool, default True
        Whether what stays bare between the strokes is inked with short strokes along its middle.

    Returns
    -------
    SolidFill
        The drawing, the measured cover, and what the pen cannot reach.

    Raises
    ------
    InvalidValue
        For an overlap out of range.
    UnknownName
        For another method or way with thin parts.

    Examples
    --------
    >>> from shapely import box
    >>> fill = measured_solid(box(0, 0, 10, 6), pen=Pen("broad", width=1))
    >>> fill.cover.covered > 0.995, len(fill.drawing)
    (True, 2)
    """
    way = one_of("method", method, _METHODS)
    narrow = one_of("thin", thin, _THIN)
    mend = flag("mended", mended)
    ink = as_pen(pen)
    spacing = (1.0 - between("overlap", overlap, 0.0, 0.9)) * ink.width
    area = as_region(region)
    tracks = inset(area, ink.width / 2)
    reach = shapely.intersection(outset(tracks, ink.width / 2), area)
    slivers = _slivers(area, reach, ink.width)
    made = [
        _measured(name, drawing, tracks, reach, ink, mend)
        for name, drawing in _candidates(tracks, way, spacing, ink)
    ]
    name, drawing, cover = min(made, key=lambda item: _price(item[1], item[2]))
    if narrow == "centre" and slivers:
        drawing = drawing + centre_lines(
            MultiPolygon(slivers), step=ink.width / 8, branch=ink.width, pen=ink
        )
    unreached = 1.0 - reach.area / area.area if area.area else 0.0
    return SolidFill(drawing, cover, unreached, len(slivers), name)


def _slivers(area: Any, reach: Any, width: float) -> list[Polygon]:
    """What the pen cannot reach and is longer than wide: not the corners."""
    rest = shapely.get_parts(shapely.difference(area, reach))
    least = 0.5 * width * width
    return [
        part
        for part in rest
        if isinstance(part, Polygon) and (part.area > least or shapely.disjoint(part, reach))
    ]


def _candidates(
    tracks: Polygon | MultiPolygon, method: str, spacing: float, pen: Pen
) -> list[tuple[str, Drawing]]:
    """Fillings to choose from; ``tracks`` is where the pen's centre may be."""
    made = []
    if method != "hatch":
        roots = nested(tracks, spacing, None, thin=2 * (pen.width - spacing))
        made.append(
            (
                "contour",
                Drawing.from_arrays(*without_repeats(*pack(walked(roots, spacing))), pen=pen),
            )
        )
    if method != "contour":
        first = contour(tracks, spacing=spacing, rings=1, joined=False, inset=False, pen=pen)
        inner = inset(tracks, spacing)
        along = _direction(tracks)
        for angle in (along, along + 90.0):
            rows = hatch(
                inner,
                spacing=spacing,
                angle=angle,
                joined=True,
                inset=False,
                origin=_on_edge(inner, angle, spacing),
                pen=pen,
            )
            made.append((f"hatch {angle % 180:.0f}°", first + rows))
    return made


def _direction(area: Polygon | MultiPolygon) -> float:
    """The angle in degrees of the longer side of the smallest box around an area."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(area))
    if len(corners) < 4:
        return 0.0
    sides = np.diff(corners[:3], axis=0)
    long = sides[int(np.argmax(np.hypot(sides[:, 0], sides[:, 1])))]
    return float(np.degrees(np.arctan2(long[1], long[0]))) % 180.0


def _on_edge(area: Polygon | MultiPolygon, angle: float, spacing: float) -> tuple[float, float]:
    """An origin that puts the outermost row on the edge of the area."""
    turn = np.radians(angle)
    across = np.array([-np.sin(turn), np.cos(turn)])
    if area.is_empty:
        return 0.0, 0.0
    low = float((shapely.get_coordinates(area) @ across).min())
    x, y = across * (low + 1e-6 * spacing - spacing / 2)
    return float(x), float(y)


def _measured(
    name: str, drawing: Drawing, tracks: Any, reach: Any, pen: Pen, mended: bool
) -> tuple[str, Drawing, Coverage]:
    if mended and len(drawing):
        for _ in range(_ROUNDS):
            drawing = drawing + _mending(drawing, tracks, reach, pen)
    return name, drawing, coverage(drawing, only_areas(reach))


def _mending(drawing: Drawing, tracks: Any, reach: Any, pen: Pen) -> Drawing:
    """Short strokes over the largest bare places, until hardly any is left."""
    swept = shapely.union_all(
        shapely.buffer(to_lines(drawing.points, drawing.offsets), pen.width / 2)
    )
    bare = shapely.get_parts(shapely.difference(reach, swept))
    bare = bare[shapely.get_type_id(bare) == shapely.GeometryType.POLYGON]
    size = shapely.area(bare)
    order = np.argsort(-size, kind="stable")
    rest = size.sum() - np.cumsum(size[order])
    chosen = (
        bare[order[: int(np.searchsorted(-rest, -_ENOUGH * reach.area)) + 1]]
        if size.sum() > _ENOUGH * reach.area
        else []
    )
    lines = [
        line
        for part in chosen
        for line in centre_lines(part, step=pen.width / 8, branch=pen.width / 2)
    ]
    return Drawing(lines, pen=pen).simplified(pen.width / 50).clipped(tracks)


def _price(drawing: Drawing, cover: Coverage) -> tuple[int, float]:
    """What a filling costs: bare paper first, then ink and lifts."""
    return int(cover.bare > 0.004), drawing.length + _LIFT * len(drawing)
