"""Sending: the door of the room, where files, machines and ports are checked."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

from plotlib.checks import flag, function
from plotlib.errors import InvalidValue, NotRead
from plotlib.files import PathLike
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.reader import read, text_of_file
from plotlib.gcode.reading.tolerances import TOLERANCES
from plotlib.gcode.writer import text_of
from plotlib.machine import Machine
from plotlib.planning.lifting import with_lift_of
from plotlib.planning.plot import Plot
from plotlib.streaming.events import Event, Outcome, StreamFault
from plotlib.streaming.job import Job
from plotlib.streaming.log import Log
from plotlib.streaming.ports import Port, SerialPort
from plotlib.streaming.proven import proven_job
from plotlib.streaming.stream import Stream

# What a caller says to have a file sent that is not proven.
UNPROVEN = "I have read this file and it may leave the bed"


def stream(
    file: PathLike | Plot,
    machine: Machine | None = None,
    *,
    port: str | Port,
    log: PathLike | None,
    keep_full: bool = False,
    unproven: str = "",
) -> Stream:
    """Send a proven file to a controller, as an iterator of events: nothing moves before the first
    is asked for, and each `next` does a little.

    Parameters
    ----------
    file : path or Plot
        A file that ``gcode.write`` has written for this machine, or a plot, which is written and
        proven here.
    machine : Machine, optional
        Whose bed and dialogue count; a plot brings its own.
    port : str or Port
        The name of a serial port (extra ``serial``), a URL such as ``socket://localhost:7777``, or
        a port of your own.
    log : path or None
        A new file for the log, from which ``resume`` knows the place after a fault or a power cut;
        None keeps none.
    keep_full : bool, default False
        Keep the controller's receive buffer full, so that the link is never idle. Without it each
        line waits for the answer to the one before: slower, but a refused line is never followed
        by others, and where an answer is missing its line is known. Take it only where lines come
        too slowly for fine curves.
    unproven : str, optional
        The sentence ``plotlib.streaming.UNPROVEN``, to send a file that is not proven.

    Returns
    -------
    Stream
        To iterate over. ``stream.pause()``, ``go_on()`` and ``stop()`` may be called between two
        events; ``stream.outcome`` is there at the end.

    Raises
    ------
    NotProven
        If the file does not pass its proof for this machine.
    InvalidValue
        If the machine declares no dialogue, or another argument is invalid.
    PortGone
        If the port cannot be opened.
    NotRead, NotWritten
        If the file cannot be read, or the log is there already.
    GcodeError
        If an unproven file cannot even be read.
    MissingPackage
        If a serial port is named and pyserial is not installed.

    Examples
    --------
    >>> from plotlib.machine import Axis, Dialogue, ServoLift
    >>> from plotlib.planning.plan import plan
    >>> from plotlib.drawing import Drawing
    >>> from plotlib.streaming.simulated import Controller, VirtualPort
    >>> words = Dialogue(accepted="taken", refused="cannot")
    >>> lift = ServoLift("M5", "M3 S90")
    >>> axis = Axis(9_000)
    >>> machine = Machine(
    ...     width=200, height=90, x=axis, y=axis, feed=600, lift=lift, dialogue=words
    ... )
    >>> plot = plan(Drawing([[(10, 10), (50, 10)]]), machine)
    >>> bench = Controller(machine)
    >>> [event.kind for event in stream(plot, port=VirtualPort(bench), log=None)][-1]
    'end'
    >>> bench.drawn == plot.drawing
    True
    """
    full = flag("keep_full", keep_full)
    job = _job(file, machine, unproven)
    _check_dialogue(job.machine, full)
    job.check_immediate()
    wire = _port(port, job.machine)
    try:
        book = Log(log)
    except BaseException:
        wire.close()
        raise
    return Stream(job, wire, book, keep_full=full, file=_name(file))


def send(
    file: PathLike | Plot,
    machine: Machine | None = None,
    *,
    port: str | Port,
    log: PathLike | None,
    ask: Callable[[str], object] | None = None,
    listener: Callable[[Event], object] | None = None,
    keep_full: bool = False,
    unproven: str = "",
) -> Outcome:
    """Send a proven file to a controller and come back when it is drawn.

    Ctrl-C stops the motion and raises the pen before it goes on its way as KeyboardInterrupt.

    Parameters
    ----------
    file, machine, port, log, keep_full, unproven
        As for ``stream``.
    ask : function, optional
        Called with what to do, "put in pen blue, 0.4 mm", when the pen is to be changed; comes back
        when that is done, with False to stop instead. Needed for files with more than one pen.
    listener : function, optional
        Called with every event; if it returns False, the plot stops at the next pen-up.

    Returns
    -------
    Outcome
        How it ended, if it is finished or was stopped as wished.

    Raises
    ------
    StreamFault
        If something went wrong: ``error.outcome`` says how things stand and ``str(error)`` what to
        do.
    KeyboardInterrupt
        After Ctrl-C, when the pen is up.
    NotProven, InvalidValue, PortGone, NotRead, NotWritten, GcodeError, MissingPackage
        As ``stream``.

    Examples
    --------
    >>> send("no-such.gcode", None, port="nowhere", log=None)
    Traceback (most recent call last):
    ...
    plotlib.errors.InvalidValue: a file needs machine=, the Machine that it is for
    """
    asked = None if ask is None else function("ask", ask)
    heard = None if listener is None else function("listener", listener)
    with stream(file, machine, port=port, log=log, keep_full=keep_full, unproven=unproven) as going:
        if asked is None and going.job.stops:
            raise InvalidValue(
                f"this file stops {len(going.job.stops)} times for another pen; pass ask=, a "
                f"function that has the person change it",
                name="ask",
            )
        for event in going:
            if heard is not None and _called("listener", heard, event) is False:
                going.stop()
            if event.kind != "change" or asked is None:
                continue
            if _called("ask", asked, event.text) is False:
                going.stop(at_once=True)
    outcome = going.outcome
    assert outcome is not None
    if outcome.kind == "interrupted":
        raise KeyboardInterrupt(outcome.text)
    if outcome.kind not in ("finished", "stopped"):
        raise StreamFault(outcome.text, outcome=outcome)
    return outcome


def _called(name: str, function: Callable[[Any], object], value: object) -> object:
    """What a function of the caller's returns; other errors than a TypeError are the caller's."""
    try:
        return function(value)
    except TypeError as error:
        raise InvalidValue(
            f"{name} must be a function of one argument: {error}", name=name, value=function
        ) from error


def _job(file: Any, machine: Any, unproven: Any) -> Job:
    if not isinstance(unproven, str):
        raise InvalidValue("unproven must be a sentence", name="unproven", value=unproven)
    if machine is not None and not isinstance(machine, Machine):
        raise InvalidValue(f"machine must be a Machine, got {machine!r:.100}", name="machine")
    if isinstance(file, Plot):
        return _job_of_plot(file, machine)
    if not isinstance(file, (str, os.PathLike)):
        raise InvalidValue(
            f"file must be the name of a file, or a Plot, got {file!r:.100}",
            name="file",
            value=file,
        )
    if machine is None:
        raise InvalidValue("a file needs machine=, the Machine that it is for", name="machine")
    text = text_of_file(Path(file))
    if not text.strip():
        raise NotRead(f"the file {os.fspath(file)!r} is empty; write it again", path=str(file))
    if "\n" not in text and "\r" not in text:
        text += "\n"  # else a single line would be taken for the name of a file
    if unproven == UNPROVEN:
        return Job(text, machine, read(text, machine, ignore=list(TOLERANCES)), None)
    if unproven:
        raise InvalidValue(
            f"unproven must be the sentence {UNPROVEN!r}, word for word",
            name="unproven",
            value=unproven,
        )
    return proven_job(text, machine)


def _job_of_plot(plot: Plot, machine: Machine | None) -> Job:
    if machine is not None and machine != plot.machine:
        raise InvalidValue(
            "the plot is planned for another machine; leave machine out", name="machine"
        )
    if with_lift_of(plot.drawing.pens, plot.machine) is None:
        raise InvalidValue(
            "the pens of this plot have different lifts, and one file has one lift; send it pen by "
            "pen: plot.part(pens=...)",
            name="file",
        )
    text = text_of(plot)
    return Job(text, plot.machine, prove(text, plot), plot)


def _check_dialogue(machine: Machine, keep_full: bool) -> None:
    if machine.dialogue is None:
        raise InvalidValue(
            f"the machine {machine.name!r} declares no dialogue, so nobody knows what its "
            f"controller says; add a Dialogue to its profile",
            name="machine",
        )
    if keep_full and machine.dialogue.receive_bytes is None:
        raise InvalidValue(
            "keep_full needs receive_bytes in the machine's dialogue: how many bytes its "
            "controller can hold",
            name="keep_full",
        )


def _port(port: Any, machine: Machine) -> Port:
    if not isinstance(port, str):
        if not all(callable(getattr(port, name, None)) for name in ("read", "write", "now")):
            raise InvalidValue(
                f"port must be the name of a serial port, got {port!r:.100}",
                name="port",
                value=port,
            )
        wire: Port = port
        return wire
    return SerialPort(port, baud=machine.baud)


def _name(file: Any) -> str:
    return "" if isinstance(file, Plot) else str(Path(file).resolve())
