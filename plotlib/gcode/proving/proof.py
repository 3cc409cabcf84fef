"""prove: a written program, read back by the interpreter, must do what the plot says, and nothing
else.

The proof knows the plan, the machine and the semantics of the standard. It knows nothing of the
writer.
"""

from __future__ import annotations

from plotlib.errors import GcodeError
from plotlib.gcode.proving.bed import check_bed
from plotlib.gcode.proving.form import check_form, check_words
from plotlib.gcode.proving.ink import check_end, check_ink, check_stops
from plotlib.gcode.proving.moves import (
    check_envelope,
    check_feeds,
    check_motion_words,
    check_travels,
)
from plotlib.gcode.proving.pauses import check_pauses
from plotlib.gcode.proving.pen import check_dwells, check_pen
from plotlib.gcode.proving.rounds import check_turns
from plotlib.gcode.proving.told import check_header, check_messages
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.proving.width import check_width
from plotlib.gcode.reading.interpreter import run
from plotlib.gcode.reading.places import Places, places_of
from plotlib.gcode.reading.plain import Source
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Machine
from plotlib.planning.plot import Plot

_WHERE = {
    "prologue": "begin with",
    "setup": "follow the prologue with",
    "epilogue": "end with",
}


def prove(text: str, plot: Plot) -> Toolpath:
    """Replay a program and compare it with its plot; on the grid every comparison is one of whole
    numbers.

    Parameters
    ----------
    text : str
        The program as it would be sent.
    plot : Plot
        What it has to draw.

    Returns
    -------
    Toolpath
        What the program does.

    Raises
    ------
    ProofError
        If a clause does not hold; the first one: what, on which line (``error.line``, 0 for the
        whole), by how much.

    Notes
    -----
    The clauses:

    - plain ASCII, one line feed after each line, no line too long;
    - the declared prologue, setup and epilogue in their places, and no other words than a drawing
      needs; coordinates in fixed decimals, no -0;
    - the pen up before anything moves, on every travel and at the end; lifts as declared, each
      settled, the pauses inside them kept; no other dwell;
    - the same strokes in the same order, point for point; the same travels; arcs only where the
      machine has them and the plan too, about the same centres, their ends equally far from them
      within 0.002 mm, the plan's points along them;
    - one stop between pens and none elsewhere, which names the pen, and after which pen, distance
      mode, motion word and feed are said again;
    - nothing off the bed, in bed and in controller coordinates, nor in a keep-out, half the pen's
      width included; no ink off the paper;
    - over a bed that is not flat, the pen at its height on each point, and within the height map's
      tolerance between them; Z within the lift's limits;
    - travel by the declared word; the feeds of the plan, within the pens' and the axes';
    - the carriage parked at the end;
    - a header with the cautions and the facts.
    """
    machine = plot.machine
    path, source = interpreted(text, machine)
    check_motion_words(path, machine)
    check_envelope(path, source, machine)
    check_ink(path, plot)
    check_turns(path, plot)
    check_width(path, plot)
    check_stops(path, plot)
    check_messages(path, plot)
    check_dwells(path, source, machine)
    check_feeds(path, plot)
    check_end(path, machine)
    check_travels(path, plot)
    check_header(source.lines, plot)
    return path


def interpreted(text: str, machine: Machine) -> tuple[Toolpath, Source]:
    """What a program does, with all clauses about its form and its pen: those that know no plan."""
    check_form(text, machine)
    source = Source.of(text)
    places = places_of(source.lines, machine)
    _check_places(places, machine)
    check_words(source, places, machine)
    try:
        path = run(source, machine, places, frozenset())
    except GcodeError as error:
        raise refused(str(error).partition(": ")[2], line=error.line) from error
    check_pen(path, source, machine)
    check_pauses(path, source, machine)
    check_bed(path, machine)
    return path, source


def _check_places(places: Places, machine: Machine) -> None:
    for part, where in _WHERE.items():
        declared = getattr(machine, part)
        if getattr(places, part) is None:
            raise refused(
                f"the declared {part} is not in its place: the program must {where} "
                f"{', '.join(declared)}"
            )
