"""Resuming: what is left of a plot after a log, a line or a stroke, as a new proven file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from plotlib.checks import not_negative, whole
from plotlib.errors import InvalidValue
from plotlib.files import PathLike
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.reader import text_of_file
from plotlib.gcode.writer import text_of, write
from plotlib.machine import Machine
from plotlib.machine.entries import parts_of
from plotlib.machine.profile import build, tables_of
from plotlib.planning.plot import Plot
from plotlib.streaming.job import Job
from plotlib.streaming.link import first_undone
from plotlib.streaming.log import Told, read_log
from plotlib.streaming.proven import proven_job


@dataclass(frozen=True)
class Rest:
    """What is left to draw.

    Attributes
    ----------
    plot : Plot
        The rest, from the place where it goes on; without strokes if all is drawn.
    stroke : int
        The stroke of the whole that it goes on with.
    along : float
        How many mm of that stroke are left out.
    twice : float
        How many mm may be drawn a second time at the most.
    """

    plot: Plot
    stroke: int
    along: float
    twice: float


def resume(
    log: PathLike, path: PathLike, *, plot: Plot | None = None, overlap: float | None = None
) -> Rest:
    """Write what is left after a plot was interrupted, from its log.

    The new file begins as every file does, with the machine's prologue, which homes it if you have
    declared so; home and zero it by hand otherwise. It travels pen up to the place and goes on
    there.

    Parameters
    ----------
    log : path
        The log of ``send`` or ``stream``.
    path : path
        Where the new file goes.
    plot : Plot, optional
        The plot that was sent; without it, it is read from the file that the log names.
    overlap : float, optional
        Go on so many mm before the last place that is surely drawn, >= 0; without it, at the
        start of the interrupted stroke.

    Returns
    -------
    Rest

    Raises
    ------
    LogError
        If the log cannot be read.
    NotProven
        If the file is not what was sent, or not proven.
    InvalidValue
        If everything was drawn, the plot is another one, or an argument is invalid.
    NotRead, NotWritten
        If a file cannot be read or written.

    Examples
    --------
    >>> resume("no-such.jsonl", "rest.gcode")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    plotlib.errors.NotRead: cannot read the log 'no-such.jsonl': there is no such file; check...
    """
    told = read_log(log)
    job = _job(told, plot)
    if told.is_complete:
        raise InvalidValue("everything was drawn; there is nothing to go on with", name="log")
    first = first_undone(job, told.surely, told.rest)
    rest = _rest(job, first, told.sent, overlap)
    write(rest.plot, path)
    return rest


def rest_after(plot: Plot, line: int, *, overlap: float | None = None) -> Rest:
    """What is left of a plot from a line of its file on, for a file sent by another program.

    Parameters
    ----------
    plot : Plot
        The whole.
    line : int
        The first line, from 1, that was not done.
    overlap : float, optional
        As for ``resume``, mm.

    Returns
    -------
    Rest

    Raises
    ------
    InvalidValue
        If there is no such line, or another argument is invalid.

    Examples
    --------
    >>> from plotlib.machine import Axis, Machine, ServoLift
    >>> from plotlib.planning.plan import plan
    >>> from plotlib.drawing import Drawing
    >>> lift = ServoLift("M5", "M3 S90")
    >>> axis = Axis(9_000)
    >>> machine = Machine(width=200, height=90, x=axis, y=axis, feed=600, lift=lift)
    >>> plot = plan(Drawing([[(10, 10), (50, 10)], [(10, 20), (50, 20)]]), machine)
    >>> rest_after(plot, 1).stroke
    0
    """
    if not isinstance(plot, Plot):
        raise InvalidValue(f"plot must be a Plot, got {type(plot).__name__}", name="plot")
    text = text_of(plot)
    job = Job(text, plot.machine, prove(text, plot), plot)
    number = whole("line", line, low=1, high=len(job.lines))
    return _rest(job, number, number, overlap)


def _rest(job: Job, first: int, last: int, overlap: float | None) -> Rest:
    """What is left if nothing before line ``first`` is missing and nothing after ``last`` drawn."""
    plot = job.plot
    assert plot is not None
    kept = None if overlap is None else not_negative("overlap", overlap, unit="mm")
    stroke = job.stroke_at(first)
    if stroke >= len(plot.drawing):
        return Rest(plot.part(strokes=()), stroke, 0.0, 0.0)
    surely = job.ink_before(first)
    along = 0.0 if kept is None else max(surely - kept, 0.0)
    reached = job.ink_until(last) - job.ink_until(job.stroke_begin(stroke)) - along
    return Rest(plot.part(since=(stroke, along)), stroke, along, max(reached, 0.0))


def _job(told: Told, plot: Plot | None) -> Job:
    """What was sent, proven again."""
    where = "the profile in the log"
    table = parts_of(tables_of(told.begin["profile"], where=where), where=where)
    machine = build(Machine, table, where=where)
    if plot is not None:
        if not isinstance(plot, Plot):
            raise InvalidValue(f"plot must be a Plot, got {type(plot).__name__}", name="plot")
        text = text_of(plot)
        job = Job(text, plot.machine, prove(text, plot), plot)
    else:
        if not told.begin["file"]:
            raise InvalidValue(
                "the log is of a plot that was no file; pass plot=, the plot that was sent",
                name="plot",
            )
        text = text_of_file(Path(told.begin["file"]))
        job = proven_job(text, machine)
        if job.plot is None:
            raise InvalidValue("a dry run draws nothing; begin it again", name="log")
    if job.digest != told.begin["digest"]:
        raise InvalidValue(
            "this is not what was sent: the file or the plot has changed since; give the old one",
            name="log" if plot is None else "plot",
        )
    return job
