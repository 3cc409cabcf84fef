"""Solid filling: an area covered with ink, few lifts, little ink upon ink."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays import overlay
from plotlib.arrays.pieces import Shapes
from plotlib.arrays.ragged import empty, pack, without_repeats
from plotlib.checks import affordable, between, flag, one_of
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.bare import widest_bare
from plotlib.fills.contour import contour
from plotlib.fills.coverage import Coverage, coverage
from plotlib.fills.hatch import hatch
from plotlib.fills.mending import mended as mending
from plotlib.fills.mending import owners
from plotlib.fills.ring_walk import walked
from plotlib.fills.rings import nested
from plotlib.pen import Pen, as_pen
from plotlib.progress import stage
from plotlib.regions import as_region, inset, medial_axis
from plotlib.regions.offsets import only_areas

_QUARTER = 32  # chords in a quarter of a round corner
# Pen widths of strokes one after the other; 3 million take about five seconds (the figure "growth"
# of tests/benchmarks/fills.py).
_MOST = 50e6
_WORTH = 0.02  # of the price of a filling: what another one must save to be looked at
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
    widest : float
        Diameter in mm of the widest disc without ink in that part, to a hundredth of the pen's
        width; 0 when there is none of that size.
    unreached : float
        Share of the whole area that a round pen cannot ink without crossing the edge: corners
        sharper than the pen, parts thinner.
    thin : int
        How many parts are thinner than the pen.
    method : str
        ``"contour"``, or ``"hatch"`` and its angle.

    Examples
    --------
    >>> from shapely import box
    >>> measured_solid(box(0, 0, 10, 6), method="contour").method
    'contour'
    """

    drawing: Drawing
    cover: Coverage
    widest: float
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
    """Cover an area completely: the strokes of `measured_solid`, not measured.

    Parameters
    ----------
    region, pen, overlap, method, thin, mended
        As for `measured_solid`.

    Returns
    -------
    Drawing
        The strokes.

    Raises
    ------
    InvalidValue
        If ``overlap`` is out of range, another argument is invalid, or the strokes would be too
        many to lay.
    UnknownName
        If ``method`` or ``thin`` is another word.

    Examples
    --------
    >>> from shapely import box
    >>> len(solid(box(0, 0, 10, 6)))
    1
    """
    way = _Way.checked(pen, overlap, method, thin, mended)
    return _filled(as_region(region), way)[0]


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

    Completely means: in what the pen can reach without leaving the area, no disc wider than a tenth
    of the pen's width stays without ink.

    More ink lies upon ink than ``overlap`` asks for, and some of it must. A limb of the width W is
    passed an even number of times by a stroke that comes in and goes out again; n strokes of a pen
    of the width w, overlapping by the share o, ink (n (1 - o) + o) w. What is beyond W, about
    nothing to 2 (1 - o) w, lies upon other ink (or a lift is spent). The strokes beside a gap of
    up to twice (0.75 o - 0.03) w lean over to close it, which leaves them a quarter of their
    overlap there.

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
        takes less ink and lifts.
    thin : {"omit", "centre"}
        Parts thinner than the pen, which it cannot ink without leaving the area: left bare, or
        drawn along their middle, where the ink crosses the edge.
    mended : bool, default True
        Whether what stays bare between the strokes is inked, by short detours of the strokes beside
        it. Without it the promise above does not hold.

    Returns
    -------
    SolidFill
        The drawing, the measured cover, and what the pen cannot reach.

    Raises
    ------
    InvalidValue
        If ``overlap`` is out of range, another argument is invalid, or the strokes would be too
        many to lay (50,000,000 pen widths one after the other).
    UnknownName
        If ``method`` or ``thin`` is another word.

    Examples
    --------
    >>> from shapely import box
    >>> fill = measured_solid(box(0, 0, 10, 6), pen=Pen("broad", width=1))
    >>> fill.widest <= 0.1, len(fill.drawing)
    (True, 1)
    """
    way = _Way.checked(pen, overlap, method, thin, mended)
    area = as_region(region)
    drawing, name, reach, slivers = _filled(area, way)
    whole = only_areas(shapely.GeometryCollection(list(reach)))
    unreached = 1.0 - min(whole.area / area.area, 1.0) if area.area else 0.0
    widest = 0.0
    if len(drawing) and len(reach):
        widest = widest_bare(drawing, owners(drawing, reach), reach, way.pen.width)
    return SolidFill(drawing, coverage(drawing, whole), widest, unreached, len(slivers), name)


@dataclass(frozen=True)
class _Way:
    """How to fill: the arguments of `solid`, checked."""

    pen: Pen
    spacing: float
    method: str
    thin: str
    mended: bool

    @classmethod
    def checked(cls, pen: Any, overlap: Any, method: Any, thin: Any, mended: Any) -> _Way:
        """The arguments, or InvalidValue or UnknownName."""
        ink = as_pen(pen)
        spacing = (1.0 - between("overlap", overlap, 0.0, 0.9)) * ink.width
        return cls(
            ink,
            spacing,
            one_of("method", method, _METHODS),
            one_of("thin", thin, _THIN),
            flag("mended", mended),
        )


@stage("filling an area")
def _filled(area: Polygon | MultiPolygon, way: _Way) -> tuple[Drawing, str, Shapes, list[Polygon]]:
    """The strokes and the method; for each part of the area what the pen can reach; and what it
    cannot reach and is no corner.
    """
    radius = way.pen.width / 2
    _foreseen(area, way)
    parts = shapely.get_parts(area)
    parts = parts[~shapely.is_empty(parts)]
    tracks = np.array([inset(part, radius) for part in parts], dtype=object)
    reach = overlay.intersection(shapely.buffer(tracks, radius, quad_segs=_QUARTER), parts)
    some = ~shapely.is_empty(tracks)
    drawing, name = _cheapest(tracks[some], reach[some], way)
    slivers = _slivers(parts, reach, way.pen.width)
    if way.thin == "centre" and slivers:
        drawing = drawing + medial_axis(
            MultiPolygon(slivers), step=way.pen.width / 8, branch=way.pen.width, pen=way.pen
        )
    return drawing, name, reach[some], slivers


def _foreseen(area: Polygon | MultiPolygon, way: _Way) -> None:
    """Refuse, before any work, what would take too many strokes."""
    affordable(
        "pen width",
        way.pen.width,
        area.area / way.spacing / way.pen.width,
        _MOST,
        "pen widths of strokes in this area",
        "use a wider pen, or hatch with a wider spacing",
    )


def _cheapest(tracks: Shapes, reach: Shapes, way: _Way) -> tuple[Drawing, str]:
    """The filling that takes least ink and lifts, and what it is called."""
    whole = only_areas(shapely.GeometryCollection(list(tracks)))
    best: tuple[str, Drawing] | None = None
    if way.method != "hatch":
        best = "contour", _ended(_rings(whole, way), tracks, reach, way)
    rows = []
    if best is None or (way.method == "best" and _is_dearer(best[1], _least_of_rows(whole, way))):
        rows = _rows(whole, way)
    for name, drawing in sorted(rows, key=lambda item: _price(item[1])):
        # Mending adds to the price: what is about as dear before it is no cheaper after it.
        if best is not None and not _is_dearer(best[1], _price(drawing)):
            break
        done = _ended(drawing, tracks, reach, way)
        if best is None or _price(done) < _price(best[1]):
            best = name, done
    if best is None:
        return Drawing.from_arrays(*empty(), pen=way.pen), way.method
    return best[1], best[0]


def _ended(drawing: Drawing, tracks: Shapes, reach: Shapes, way: _Way) -> Drawing:
    """A filling with its bare places inked, if that is asked for."""
    if not way.mended:
        return drawing
    return mending(drawing, tracks, reach, way.pen, overlap=way.pen.width - way.spacing)


def _is_dearer(drawing: Drawing, price: float) -> bool:
    """Whether a filling costs so much more than ``price`` that another one is worth a look."""
    return (1.0 - _WORTH) * _price(drawing) > price


def _price(drawing: Drawing) -> float:
    """What a filling costs, in mm of ink."""
    return drawing.length + _LIFT * len(drawing)


def _slivers(parts: Shapes, reach: Shapes, width: float) -> list[Polygon]:
    """What the pen cannot reach and is longer than wide: not the corners."""
    rest, part = shapely.get_parts(overlay.difference(parts, reach), return_index=True)
    least = 0.5 * width * width
    return [
        piece
        for piece, home in zip(rest, part, strict=True)
        if isinstance(piece, Polygon)
        and (piece.area > least or shapely.disjoint(piece, reach[home]))
    ]


def _rings(tracks: Polygon | MultiPolygon, way: _Way) -> Drawing:
    """Rings that follow the edge; ``tracks`` is where the middle of the pen may be."""
    roots = nested(tracks, way.spacing, None, thin=2 * (way.pen.width - way.spacing))
    return Drawing.from_arrays(*without_repeats(*pack(walked(roots, way.spacing))), pen=way.pen)


def _least_of_rows(tracks: Polygon | MultiPolygon, way: _Way) -> float:
    """About the price of rows within one ring."""
    inner = inset(tracks, way.spacing)
    lifts = len(shapely.get_rings(shapely.get_parts(tracks))) + len(shapely.get_parts(inner))
    along_edge = inner.length / 2  # from row to row, now on this side and now on the other
    return tracks.length + inner.area / way.spacing + along_edge + _LIFT * lifts


def _rows(tracks: Polygon | MultiPolygon, way: _Way) -> list[tuple[str, Drawing]]:
    """Rows along and across the area, within one ring."""
    first = contour(tracks, spacing=way.spacing, rings=1, joined=False, inset=False, pen=way.pen)
    inner = inset(tracks, way.spacing)
    along = _direction(tracks)
    made = []
    for angle in (along, along + 90.0):
        rows = hatch(
            inner,
            spacing=way.spacing,
            angle=angle,
            joined=True,
            inset=False,
            origin=_on_edge(inner, angle, way.spacing),
            pen=way.pen,
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
