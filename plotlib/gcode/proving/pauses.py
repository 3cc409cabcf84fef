"""Changes of the pen with a pause inside them, such as a solenoid's: pull, wait, hold.

A lift that declares such pauses needs its lines whole, in their order and for their time: a coil
that is left at full power overheats, and one that is only held may never have pulled in.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import BoolArray, FloatArray
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.reading.lines import key
from plotlib.gcode.reading.plain import Source
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Lift, Machine
from plotlib.machine.lifts import STATES


def pauses(path: Toolpath, source: Source, lift: Lift) -> FloatArray:
    """Seconds (P,) to wait after each line about the pen before its change goes on; 0 for most."""
    if not lift.pauses:
        return np.zeros(len(path.pens.line))
    seconds = {key(line): wait for line, wait in lift.pauses.items()}
    spoken = _spoken(path, source)
    return np.array([seconds.get(name, 0.0) for name in spoken], np.float64)


def check_pauses(path: Toolpath, source: Source, machine: Machine) -> None:
    """Changes with a pause are said whole, and not again before the other state or a stop."""
    lift = machine.lift
    if not lift.pauses:
        return
    free = ~np.isin(path.pens.line, list(path.places.names))
    spoken = np.array(_spoken(path, source))
    for state in STATES:
        change = lift.change(state)
        if max(change.waits) > 0:
            lines = list(map(key, change.lines))
            is_last = path.pens.whole & (spoken == lines[-1])
            _check_whole(path, free & np.isin(spoken, lines), is_last, len(lines), state)
            _check_once(path, free & is_last, state)


def _check_whole(
    path: Toolpath, mine: BoolArray, is_last: BoolArray, count: int, state: str
) -> None:
    """Each of these lines belongs to a change that is said to its end."""
    whole = np.zeros(len(mine), np.bool_)
    ends = np.flatnonzero(is_last)
    for back in range(count):
        whole[ends[ends >= back] - back] = True
    part = np.flatnonzero(mine & ~whole)
    if len(part):
        raise refused(
            f"a part of the lines for pen {state}: all of them, in their order, with nothing but "
            f"the declared wait between them",
            line=path.pens.line[part[0]],
        )


def _check_once(path: Toolpath, mine: BoolArray, state: str) -> None:
    """Between two such changes comes the other state, or a stop, where somebody may have put his
    hand to it.
    """
    ends = np.flatnonzero(mine)
    is_down = path.pens.down
    for before, after in zip(ends[:-1].tolist(), ends[1:].tolist(), strict=True):
        other = is_down[before + 1 : after] != is_down[after]
        stops = np.searchsorted(path.stops.line, path.pens.line[[before, after]])
        if stops[0] == stops[1] and not (other & path.pens.whole[before + 1 : after]).any():
            raise refused(
                f"pen {state} is said again while the pen is {state}: power it once",
                line=path.pens.line[after],
            )


def _spoken(path: Toolpath, source: Source) -> list[str]:
    """The lines about the pen (P,), bare."""
    return [key(source.lines[line - 1]) for line in path.pens.line.tolist()]
