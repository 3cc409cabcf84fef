"""The pen over a bed that is not flat: at its height on every point and on the way between them,
and never beyond the limits of its axis.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.reading.levelling import bed_at
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import HeightMap, Machine
from plotlib.machine.lifts import Heights

_EXACT = 1e-9  # mm: what sums of decimals may be off
_ROUNDED = 0.5  # units: Z is rounded to the grid once
_AT_ONCE = 20_000  # moves: a table of 20 MB for a map of 100 lines


def check_bed(path: Toolpath, machine: Machine) -> None:
    """Every clause about heights that the bed's shape asks for; nothing for other lifts."""
    lift = machine.lift.heights
    if lift is None:
        return
    _check_limits(path, lift)
    bed = machine.height_map
    if bed is None or not len(path):
        return
    off = np.flatnonzero(path.heights != lift.down)
    if len(off):
        by = abs(path.heights[off[0]] - lift.down)
        raise refused(
            f"the pen is {by:.{machine.decimals}f} mm off its height over the bed",
            line=path.point_lines[off[0]],
        )
    _check_between(path, machine, lift, bed)


def _check_limits(path: Toolpath, lift: Heights) -> None:
    """What the controller is told, on lines that are not the owner's own."""
    low, high = lift.limits
    for lines, z in (
        (path.pens.line, path.pens.height),
        (path.moves.line, path.moves.climb[:, 1]),
    ):
        is_over = (z < low - _EXACT) | (z > high + _EXACT)
        over = np.flatnonzero(is_over & ~np.isin(lines, list(path.places.names)))
        if len(over):
            raise refused(
                f"Z {z[over[0]]:g} is beyond the limits of the lift, {low:g} to {high:g} mm",
                line=lines[over[0]],
            )


def _check_between(path: Toolpath, machine: Machine, lift: Heights, bed: HeightMap) -> None:
    """Between two points Z goes evenly, and the bed may not lie farther off than agreed."""
    moves = path.moves
    drawn = np.flatnonzero(moves.down & (moves.length > 0))
    towards_up = 1.0 if lift.up > lift.down else -1.0
    allowed = bed.tolerance + _ROUNDED * machine.unit + _EXACT
    for first in range(0, len(drawn), _AT_ONCE):
        some = drawn[first : first + _AT_ONCE]
        z = towards_up * (moves.climb[some] - lift.down)
        off = _farthest(moves.start[some], moves.end[some], z, bed)
        far = np.flatnonzero(off > allowed)
        if len(far):
            raise refused(
                f"the bed bends {off[far[0]]:.4f} mm away from the pen on the way, and "
                f"{bed.tolerance:g} mm are allowed",
                line=moves.line[some[far[0]]],
            )


def _farthest(start: FloatArray, end: FloatArray, z: FloatArray, bed: HeightMap) -> FloatArray:
    """How far (n,) the bed lies at most from heights z (n, 2) at both ends of ways (n, 2).

    The difference is a parabola between two lines of the map's grid: its values at both ends and
    in the middle, and that at its vertex, which the three determine.
    """
    row, cuts = _cuts(start, end, bed)
    way = end - start

    def off(share: FloatArray) -> FloatArray:
        height = z[row, 0] * (1 - share) + z[row, 1] * share
        return np.asarray(bed_at(start[row] + share[:, None] * way[row], bed) - height)

    a = off(cuts[:, 0])
    b = off(cuts.mean(axis=1))
    c = off(cuts[:, 1])
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        vertex = b - (c - a) ** 2 / (8 * (a - 2 * b + c))
    is_inside = np.abs(c - a) < 2 * np.abs(a - 2 * b + c)
    worst = np.abs([a, b, c, np.where(is_inside, vertex, b)]).max(axis=0)
    out = np.zeros(len(start))
    np.maximum.at(out, row, worst)
    return out


def _cuts(start: FloatArray, end: FloatArray, bed: HeightMap) -> tuple[IntArray, FloatArray]:
    """The ways cut at the lines of the map's grid: the way (K,) of each piece, and the shares
    (K, 2) at its ends.
    """
    way = end - start
    shares = []
    for axis, lines in enumerate((bed.x, bed.y)):
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):  # ways of no length
            at = (np.array(lines)[None, :] - start[:, axis, None]) / way[:, axis, None]
        shares.append(np.where((at > 0) & (at < 1), at, np.nan))
    ends = np.tile([0.0, 1.0], (len(start), 1))
    cuts = np.sort(np.hstack([ends, *shares]), axis=1)
    pairs = np.stack([cuts[:, :-1], cuts[:, 1:]], axis=-1)
    row, column = np.nonzero(~np.isnan(pairs[:, :, 1]))
    return row.astype(np.int64), pairs[row, column]
