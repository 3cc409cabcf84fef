"""What keeps a drawing out: ink off the bed, off the paper, in the margin or in a keep-out.

Nothing is raised here for ``plan``: the first fault is found and described, and ``advice`` looks
for what mends it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from plotlib.arrays.fromshapely import to_lines
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.errors import OutsideEnvelope
from plotlib.machine import KeepOut, Machine
from plotlib.pen import Pen
from plotlib.planning.placing.fault import Fault, halves
from plotlib.planning.placing.grid import GridStrokes, seats
from plotlib.planning.placing.outline import margin_fault, paper_fault
from plotlib.sheet import Sheet

_HAIR = 1e-9  # mm: what sums of decimals may be off
# Units: half a unit is left for the rounding to the grid where an edge may lie off it.
ROUNDING = 0.5 + 1e-6
SIDES = ("left", "bottom", "right", "top")


@dataclass(frozen=True)
class Edges:
    """Four straight edges that points may not pass, in units of the bed.

    Attributes
    ----------
    verb : str
        What a stroke beyond them does, such as "leaves the bed".
    low, high : ndarray (2,) of float64
        The lower left and the upper right corner.
    inset : ndarray (M,) of float64
        How far inside each stroke has to stay: half the pen's width.
    slack : float
        How far beyond is still allowed.
    shift : ndarray (M, 2) of float64
        How far the edges are moved for each stroke: by the offset of its pen where the carriage may
        not pass them.
    """

    verb: str
    low: FloatArray
    high: FloatArray
    inset: FloatArray
    slack: float
    shift: FloatArray

    @property
    def room(self) -> tuple[FloatArray, FloatArray]:
        """The corners (2,), (2,) of where every stroke may be."""
        inset = self.inset.max()
        return self.low + self.shift.max(axis=0) + inset, self.high + self.shift.min(axis=0) - inset

    def excess(self, strokes: GridStrokes) -> FloatArray:
        """How far (M, 4) each stroke passes the left, bottom, right and top edge; negative where
        it stays inside.
        """
        if not len(strokes):
            return np.zeros((0, 4))
        least = np.minimum.reduceat(strokes.points, strokes.offsets[:-1], axis=0)
        most = np.maximum.reduceat(strokes.points, strokes.offsets[:-1], axis=0)
        inset = self.inset[:, None]
        low = self.low + self.shift
        high = self.high + self.shift
        return np.hstack([low + inset - least, most - high + inset])


def first_fault(
    strokes: GridStrokes,
    machine: Machine,
    sheet: Sheet | None,
    pens: tuple[Pen, ...],
    *,
    margin: bool = False,
) -> Fault | None:
    """The first fault of a drawing on the grid; None where it may be drawn. With ``margin`` the
    sheet's margin counts too.
    """
    for edges in edges_of(strokes, machine, sheet, pens, margin=margin):
        fault = edge_fault(strokes, edges, machine, sheet)
        if fault is not None:
            return fault
    if sheet is not None and not sheet.is_plain:
        fault = paper_fault(strokes, machine, sheet, pens)
        if fault is None and margin:
            fault = margin_fault(strokes, machine, sheet)
        if fault is not None:
            return fault
    return keep_out_fault(strokes, machine, pens) or _carriage_fault(strokes, machine, pens)


def edges_of(
    strokes: GridStrokes,
    machine: Machine,
    sheet: Sheet | None,
    pens: tuple[Pen, ...],
    *,
    margin: bool,
) -> list[Edges]:
    """The edges that count: of the bed for the ink and for the carriage, and of a sheet that lies
    straight those of the paper with half the pen's width, and of the area inside the margin.
    """
    none = np.zeros(len(strokes))
    still = np.zeros((len(strokes), 2))
    size = machine.to_units([machine.width, machine.height]).astype(np.float64)
    found = [Edges("leaves the bed", np.zeros(2), size, none, 0.0, still)]
    seat = seats(pens, strokes.pen_index, machine).astype(np.float64)
    if seat.any():
        verb = "takes the carriage off the bed (the pen's offset included)"
        found.append(Edges(verb, np.zeros(2), size, none, 0.0, seat))
    if sheet is None or not sheet.is_plain:
        return found
    scale = 10.0**machine.decimals
    low = np.asarray(sheet.at) * scale
    high = low + np.array([sheet.width, sheet.height]) * scale
    half = halves(strokes, pens) * scale
    verb = "leaves the paper (half the pen's width included)"
    found.append(Edges(verb, low, high, half, ROUNDING, still))
    if margin:
        strip = sheet.margin * scale
        verb = "enters the sheet's margin"
        found.append(Edges(verb, low + strip, high - strip, none, ROUNDING, still))
    return found


def edge_fault(
    strokes: GridStrokes, edges: Edges, machine: Machine, sheet: Sheet | None
) -> Fault | None:
    """The worst stroke beyond some edges; its place is told in the drawing's mm."""
    excess = edges.excess(strokes)
    outside = excess > edges.slack
    if not outside.any():
        return None
    worst, side = (int(k) for k in np.unravel_index(int(np.argmax(excess)), excess.shape))
    axis = side % 2
    count = int(outside.any(axis=1).sum())
    column = strokes.points[strokes.offsets[worst] : strokes.offsets[worst + 1], axis]
    is_turned = sheet is not None and sheet.angle != 0
    origin = 0.0 if sheet is None or is_turned else sheet.at[axis]
    reach = machine.to_mm(column.min() if side < 2 else column.max()) - origin
    line = (edges.low if side < 2 else edges.high) + edges.shift[worst]
    edge = line[axis] * machine.unit - origin
    places = machine.decimals
    by = float(excess[worst, side]) / 10.0**places
    where = "" if sheet is None else " in sheet mm"
    where = " on the bed" if is_turned else where
    others = "" if count == 1 else f"; {count} strokes are outside, this one the farthest"
    told = (
        f"stroke {worst} {edges.verb} by {by:.{places}f} mm on the {SIDES[side]} "
        f"({'xy'[axis]} = {reach:.{places}f}{where}, the {SIDES[side]} edge is at "
        f"{edge:.{places}f}){others}"
    )
    return Fault(told, worst, SIDES[side], by, count)


