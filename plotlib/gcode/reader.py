"""read: a G-code program becomes a toolpath."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from plotlib.errors import InvalidValue, NotRead
from plotlib.files import read_text
from plotlib.gcode.reading.interpreter import run
from plotlib.gcode.reading.places import places_of
from plotlib.gcode.reading.plain import Source
from plotlib.gcode.reading.tolerances import tolerances
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Machine


def read(
    path_or_text: Path | str, machine: Machine, *, ignore: str | Iterable[str] = ()
) -> Toolpath:
    r"""Interpret a program strictly, as the open standard (RS274NGC) has it, for one machine.

    Parameters
    ----------
    path_or_text : Path or str
        The program. A str with a line end in it is the program's text; a Path, or a str without
        line end, names a file.
    machine : Machine
        Whose lift words, declared lines, zero and axis directions count. A line that the machine
        declares is legal in its place even when its words are unknown. After the prologue, or at
        the start without one, the carriage stands at home.
    ignore : str or iterable of str, default ()
        What to overlook in files from elsewhere, by the names that
        ``plotlib.gcode.reading.tolerances.TOLERANCES`` explains.

    Returns
    -------
    Toolpath
        Ink, travel, lifts and bounds in bed mm, each event with its line. Whether it stays on the
        bed is for ``plotlib.gcode.envelope.excess`` to tell.

    Raises
    ------
    GcodeError
        If a line breaks a rule, or steps from an unknown place; ``error.line`` is the
        first such line, from 1, and ``error.column`` where a word in it cannot be read.
    NotRead
        If a file is meant and cannot be read.
    UnknownName
        If a name in ``ignore`` is none of them.
    InvalidValue
        If ``machine`` is no Machine, or ``path_or_text`` names no file.

    References
    ----------
    T. R. Kramer, F. M. Proctor, E. Messina, *The NIST RS274NGC Interpreter, Version 3*, NISTIR
    6556, 2000.

    Examples
    --------
    >>> from plotlib.machine import Axis, Machine, ServoLift
    >>> lift = ServoLift("M5", "M3 S90")
    >>> axis = Axis(10_000)
    >>> machine = Machine(width=225, height=250, x=axis, y=axis, feed=3_000, lift=lift)
    >>> path = read("G21 G90\nM5\nG0 X3 Y4\nM3 S90\nG1 X13 F3000\nM5\nM2\n", machine)
    >>> path.travel, path.ink, path.bounds
    (5.0, 10.0, (0.0, 0.0, 13.0, 4.0))
    """
    if not isinstance(machine, Machine):
        raise InvalidValue(
            f"machine must be a Machine, got {type(machine).__name__}", name="machine"
        )
    names = tolerances(ignore)
    source = Source.of(text_of_file(path_or_text))
    return run(source, machine, places_of(source.lines, machine), names)


def text_of_file(path_or_text: Path | str) -> str:
    """The text, read from its file where a file is meant; bytes that are not UTF-8 may stand in
    comments.
    """
    if isinstance(path_or_text, str) and ("\n" in path_or_text or "\r" in path_or_text):
        return path_or_text
    try:
        return read_text(path_or_text, "G-code program", keep_bytes=True)
    except (InvalidValue, NotRead) as error:
        if isinstance(path_or_text, os.PathLike):
            raise
        kind = type(error)
        raise kind(
            f"{error}; a program given as text must hold at least one line end", **error.facts
        ) from error
