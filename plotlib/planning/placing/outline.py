"""Ink beyond the edge of a sheet that is no rectangle, or that lies turned.

Such an edge runs across the grid, so a point that was cut at it is moved by up to half the diagonal
of a cell when it is rounded: so much is left, and what the outline of a round sheet may be short of
its circle.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from plotlib.arrays.fromshapely import to_lines
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.placing.fault import Fault, halves
from plotlib.planning.placing.grid import GridStrokes
from plotlib.sheet import TRUE, Sheet

_CELL = 0.5**0.5 + 1e-6  # units: half the diagonal of a cell of the grid
_MOST = 1_000  # strokes that cross a bay of the edge and are measured, the first ones
_PLACES = 64  # at which each of their pieces is measured


def rounding(machine: Machine, sheet: Sheet) -> float:
    """How many mm beyond its edge are left for rounding."""
    return _CELL * machine.unit + (0.0 if sheet.outline is None else TRUE)


def paper_fault(
    strokes: GridStrokes, machine: Machine, sheet: Sheet, pens: tuple[Pen, ...]
) -> Fault | None:
    """The worst stroke whose ink, half the pen's width included, leaves the paper."""
    verb = "leaves the paper (half the pen's width included)"
    return _fault(verb, sheet.on_bed, strokes, halves(strokes, pens), machine, sheet)


def margin_fault(strokes: GridStrokes, machine: Machine, sheet: Sheet) -> Fault | None:
    """The worst stroke whose middle line enters the margin."""
    verb = "enters the sheet's margin"
    return _fault(verb, sheet.area_on_bed, strokes, np.zeros(len(strokes)), machine, sheet)


def leaves_sheet(
    links: IntArray, machine: Machine, sheet: Sheet, half: float, *, margin: bool
) -> BoolArray:
    """Which straight pieces (K, 2, 2) of ink, in units, would leave the paper with a pen of that
    half width in mm, or with ``margin`` enter it: between two places that lie inside there may be a
    hole or a bay.
    """
    lines = shapely.linestrings(machine.to_mm(links))
    slack = rounding(machine, sheet)
    result = _leaves(lines, sheet.on_bed, np.full(len(links), half - slack))
    if margin:
        result |= _leaves(lines, sheet.area_on_bed, np.full(len(links), -slack))
    return result


def _fault(
    verb: str,
    area: Any,
    strokes: GridStrokes,
    half: FloatArray,
    machine: Machine,
    sheet: Sheet,
) -> Fault | None:
    """The stroke that comes the farthest beyond ``half`` (M,) mm inside an area of the bed."""
    slack = rounding(machine, sheet)
    lines = to_lines(machine.to_mm(strokes.points), strokes.offsets)
    outside = np.flatnonzero(_leaves(lines, area, half - slack))
    if not len(outside):
        return None
    worst, excess, place = _farthest(outside, area, half, machine, strokes)
    x, y = (sheet.from_bed(place[None])[0] + 0.0).tolist()
    places = machine.decimals
    others = "" if len(outside) == 1 else f"; {len(outside)} strokes do, this one the farthest"
    told = (
        f"stroke {worst} {verb} by {excess:.{places}f} mm at ({x:.{places}f}, {y:.{places}f}) "
        f"in sheet mm{others}"
    )
    return Fault(told, worst, "edge", excess, len(outside))


def _leaves(lines: Any, area: Any, room: FloatArray) -> BoolArray:
    """Which lines (M,) do not stay ``room`` (M,) mm inside an area; below 0 it may be left."""
    result = np.zeros(len(lines), np.bool_)
    edge = shapely.boundary(area)
    shapely.prepare(edge)
    for far in np.unique(room).tolist():
        mine = np.flatnonzero(room == far)
        kept = area if far >= 0 else shapely.buffer(area, -far, join_style="mitre")
        shapely.prepare(kept)
        result[mine] = ~shapely.covers(kept, lines[mine])
        if far > 0:
            result[mine] |= shapely.dwithin(edge, lines[mine], far)
    return result


def _farthest(
    outside: IntArray, area: Any, half: FloatArray, machine: Machine, strokes: GridStrokes
) -> tuple[int, float, FloatArray]:
    """The worst of some strokes, by how many mm it is outside, and where on the bed."""
    chosen = strokes.chosen(outside)
    points = machine.to_mm(chosen.points)
    owner = np.repeat(outside, np.diff(chosen.offsets))
    excess = half[owner] - _depth(points, area)
    if excess.max() <= 0:  # no corner is outside: the way between two of them crosses a bay
        some = strokes.chosen(outside[:_MOST])
        lines = to_lines(machine.to_mm(some.points), some.offsets)
        fine = shapely.segmentize(lines, np.maximum(shapely.length(lines) / _PLACES, machine.unit))
        points, number = shapely.get_coordinates(fine, return_index=True)
        owner = outside[number]
        excess = half[owner] - _depth(points, area)
    row = int(np.argmax(excess))
    return int(owner[row]), max(float(excess[row]), machine.unit), points[row]


def _depth(points: FloatArray, area: Any) -> FloatArray:
    """How far (N,) points lie inside the edge of an area; below 0 outside."""
    edge = shapely.boundary(area)
    shapely.prepare(edge)
    shapely.prepare(area)
    places = shapely.points(points)
    return np.where(shapely.covers(area, places), 1.0, -1.0) * shapely.distance(edge, places)
