"""prove: a written program, read back by the interpreter, must do what the plot says, and nothing
else.

The proof knows the plan, the machine and the semantics of the standard. It knows nothing of the
writer.
"""

from __future__ import annotations

from collections.abc import Callable

from plotlib.errors import GcodeError, ProofError
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
from plotlib.gcode.proving.planned import Planned, planned
from plotlib.gcode.proving.rounds import check_turns
from plotlib.gcode.proving.told import check_header, check_messages
from plotlib.gcode.proving.verdict import refused
from plotlib.gcode.proving.width import check_width
from plotlib.gcode.reading.interpreter import run
from plotlib.gcode.reading.places import Places, places_of
from plotlib.gcode.reading.plain import Source
from plotlib.gcode.reading.stretches import Ends, stretches
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Machine
from plotlib.planning.plot import Plot

STRETCH = 1 << 22  # characters judged together: their tables take some 40 MB
_BENT = 8  # times as many moves has a text of arcs, which are judged in chords
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
    path, source = interpreted(text, plot.machine)
    plan = planned(plot)
    _check_moves(path, source, plan)
    check_end(path, plot.machine)
    check_travels(path, plan)
    check_header(source.lines, plot)
    return path


def check(text: str, plot: Plot, *, tell: Callable[[float], None] | None = None) -> None:
    """As :func:`prove`, for who does not ask what the program does: a long one is judged stretch by
    stretch, in a few megabytes.

    Every clause holds for the whole where it holds for each stretch. Where one does not, or a
    program has no places to part it, the whole is judged at once, so that the error is the same.

    Parameters
    ----------
    text : str
        The program as it would be sent.
    plot : Plot
        What it has to draw.
    tell : function, optional
        Told the share done, 0 … 1.

    Raises
    ------
    ProofError
        If a clause does not hold, as from :func:`prove`.
    """
    is_long = len(text) > 2 * _stretch(plot) and plot.machine.corrections is None
    if not is_long or not _holds_in_stretches(text, plot, tell or (lambda share: None)):
        prove(text, plot)


def _stretch(plot: Plot) -> int:
    """How many characters of a program are judged together."""
    return STRETCH // _BENT if len(plot.arcs) else STRETCH


def _holds_in_stretches(text: str, plot: Plot, tell: Callable[[float], None]) -> bool:
    try:
        _check_stretches(text, plot, tell)
    except (ProofError, GcodeError):
        return False
    return True


def _check_stretches(text: str, plot: Plot, tell: Callable[[float], None]) -> None:
    machine = plot.machine
    check_form(text, machine)
    places = places_of(Ends(text), machine)
    _check_places(places, machine)
    index = plot.drawing.pen_index
    first = 0

    def may_end(count: int) -> bool:
        """Between strokes of one pen: the stops belong to the strokes on both their sides."""
        end = first + count
        return end < len(index) and bool(index[end - 1] == index[end])

    for stretch in stretches(text, machine, places, size=_stretch(plot), may_end=may_end):
        path, source, declared, is_last, share = stretch
        end = len(index) if is_last else first + len(path)
        plan = planned(plot, first, end)
        check_words(source, declared, machine)
        _check_lifts(path, source, machine)
        _check_moves(path, source, plan)
        check_travels(path, plan)
        if not first:
            check_header(source.lines, plot)
        if is_last:
            check_end(path, machine)
        first = end
        tell(share)


def _check_moves(path: Toolpath, source: Source, plan: Planned) -> None:
    """What a plan asks of each move and stroke."""
    machine = plan.machine
    check_motion_words(path, machine)
    check_envelope(path, source, machine)
    check_ink(path, plan)
    check_turns(path, plan)
    check_width(path, plan)
    check_stops(path, plan)
    check_messages(path, plan)
    check_dwells(path, source, machine)
    check_feeds(path, plan)


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
    _check_lifts(path, source, machine)
    return path, source


def _check_lifts(path: Toolpath, source: Source, machine: Machine) -> None:
    """What is asked of every program about its pen."""
    check_pen(path, source, machine)
    check_pauses(path, source, machine)
    check_bed(path, machine)


def _check_places(places: Places, machine: Machine) -> None:
    for part, where in _WHERE.items():
        declared = getattr(machine, part)
        if getattr(places, part) is None:
            raise refused(
                f"the declared {part} is not in its place: the program must {where} "
                f"{', '.join(declared)}"
            )
