"""Refusals: nothing leaves the bed, the paper, or enters a keep-out."""

from __future__ import annotations

from typing import Any, NoReturn

import numpy as np
import shapely

from plotlib.arrays.fromshapely import to_lines
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.errors import OutsideEnvelope
from plotlib.machine import KeepOut, Machine
from plotlib.pen import Pen
from plotlib.planning.grid import GridStrokes
from plotlib.sheet import Sheet

_HAIR = 1e-9  # mm: what sums of decimals may be off
_SIDES = ("left", "bottom", "right", "top")


def check_bed(strokes: GridStrokes, machine: Machine) -> None:
    """Refuse any point outside the bed: one unit of the last decimal is too much, the edge itself
    is allowed.
    """
    excess = _excess(
        strokes, np.zeros((1, 2), np.int64), machine.to_units([[machine.width, machine.height]])
    )
    if (excess > 0).any():
        limits = (0.0, 0.0, machine.width, machine.height)
        _refuse(strokes, machine, excess, limits, "the bed", "clip it with .clipped(machine.bed)")


def check_sheet(
    strokes: GridStrokes, machine: Machine, sheet: Sheet, pens: tuple[Pen, ...]
) -> None:
    """Refuse ink, half the pen's width included, off the paper; half a unit is left for the
    rounding to the grid.
    """
    scale = 10.0**machine.decimals
    half = (
        np.array([pen.width / 2 * scale for pen in pens])[strokes.pen_index][:, None]
        if len(strokes)
        else np.zeros((0, 1))
    )
    low = np.asarray(sheet.at) * scale
    high = low + np.array([sheet.width, sheet.height]) * scale
    excess = _excess(strokes, low + half, high - half)
    if (excess > 0.5 + 1e-6).any():
        limits = (*sheet.at, sheet.at[0] + sheet.width, sheet.at[1] + sheet.height)
        _refuse(
            strokes,
            machine,
            excess,
            limits,
            "the paper (half the pen's width included)",
            "fit it with .fitted(sheet.area)",
        )


def _excess(
    strokes: GridStrokes, low: FloatArray | IntArray, high: FloatArray | IntArray
) -> FloatArray:
    """How far (M, 4) each stroke passes the left, bottom, right and top limits, in units; negative
    where it stays inside.
    """
    if not len(strokes):
        return np.zeros((0, 4))
    least = np.minimum.reduceat(strokes.points, strokes.offsets[:-1], axis=0)
    most = np.maximum.reduceat(strokes.points, strokes.offsets[:-1], axis=0)
    return np.asarray(np.hstack([low - least, most - high]), np.float64)


def _refuse(
    strokes: GridStrokes,
    machine: Machine,
    excess: FloatArray,
    limits: tuple[float, ...],
    what: str,
    mend: str,
) -> NoReturn:
    worst, side = np.unravel_index(int(np.argmax(excess)), excess.shape)
    count = int((excess > 0).any(axis=1).sum())
    axis = side % 2
    places = machine.decimals
    column = strokes.points[strokes.offsets[worst] : strokes.offsets[worst + 1], axis]
    reach = machine.to_mm(column.min() if side < 2 else column.max())
    by = float(excess[worst, side]) / 10.0**places
    others = "" if count == 1 else f"; {count} strokes are outside, this one the farthest"
    raise OutsideEnvelope(
        f"stroke {worst} leaves {what} by {by:.{places}f} mm on the {_SIDES[side]} ({'xy'[axis]} "
        f"= {reach:.{places}f}, "
        f"the {_SIDES[side]} edge is at {limits[side]:.{places}f}){others}; "
        f"{_move_advice(strokes, machine, limits)}, or {mend}",
        stroke=int(worst),
        side=_SIDES[side],
        excess=by,
        count=count,
    )


def _move_advice(strokes: GridStrokes, machine: Machine, limits: tuple[float, ...]) -> str:
    """Whether moving alone would mend it, and by how much."""
    least = machine.to_mm(strokes.points.min(axis=0))
    most = machine.to_mm(strokes.points.max(axis=0))
    low = np.asarray(limits[:2])
    high = np.asarray(limits[2:])
    if ((most - least) > (high - low)).any():
        size = most - least
        room = high - low
        return f"the drawing, {size[0]:g} x {size[1]:g} mm, is larger than {room[0]:g} x {room[1]:g} mm: scale it"
    move = np.maximum(low - least, 0.0) + np.minimum(high - most, 0.0)
    return f"move it by ({move[0]:.{machine.decimals}f}, {move[1]:.{machine.decimals}f}) mm"


def check_keep_outs(strokes: GridStrokes, machine: Machine, pens: tuple[Pen, ...]) -> None:
    """Refuse ink, half the pen's width included, inside a keep-out; half a unit is left for the
    rounding to the grid.
    """
    if not machine.keep_outs or not len(strokes):
        return
    lines = to_lines(machine.to_mm(strokes.points), strokes.offsets)
    half = np.array([pen.width / 2 for pen in pens])[strokes.pen_index]
    for number, keep_out in enumerate(machine.keep_outs):
        found = np.flatnonzero(_entering(lines, keep_out.area, half - machine.unit / 2 - _HAIR))
        if len(found):
            _refuse_keep_out(number, keep_out, lines[found], half[found], found, machine)


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


def _refuse_keep_out(
    number: int, keep_out: KeepOut, lines: Any, half: FloatArray, found: IntArray, machine: Machine
) -> NoReturn:
    depth = half - shapely.distance(lines, keep_out.area) + _inside(lines, keep_out.area)
    worst = int(np.argmax(depth))
    places = machine.decimals
    within = float(shapely.length(shapely.intersection(lines[worst], keep_out.area)))
    left, bottom, right, top = keep_out.area.bounds
    raise OutsideEnvelope(
        f"stroke {found[worst]} has ink in keep-out {number} (x {left:g} to {right:g}, y "
        f"{bottom:g} to {top:g}), "
        f"{within:.{places}f} mm of its line, by {depth[worst]:.{places}f} mm, half the pen's "
        f"width included; {len(found)} strokes do; "
        f"move the drawing, or cut it out with .erased(area.buffer({half.max():g}, "
        f'join_style="mitre"))',
        stroke=int(found[worst]),
        side="keep-out",
        excess=float(depth[worst]),
        count=len(found),
    )


def _inside(lines: Any, area: Any) -> FloatArray:
    """How deep (M,) each line lies in an area, measured at 64 places of the part inside."""
    inner = shapely.intersection(lines, area)
    inner = shapely.segmentize(inner, np.maximum(shapely.length(inner) / 64, _HAIR))
    points, owner = shapely.get_coordinates(inner, return_index=True)
    depth = np.zeros(len(lines))
    np.maximum.at(depth, owner, shapely.distance(shapely.points(points), shapely.boundary(area)))
    return depth
