"""The lines that a machine declares, and the longest that a move needs: whether they can be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plotlib.errors import InvalidValue
from plotlib.machine.longest import longest_move
from plotlib.machine.words import check_program, words

if TYPE_CHECKING:
    from plotlib.machine.machine import Machine


def check_lines(machine: Machine) -> None:
    """Prologue, setup, lift and epilogue: each line one that the controller takes, and all of them
    together a program that leaves the pen up.
    """
    parts = {
        "prologue": machine.prologue,
        "setup": machine.setup,
        "lift": machine.lift.lines,
        "epilogue": machine.epilogue,
    }
    for name, lines in parts.items():
        for line in lines:
            _check_line(machine, name, line)
    check_program(machine.prologue, machine.setup, machine.epilogue)
    if not machine.lift.holds_after_end and any(
        word in (("M", 2), ("M", 30)) for line in machine.epilogue for word in words(line)
    ):
        raise InvalidValue(
            "an epilogue with M2 or M30 stops the spindle, which does not hold this lift up; "
            "leave it out",
            name="epilogue",
            value=machine.epilogue,
        )


def _check_line(machine: Machine, name: str, line: str) -> None:
    """A declared line must be one that the controller takes."""
    if len(line) > machine.longest_line:
        raise InvalidValue(
            f"the line {line!r} has {len(line)} characters; longest_line allows "
            f"{machine.longest_line}",
            name=name,
            value=line,
        )
    if not machine.comments and ("(" in line or ";" in line):
        raise InvalidValue(
            f"the declared line {line!r} holds a comment, which this machine does not "
            f"take (comments=False)",
            name=name,
            value=line,
        )


def check_longest(machine: Machine) -> None:
    """No move may need a longer line than the controller takes."""
    needed = machine.line_needed(max(machine.feed, machine.travel_feed or 0.0))
    if needed > machine.longest_line:
        raise InvalidValue(
            f"longest_line is {machine.longest_line}, but a move on this bed needs up to {needed} "
            f"characters, such as {longest_move(machine, machine.feed)!r}; raise longest_line, or "
            f"take fewer decimals",
            name="longest_line",
            value=machine.longest_line,
            needed=needed,
        )
