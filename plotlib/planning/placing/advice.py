"""What mends a drawing that is refused: every advice was tried before it is given."""

from __future__ import annotations

from typing import NoReturn

from plotlib.errors import OutsideEnvelope
from plotlib.planning.placing.envelope import first_fault
from plotlib.planning.placing.fault import Fault
from plotlib.planning.placing.grid import GridStrokes, to_grid
from plotlib.planning.placing.outlined import OutlinedRoom
from plotlib.planning.placing.room import Room, Task

__all__ = ["Task", "check_envelope"]


def check_envelope(task: Task) -> GridStrokes:
    """The drawing on the grid; OutsideEnvelope, with what mends it, where it may not be drawn."""
    drawing = task.drawing
    strokes = to_grid(drawing, task.machine, task.sheet)
    fault = first_fault(strokes, task.machine, task.sheet, drawing.pens, margin=task.margin)
    if fault is not None:
        _refuse(fault, task, strokes)
    return strokes


def _refuse(fault: Fault, task: Task, strokes: GridStrokes) -> NoReturn:
    is_plain = task.sheet is None or task.sheet.is_plain
    room = Room(task, strokes) if is_plain else OutlinedRoom(task, strokes)
    mends = []
    for family in (room.moves(), room.fits(), room.cuts()):
        works = (mend for mend in family if task.fault(mend.change(task.drawing)) is None)
        first = next(works, None)
        if first is not None:
            mends.append(first.code)
    size = "" if room.is_large_enough else f"; {room.too_small}"
    advice = " or ".join(f"drawing{code}" for code in mends)
    raise OutsideEnvelope(
        f"{fault.told}{size}; {f'mend it by {advice}' if mends else room.hopeless}",
        stroke=fault.stroke,
        side=fault.side,
        excess=fault.excess,
        count=fault.count,
        mends=tuple(mends),
    )
