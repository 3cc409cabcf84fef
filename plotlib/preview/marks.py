"""What may be shown beside the ink: travel, lifts, order, margin, bed, keep-outs, a ruler.

Marks are drawings themselves, in the mm of what is shown, drawn with pens of their own.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import NamedTuple, TypeAlias

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays.ragged import take
from plotlib.checks import FloatArray, flag
from plotlib.colours import BED
from plotlib.drawing import Bounds, Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.planning.frame import frame
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet

TRAVEL = Pen("travel", width=0.15, colour="#d1495b", opacity=0.8)
DOWN = Pen("pen goes down", width=0.9, colour="#2e7d4f", opacity=1)
UP = Pen("pen goes up", width=0.2, colour="#b0392b", opacity=1)
EDGE = Pen("edge", width=0.2, colour="#8a7a60", opacity=0.7)
FORBIDDEN = Pen("keep-out", width=0.25, colour="#a03c28", opacity=0.8)
TICKS = Pen("ruler", width=0.12, colour="#4a4032", opacity=1)

STRIP = "#ece5d6"  # below a ruler
RULER = 8.0  # mm, its strip along the left and the lower edge
_LONG = 3.0  # mm, a tick with a number
_NUMBER = 6.0  # mm from the edge to the foot of a number
_RING = 0.7  # mm, radius of the ring where the pen goes up
_HATCH = 2.0  # mm between the strokes across a keep-out
_SHARES = 24  # colours that tell the order
_FIRST_TO_LAST = ("#25408f", "#7d3c98", "#c0395b", "#e07b1f")


Below: TypeAlias = "tuple[Polygon | MultiPolygon, str | None]"


@dataclass(frozen=True)
class Marks:
    """What is shown beside the ink; each is False unless asked for."""

    travel: bool = False
    lifts: bool = False
    by_order: bool = False
    margin: bool = False
    bed: bool = False
    keep_outs: bool = False
    ruler: bool = False

    def __post_init__(self) -> None:
        for field in fields(self):
            object.__setattr__(self, field.name, flag(field.name, getattr(self, field.name)))


@dataclass(frozen=True)
class Scene:
    """A picture in mm.

    Attributes
    ----------
    page : (float, float, float, float)
        Left, bottom, right and top of the picture.
    grounds : list of (area, colour)
        What is not paper, in the order in which it is laid; colour None is paper.
    layers : list of (Drawing, bool)
        What is drawn, in its order, and whether it is a mark, which covers what lies below.
    """

    page: Bounds
    grounds: list[Below]
    layers: list[tuple[Drawing, bool]]


def scene(
    thing: Plot | Drawing,
    *,
    sheet: Sheet | None = None,
    page: RegionLike | None = None,
    marks: Marks,
) -> Scene:
    """Put together what a picture shows."""
    shown = frame(thing, sheet=sheet, page=page)
    plot = thing if isinstance(thing, Plot) else None
    paper = _paper(thing, sheet)
    _check(plot, paper, marks)
    bounds = shown.page
    if plot is not None and marks.bed:
        bounds = _with_bed(bounds, plot)
    grounds: list[Below] = []
    if paper is not None and (plot is not None or not paper.is_plain):
        grounds = [(shapely.box(*bounds), BED), (paper.whole, None)]
    above = _beside(shown.drawing, plot, paper, marks)
    below = _travel(thing) if marks.travel else Drawing()
    if marks.ruler:
        below = below.clipped(shapely.box(*bounds))
        origin = (0.0, 0.0) if paper is None or marks.bed else paper.whole.bounds[:2]
        above = above + _ruler(bounds, origin)
        left, bottom, right, top = bounds
        wider = (left - RULER, bottom - RULER, right, top)
        grounds = [(shapely.box(*bounds), None), *grounds, *_strips(bounds)]
        bounds = wider
    inks = [(shown.drawing, False)]
    if marks.by_order:
        inks = [(part, True) for part in _by_order(shown.drawing)]
    return Scene(bounds, grounds, [(below, True), *inks, (above, True)])


def _check(plot: Plot | None, paper: object, marks: Marks) -> None:
    """Refuse marks of what is not known."""
    for name in ("bed", "keep_outs"):
        if getattr(marks, name) and plot is None:
            raise InvalidValue(
                f"{name}=True needs a Plot: a Drawing knows no machine; plan it first", name=name
            )
    if marks.margin and paper is None:
        raise InvalidValue(
            "margin=True needs a sheet: plan the drawing with one, or give sheet=...",
            name="margin",
        )


def _beside(drawing: Drawing, plot: Plot | None, paper: _Paper | None, marks: Marks) -> Drawing:
    """The marks that lie over the ink."""
    above = Drawing()
    if plot is not None and marks.bed:
        above = above + _outline(plot.machine.bed, EDGE)
    if paper is not None and marks.margin:
        above = above + _outline(paper.inner, EDGE)
    if plot is not None and marks.keep_outs:
        above = above + _keep_outs(plot)
    if marks.lifts:
        above = above + _lifts(drawing)
    return above


def _strips(bounds: Bounds) -> list[Below]:
    """What lies below a ruler."""
    left, bottom, right, top = bounds
    return [
        (shapely.box(left - RULER, bottom - RULER, left, top), STRIP),
        (shapely.box(left, bottom - RULER, right, bottom), STRIP),
    ]


class _Paper(NamedTuple):
    """The sheet, and what lies inside its margin, in the mm that are shown."""

    whole: Polygon | MultiPolygon
    inner: Polygon | MultiPolygon
    is_plain: bool


def _paper(thing: Plot | Drawing, sheet: Sheet | None) -> _Paper | None:
    if isinstance(thing, Plot):
        own = sheet if sheet is not None else thing.sheet
        return None if own is None else _Paper(own.on_bed, own.area_on_bed, own.is_plain)
    return None if sheet is None else _Paper(sheet.paper, sheet.area, sheet.outline is None)


def _with_bed(page: Bounds, plot: Plot) -> Bounds:
    """The bounds of the page and the whole bed."""
    left, bottom, right, top = page
    wide = EDGE.width / 2
    machine = plot.machine
    return (
        min(left, -wide),
        min(bottom, -wide),
        max(right, machine.width + wide),
        max(top, machine.height + wide),
    )


def _outline(area: Polygon | MultiPolygon, pen: Pen) -> Drawing:
    rings = shapely.get_rings(shapely.get_parts(area))
    return Drawing([shapely.get_coordinates(ring) for ring in rings], pen=pen)


def _keep_outs(plot: Plot) -> Drawing:
    """Each keep-out outlined, and hatched."""
    from plotlib.fills import hatch

    drawing = Drawing()
    for item in plot.machine.keep_outs:
        rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(item.area)]
        drawing = drawing + Drawing(rings, pen=FORBIDDEN)
        drawing = drawing + hatch(item.area, spacing=_HATCH, angle=45, pen=FORBIDDEN)
    return drawing


def _lifts(drawing: Drawing) -> Drawing:
    """A dot where the pen goes down, a ring where it goes up."""
    offsets = drawing.offsets
    downs = drawing.points[offsets[:-1]]
    ups = drawing.points[offsets[1:] - 1]
    turns = np.linspace(0, 2 * np.pi, 25)
    ring = _RING * np.stack([np.cos(turns), np.sin(turns)], axis=1)
    rings = (ups[:, None] + ring).reshape(-1, 2)
    dots = Drawing.from_arrays(downs, np.arange(len(downs) + 1), pen=DOWN)
    return Drawing.from_arrays(rings, np.arange(0, len(rings) + 1, 25), pen=UP) + dots


def _travel(thing: Plot | Drawing) -> Drawing:
    ends = moves(thing).reshape(-1, 2)
    return Drawing.from_arrays(ends, np.arange(0, len(ends) + 1, 2), pen=TRAVEL)


def moves(thing: Plot | Drawing) -> FloatArray:
    """The pen-up moves (n, 2, 2) in mm: those of a Plot, or straight from stroke to stroke of a
    Drawing.
    """
    if isinstance(thing, Plot):
        legs = np.stack([thing.legs.begin, thing.legs.end], axis=1)
        return np.asarray(thing.machine.to_mm(legs), np.float64)
    inner = thing.offsets[1:-1]
    return np.stack([thing.points[inner - 1], thing.points[inner]], axis=1)


def _by_order(drawing: Drawing) -> list[Drawing]:
    """The strokes in colours from the first to the last, in shares of equal numbers."""
    count = len(drawing)
    share = np.arange(count) * _SHARES // max(count, 1)
    layers = []
    for pen_number, pen in enumerate(drawing.pens):
        for number in np.unique(share[drawing.pen_index == pen_number]).tolist():
            chosen = np.flatnonzero((share == number) & (drawing.pen_index == pen_number))
            rows, offsets = take(drawing.offsets, chosen)
            ink = Pen(
                "order", width=pen.width, colour=_ramp(number / (_SHARES - 1)), opacity=pen.opacity
            )
            layers.append(Drawing.from_arrays(drawing.points[rows], offsets, pen=ink))
    return layers


def _ramp(share: float) -> str:
    """A colour from the first, 0, to the last, 1."""
    corners = [list(bytes.fromhex(colour[1:])) for colour in _FIRST_TO_LAST]
    places = np.linspace(0, 1, len(corners))
    mixed = [np.interp(share, places, part) for part in np.transpose(corners)]
    return "#" + "".join(f"{round(float(part)):02x}" for part in mixed)


def _ruler(bounds: Bounds, origin: tuple[float, float]) -> Drawing:
    """Ticks at each mm along the lower and the left edge, numbers at each 10."""
    left, bottom, right, top = bounds
    across = _ticks(left, right, origin[0])
    up = _ticks(bottom, top, origin[1])
    ticks = [[(at, bottom), (at, bottom - long)] for at, _, long in across]
    ticks += [[(left, at), (left - long, at)] for at, _, long in up]
    drawing = Drawing(ticks, pen=TICKS)
    for at, mm, long in across:
        if long == _LONG:
            drawing = drawing + _number(mm, (at, bottom - _NUMBER), angle=0)
    for at, mm, long in up:
        if long == _LONG:
            drawing = drawing + _number(mm, (left - _NUMBER + 2.0, at), angle=90)
    return drawing


def _ticks(begin: float, end: float, origin: float) -> list[tuple[float, int, float]]:
    """Where each tick is, its millimetre, and how long it is."""
    first = int(np.ceil(begin - origin))
    last = int(np.floor(end - origin))
    lengths = {0: _LONG, 5: 2.0}
    return [(origin + mm, mm, lengths.get(mm % 10, 1.2)) for mm in range(first, last + 1)]


def _number(mm: int, place: tuple[float, float], *, angle: float) -> Drawing:
    from plotlib.text import lettering

    return lettering(str(mm), height=1.8, at=place, align="centre", angle=angle, pen=TICKS)
