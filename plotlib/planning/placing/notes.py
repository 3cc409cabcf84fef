"""What may be drawn, but is worth knowing: ink in the margin, paper that hangs off the bed, feeds
that an axis cannot follow. A caller of ``plan`` may have each of them refused.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import BoolArray
from plotlib.errors import InvalidValue, OutsideEnvelope
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.moving.feeds import stroke_feeds
from plotlib.planning.placing.envelope import SIDES, edge_fault, edges_of
from plotlib.planning.placing.fault import Fault
from plotlib.planning.placing.grid import GridStrokes
from plotlib.planning.placing.outline import margin_fault
from plotlib.sheet import Sheet

_HAIR = 1e-9  # mm: what sums of decimals may be off


def margin_note(strokes: GridStrokes, machine: Machine, sheet: Sheet | None) -> list[str]:
    """That the middle of some ink lies in the sheet's margin."""
    fault = None if sheet is None else _in_margin(strokes, machine, sheet)
    return [] if fault is None else [fault.told]


def added_note(
    given: GridStrokes, drawn: GridStrokes, machine: Machine, sheet: Sheet | None, *, advice: str
) -> list[str]:
    """That ink goes farther into the sheet's margin as it is drawn than as it was given: between
    joined strokes, or along arcs, which bulge beyond their points.
    """
    fault = None if sheet is None else _in_margin(drawn, machine, sheet)
    if sheet is None or fault is None:
        return []
    before = _in_margin(given, machine, sheet)
    if before is not None and fault.excess <= before.excess + machine.unit:
        return []
    return [f"as it is drawn, {fault.told}: joined strokes or arcs lead there; {advice}"]


def _in_margin(strokes: GridStrokes, machine: Machine, sheet: Sheet) -> Fault | None:
    """The stroke whose middle line goes the farthest into the margin."""
    if not sheet.is_plain:
        return margin_fault(strokes, machine, sheet)
    pens = (Pen("of no matter"),) * (int(strokes.pen_index.max(initial=0)) + 1)
    margin = edges_of(strokes, machine, sheet, pens, margin=True)[-1]
    return edge_fault(strokes, margin, machine, sheet)


def paper_note(machine: Machine, sheet: Sheet | None, *, refuse: bool) -> list[str]:
    """That the paper hangs off the bed; OutsideEnvelope instead with ``refuse``."""
    if sheet is None:
        return []
    left, bottom, right, top = sheet.on_bed.bounds
    over = np.array([-left, -bottom, right - machine.width, top - machine.height])
    side = int(np.argmax(over))
    if over[side] <= _HAIR:
        return []
    told = f"the paper hangs off the bed by {over[side]:g} mm on the {SIDES[side]}"
    if refuse:
        raise OutsideEnvelope(
            f"{told}; {_elsewhere(machine, sheet)}",
            stroke=-1,
            side=SIDES[side],
            excess=float(over[side]),
            count=0,
        )
    return [told]


def _elsewhere(machine: Machine, sheet: Sheet) -> str:
    """Where the sheet would lie on the bed."""
    left, bottom, right, top = sheet.on_bed.bounds
    room = np.array([machine.width - (right - left), machine.height - (top - bottom)])
    if (room < -_HAIR).any():
        return (
            f"a sheet of {right - left:g} x {top - bottom:g} mm, as it lies, does not fit on a bed "
            f"of {machine.width:g} x {machine.height:g} mm"
        )
    corner = np.array([left, bottom])
    x, y = (np.clip(corner, 0.0, np.maximum(room, 0.0)) - corner + sheet.at + 0.0).tolist()
    return f"lay it at=({x!r}, {y!r})"


def feed_notes(
    strokes: GridStrokes,
    pens: tuple[Pen, ...],
    machine: Machine,
    has_arcs: BoolArray | None,
    *,
    refuse: bool,
) -> list[str]:
    """Which pens ask for more than the axes can do, and what they get; InvalidValue instead with
    ``refuse``.
    """
    arrays = (strokes.points, strokes.offsets, strokes.pen_index)
    feeds = stroke_feeds(*arrays, pens, machine, has_arcs)
    notes = []
    for number, pen in enumerate(pens):
        wanted = machine.feed if pen.feed is None else pen.feed
        mine = feeds[strokes.pen_index == number]
        slower = mine[mine < wanted]
        if not len(slower):
            continue
        least = float(slower.min())
        told = (
            f"pen {pen.name!r} asks for {wanted:,g} mm/min, more than the axes can do: "
            f"{len(slower):,} of {len(mine):,} strokes are drawn slower, down to {least:,.10g} "
            f"mm/min"
        )
        if refuse:
            raise InvalidValue(
                f"{told}; give it feed={least!r} or less", name="feed", pen=pen.name, feed=least
            )
        notes.append(told)
    return notes
