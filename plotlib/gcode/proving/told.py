"""What a written program tells the person at the machine: the right pen at each stop, and a header
with the cautions and the facts of the plan.

A pen is called by its name in plain letters, cut to what fits; where names fall together, by its
place in the order of pens too.
"""

from __future__ import annotations

import unicodedata
from collections import Counter
from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise

from plotlib.gcode.cautions import CAUTIONS
from plotlib.gcode.proving.planned import Planned
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.clock import clock
from plotlib.planning.plot import Plot

_KEPT = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 .,:-")
_AROUND = len("(MSG, )")


def check_messages(path: Toolpath, plan: Planned) -> None:
    """Each stop names the pen of the stroke that follows it."""
    machine = plan.machine
    if not machine.comments:
        return
    index = plan.pen_index.tolist()
    pens = [after for before, after in pairwise(index) if before != after]
    names = _names(plan.pens, machine)
    room = machine.longest_line - _AROUND
    stops = zip(path.stops.line.tolist(), path.stops.messages, pens, strict=True)
    for line, message, number in stops:
        if not message.strip():
            reason = (
                "the stop says nothing to the operator; a (MSG, …) comment before it names the pen"
            )
            raise refused(reason, line=line)
        wanted = f"put in pen {names[number]}, {plan.pens[number].width:g} mm"
        if len(wanted) > room:
            wanted = names[number]
        if message != wanted:
            raise refused(f"the stop says {message!r}, but the plan is {wanted!r}", line=line)


def check_header(lines: Sequence[str], plot: Plot) -> None:
    """The comments before anything else hold the cautions and the facts."""
    if not plot.machine.comments:
        return
    head = []
    for line in lines:
        if not (line.startswith("(") and line.endswith(")")):
            break
        head.append(line[1:-1])
    told = "".join(head).replace(" ", "")
    for sentence in (*_facts(plot), *CAUTIONS):
        if sentence.replace(" ", "") not in told:
            raise refused(f"the comments at the beginning do not say {sentence!r}")


def _facts(plot: Plot) -> list[str]:
    drawing = plot.drawing
    if not len(drawing):
        return ["empty drawing"]
    machine = plot.machine
    low = machine.to_units(drawing.points.min(axis=0))  # rounding keeps the order
    high = machine.to_units(drawing.points.max(axis=0))
    width, height = (_decimal(value, machine) for value in (high - low).tolist())
    left, bottom = (_decimal(value, machine) for value in low.tolist())
    right, top = (_decimal(value, machine) for value in high.tolist())
    names = _names(drawing.pens, machine)
    pens = [f"{name} {pen.width:g} mm" for name, pen in zip(names, drawing.pens, strict=True)]
    return [
        f"size {width} x {height} mm, on the bed x {left} to {right}, y {bottom} to {top}",
        f"pens: {', '.join(pens)}. Begin with {names[0]}.",
        f"{len(drawing)} strokes, expected time {clock(plot.duration)}.",
    ]


def _decimal(units: int, machine: Machine) -> str:
    return f"{Decimal(units).scaleb(-machine.decimals):f}"


def _names(pens: Sequence[Pen], machine: Machine) -> list[str]:
    """What each pen of a plot is called, no two alike whatever the case of their letters."""
    room = machine.longest_line - _AROUND
    spelled = [_spelled(pen) for pen in pens]
    names = [word[:room].rstrip() for word in spelled]
    times = Counter(name.lower() for name in names)
    numbered = []
    for place, word in enumerate(spelled, 1):
        tail = f" no {place}"
        numbered.append(word[: room - len(tail)].rstrip() + tail)
    mixed = [
        long if times[name.lower()] > 1 else name
        for name, long in zip(names, numbered, strict=True)
    ]
    alike = len({name.lower() for name in mixed}) < len(mixed)
    return numbered if alike else mixed


def _spelled(pen: Pen) -> str:
    """A name in plain letters, or the colour where none is left."""
    out = ""
    for letter in " ".join(unicodedata.normalize("NFKD", pen.name).split()):
        if not unicodedata.combining(letter):
            out += letter if letter in _KEPT else "-"
    out = out.strip()
    return out if any(letter.isalnum() for letter in out) else f"colour {pen.colour[1:]}"
