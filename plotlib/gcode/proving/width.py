"""The ink of a written program in its full width: off keep-outs and on the paper.

Strokes are rounded to the grid after the plan has looked at them in millimetres, so half a unit of
the last decimal is left for that.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from plotlib.checks import FloatArray
from plotlib.gcode.proving.planned import Planned
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import KeepOut
from plotlib.sheet import TRUE, Sheet

_SIDES = ("left", "bottom", "right", "top")
_CORNER = 0.5**0.5  # units: by which rounding moves a point across an edge that slants
_SAME = 1e-6  # units of the last decimal: what sums of decimals may be off


def check_width(path: Toolpath, plan: Planned) -> None:
    """No ink in a keep-out nor off the paper, half the pen's width included; strokes are the
    plan's.
    """
    if not len(path):
        return
    pens = plan.pens
    half = np.array([pen.width / 2 for pen in pens])[plan.pen_index]
    ink = _ink(path, plan)
    room = half - plan.machine.unit * (0.5 + _SAME)
    for keep_out in plan.machine.keep_outs:
        _check_keep_out(path, ink, keep_out, room)
    if plan.sheet is not None and plan.sheet.is_plain:
        _check_paper(path, ink, plan.sheet, room)
    elif plan.sheet is not None:
        _check_outline(path, ink, plan.sheet, half - plan.machine.unit * (_CORNER + _SAME))


def _ink(path: Toolpath, plan: Planned) -> FloatArray:
    """Where the ink (N, 2) lies: the carriage's places and the offset of each stroke's pen, which
    is rounded to the grid.
    """
    machine = plan.machine
    offsets = [machine.to_mm(machine.to_units(pen.offset)) for pen in plan.pens]
    if not np.any(offsets):
        return path.points
    each = np.array(offsets)[plan.pen_index]
    return np.asarray(path.points + np.repeat(each, np.diff(path.offsets), axis=0))


def _check_keep_out(path: Toolpath, ink: FloatArray, keep_out: KeepOut, room: FloatArray) -> None:
    """Of pens thinner than a unit the way itself is judged, with the moves."""
    area = keep_out.area
    low = np.minimum.reduceat(ink, path.offsets[:-1]) - room[:, None]
    high = np.maximum.reduceat(ink, path.offsets[:-1]) + room[:, None]
    left, bottom, right, top = area.bounds
    near = (high >= (left, bottom)).all(axis=1) & (low <= (right, top)).all(axis=1)
    shapely.prepare(area)
    for stroke in np.flatnonzero(near & (room > 0)).tolist():
        first, end = path.offsets[stroke : stroke + 2]
        points = ink[first:end]
        line = _line(points)
        if shapely.dwithin(area, line, room[stroke]):
            by = room[stroke] - shapely.distance(area, line)
            raise refused(
                f"stroke {stroke} has ink in a keep-out, by {by:.6g} mm of its pen's width",
                line=path.point_lines[first],
                stroke=stroke,
                side="keep-out",
            )


def _check_paper(path: Toolpath, ink: FloatArray, sheet: Sheet, room: FloatArray) -> None:
    low = np.asarray(sheet.at)
    high = low + np.array([sheet.width, sheet.height])
    if not _leaves(path, ink, room, low, high):
        return
    each = np.repeat(room, np.diff(path.offsets))[:, None]
    over = np.column_stack([low + each - ink, ink - (high - each)])
    at, side = divmod(int(np.argmax(over)), 4)
    stroke = int(np.searchsorted(path.offsets, at, side="right")) - 1
    raise refused(
        f"stroke {stroke} leaves the paper by {over.max():.6g} mm on the {_SIDES[side]}, half "
        f"the pen's width included",
        line=path.point_lines[at],
        stroke=stroke,
        side=_SIDES[side],
    )


def _leaves(
    path: Toolpath, ink: FloatArray, room: FloatArray, low: FloatArray, high: FloatArray
) -> bool:
    """Whether any stroke leaves the paper: its outermost points say it for all."""
    first = path.offsets[:-1]
    for axis in range(2):
        along = np.ascontiguousarray(ink[:, axis])
        over = low[axis] + room - np.minimum.reduceat(along, first)
        beyond = np.maximum.reduceat(along, first) - (high[axis] - room)
        if (over > 0).any() or (beyond > 0).any():
            return True
    return False


def _check_outline(path: Toolpath, ink: FloatArray, sheet: Sheet, room: FloatArray) -> None:
    """Of a sheet that is no rectangle or lies turned; the outline of a round one is short of its
    circle by ``TRUE`` at most.
    """
    short = 0.0 if sheet.outline is None else TRUE
    area = sheet.on_bed
    edge = shapely.multilinestrings(shapely.get_rings(shapely.get_parts(area)))
    shapely.prepare(area)
    shapely.prepare(edge)
    lines = np.array([_line(points) for points in np.split(ink, path.offsets[1:-1])])
    least = room - short
    away = shapely.distance(edge, lines)
    for stroke in np.flatnonzero((away < least) | ~shapely.covers(area, lines)).tolist():
        beyond = shapely.get_coordinates(shapely.difference(lines[stroke], area))
        out = np.max(shapely.distance(edge, shapely.points(beyond)), initial=-np.inf)
        by = max(least[stroke] - away[stroke], least[stroke] + out)
        if by > 0:
            raise refused(
                f"stroke {stroke} leaves the paper by {by:.6g} mm, half the pen's width included",
                line=path.point_lines[path.offsets[stroke]],
                stroke=stroke,
                side="edge",
            )


def _line(points: FloatArray) -> Any:
    return shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])