# ---- keep-outs


def keep_out_fault(strokes: GridStrokes, machine: Machine, pens: tuple[Pen, ...]) -> Fault | None:
    """Ink, half the pen's width included, inside a keep-out; half a unit is left for the rounding
    to the grid.
    """
    if not machine.keep_outs or not len(strokes):
        return None
    lines = to_lines(machine.to_mm(strokes.points), strokes.offsets)
    half = halves(strokes, pens)
    for number, keep_out in enumerate(machine.keep_outs):
        found = np.flatnonzero(_entering(lines, keep_out.area, half - machine.unit / 2 - _HAIR))
        if len(found):
            return _described(number, keep_out, lines[found], half[found], found, machine)
    return None


def _carriage_fault(strokes: GridStrokes, machine: Machine, pens: tuple[Pen, ...]) -> Fault | None:
    """A carriage that goes into a keep-out with its pen down, though the ink lies beside it."""
    seat = seats(pens, strokes.pen_index, machine)
    if not seat.any() or not machine.keep_outs:
        return None
    points = strokes.points - np.repeat(seat, np.diff(strokes.offsets), axis=0)
    carriage = GridStrokes(points, strokes.offsets, strokes.pen_index)
    fault = keep_out_fault(carriage, machine, pens)
    if fault is None:
        return None
    return replace(fault, told=f"by the offset of its pen the carriage is there: {fault.told}")


def check_keep_outs(strokes: GridStrokes, machine: Machine, pens: tuple[Pen, ...]) -> None:
    """Raise OutsideEnvelope for ink in a keep-out."""
    fault = keep_out_fault(strokes, machine, pens)
    if fault is not None:
        raise OutsideEnvelope(
            fault.told,
            stroke=fault.stroke,
            side=fault.side,
            excess=fault.excess,
            count=fault.count,
        )


def keeps_out(links: IntArray, machine: Machine, half: float) -> BoolArray:
    """Which straight pieces (K, 2, 2) of ink, in units, would enter a keep-out with a pen of that
    half width in mm.
    """
    result = np.zeros(len(links), np.bool_)
    if not len(links):
        return result
    lines = shapely.linestrings(machine.to_mm(links))
    reach = np.full(len(links), half - machine.unit / 2 - _HAIR)
    for keep_out in machine.keep_outs:
        result |= _entering(lines, keep_out.area, reach)
    return result


def _entering(lines: Any, area: Any, reach: FloatArray) -> BoolArray:
    """Which lines (M,) come within ``reach`` (M,) mm of an area; a reach below 0 is how far inside
    they may lie.
    """
    result = np.zeros(len(reach), np.bool_)
    for far in np.unique(reach).tolist():
        mine = np.flatnonzero(reach == far)
        kept = area if far > 0 else shapely.buffer(area, far, join_style="mitre")
        shapely.prepare(kept)
        result[mine] = shapely.dwithin(kept, lines[mine], max(far, 0.0))
    return result


def _described(
    number: int, keep_out: KeepOut, lines: Any, half: FloatArray, found: IntArray, machine: Machine
) -> Fault:
    depth = half - shapely.distance(lines, keep_out.area) + _inside(lines, keep_out.area)
    worst = int(np.argmax(depth))
    places = machine.decimals
    within = float(shapely.length(shapely.intersection(lines[worst], keep_out.area)))
    left, bottom, right, top = keep_out.area.bounds
    others = "" if len(found) == 1 else f"; {len(found)} strokes do"
    told = (
        f"stroke {found[worst]} has ink in keep-out {number} (x {left:g} to {right:g}, y "
        f"{bottom:g} to {top:g} on the bed), {within:.{places}f} mm of its line, by "
        f"{depth[worst]:.{places}f} mm, half the pen's width included{others}"
    )
    return Fault(told, int(found[worst]), "keep-out", float(depth[worst]), len(found))


def _inside(lines: Any, area: Any) -> FloatArray:
    """How deep (M,) each line lies in an area, measured at 64 places of the part inside."""
    inner = shapely.intersection(lines, area)
    inner = shapely.segmentize(inner, np.maximum(shapely.length(inner) / 64, _HAIR))
    points, owner = shapely.get_coordinates(inner, return_index=True)
    depth = np.zeros(len(lines))
    np.maximum.at(depth, owner, shapely.distance(shapely.points(points), shapely.boundary(area)))
    return depth
