"""Whether a file is proven for a machine: its plan is made again from its own text, and the proof
that every written file has passed is asked once more.
"""

from __future__ import annotations

import re

import numpy as np

from plotlib.checks import IntArray
from plotlib.drawing import Drawing
from plotlib.errors import PlotlibError, ProofError
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.proving.raised import prove_up
from plotlib.gcode.reader import read
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.bending import Arcs, expanded
from plotlib.planning.parts import as_given
from plotlib.planning.plot import Plot
from plotlib.streaming.job import Job

_UNSAID = 1e-6  # mm: the width of a pen of which the file says nothing


class NotProven(PlotlibError, ValueError):
    """A file that does not pass the proof for this machine; ``reason`` says why."""

    reason: str


def proven_job(text: str, machine: Machine) -> Job:
    """A written file as a job: a plot, or a dry run or a walk, which draw nothing.

    Raises
    ------
    NotProven
        If the file is not one that plotlib would have kept for this machine.
    """
    try:
        path = read(text, machine)
        is_raised = not len(path) and bool(len(path.moves.line))
        if is_raised:
            return Job(text, machine, prove_up(text, machine), None)
    except PlotlibError as error:
        raise _not_proven(error, machine) from error
    return Job(text, machine, path, plot_of(text, machine))


def plot_of(text: str, machine: Machine) -> Plot:
    """The plot that a written file draws, proven.

    Raises
    ------
    NotProven
        If the file is not one that ``gcode.write`` would have kept for this machine.
    """
    try:
        plot = _plot(read(text, machine), text, machine)
        prove(text, plot)
    except PlotlibError as error:
        raise _not_proven(error, machine) from error
    return plot


def _not_proven(error: PlotlibError, machine: Machine) -> NotProven:
    said = str(error)
    reason = said.partition("not kept: ")[2] if isinstance(error, ProofError) else said
    return NotProven(
        f"this file is not proven for the machine {machine.name!r}: {reason or said}; write it "
        f"again with gcode.write for this machine",
        reason=reason or said,
        machine=machine.name,
    )


def _plot(path: Toolpath, text: str, machine: Machine) -> Plot:
    before = path.stops_before
    pens = _pens(path, text, before)
    units, offsets, arcs = _with_arcs(path, machine)
    index = np.unique(before, return_inverse=True)[1].astype(np.int64)
    drawing = Drawing._make(machine.to_mm(units), offsets, index, pens)
    return as_given(drawing, machine, arcs=arcs)


def _with_arcs(path: Toolpath, machine: Machine) -> tuple[IntArray, IntArray, Arcs]:
    """The points of the strokes in units, as ``plan`` has them: along arcs as its own."""
    kept = ~path.inner_points
    before = np.concatenate([[0], np.cumsum(kept)])
    ends = np.flatnonzero(path.bent_points[kept])
    declared = np.isin(path.moves.line[path.turns.first], list(path.places.names))
    turns = path.turns
    return expanded(
        machine.to_units(path.points[kept]),
        before[path.offsets],
        ends,
        machine.to_units(turns.centre[~declared]),
        turns.side[~declared],
        machine.unit,
    )


def _pens(path: Toolpath, text: str, before: np.ndarray) -> tuple[Pen, ...]:
    """The pens as the file names them, with the feeds that it drives them at."""
    count = int(before.max(initial=-1)) + 1
    names = _names(path, text, count)
    head = _head(text)
    widths = [_width(head, name) for name in names]
    moves = path.moves
    feeds = []
    for number in range(count):
        strokes = np.flatnonzero(before == number)
        low = path.point_lines[path.offsets[strokes[0]]]
        high = path.point_lines[path.offsets[strokes[-1] + 1] - 1]
        mine = moves.down & (moves.line >= low) & (moves.line <= high)
        feeds.append(float(moves.feed[mine].max()) if mine.any() else None)
    return tuple(
        Pen(name, width, feed=feed) for name, width, feed in zip(names, widths, feeds, strict=True)
    )


def _names(path: Toolpath, text: str, count: int) -> list[str]:
    """The first pen stands in the header, the others in the messages of the stops."""
    names = [f"pen {number}" for number in range(1, count + 1)]
    comments = " ".join(re.findall(r"^\((.*)\)$", text, re.MULTILINE)[:60])
    first = re.search(r"Begin with (.+?)\. \d+ strokes?, expected time", comments)
    if first is not None and count:
        names[0] = first[1]
    for number, message in enumerate(path.stops.messages, 1):
        said = re.fullmatch(r"put in pen (.+), [\d.e+-]+ mm", message)
        if message.strip() and number < count:
            names[number] = said[1] if said is not None else message
    return names


def _head(text: str) -> str:
    """The comments before the first words, without blanks, as lines break anywhere."""
    found = re.match(r"(?:\([^()\n]*\)\n)*", text)
    return re.sub(r"[() \n]", "", found[0]) if found is not None else ""


def _width(head: str, name: str) -> float:
    bare = re.escape(name.replace(" ", ""))
    found = re.search(rf"(?:pens:|,){bare}(\d[\d.e+-]*)mm", head)
    return float(found[1]) if found is not None else _UNSAID
