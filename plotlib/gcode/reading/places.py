"""Where a program says the lines that its machine declares: the prologue and the setup first, the
epilogue last.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plotlib.gcode.reading.lines import key
from plotlib.machine import Machine

Place = tuple[int, ...]


@dataclass(frozen=True)
class Places:
    """Line numbers, from 1, of the declared lines; None for a part that the program does not say in
    its place.

    Attributes
    ----------
    prologue, setup, epilogue : tuple of int, or None
        Empty for a part of which the machine declares nothing.
    """

    prologue: Place | None
    setup: Place | None
    epilogue: Place | None

    @property
    def names(self) -> dict[int, str]:
        """Which part each of these lines belongs to."""
        return {
            line: part
            for part in ("epilogue", "setup", "prologue")
            for line in getattr(self, part) or ()
        }

    @property
    def head(self) -> int:
        """The last line of the prologue and the setup; 0 without any."""
        return max((self.prologue or ()) + (self.setup or ()), default=0)


def places_of(lines: Sequence[str], machine: Machine) -> Places:
    """Find the declared lines of ``machine`` in a program; lines that hold nothing but comments
    count nowhere.
    """
    forward = _spoken(lines, range(len(lines)))
    first, then, last = (
        _telling(part) for part in (machine.prologue, machine.setup, machine.epilogue)
    )
    head = [next(forward, None) for _ in range(len(first) + len(then))]
    split = len(first)
    prologue = _matched(head[:split], first)
    setup = _matched(head[split:] if prologue is not None else head[: len(then)], then)
    backward = _spoken(lines, range(len(lines) - 1, -1, -1))
    tail = [next(backward, None) for _ in last]
    epilogue = _matched(tail[::-1], last)
    if epilogue and epilogue[0] <= max((prologue or ()) + (setup or ()), default=0):
        epilogue = None  # the same lines cannot be the beginning and the end
    return Places(prologue, setup, epilogue)


def _telling(declared: Sequence[str]) -> list[str]:
    return [line for line in declared if key(line) not in ("", "%")]


def _spoken(lines: Sequence[str], order: range) -> Iterator[tuple[int, str]]:
    for index in order:
        name = key(lines[index])
        if name and name != "%":
            yield index + 1, name


def _matched(found: Sequence[tuple[int, str] | None], wanted: Sequence[str]) -> Place | None:
    """The lines, if they say what is wanted, one for one."""
    if any(item is None or item[1] != key(line) for item, line in zip(found, wanted, strict=True)):
        return None
    return tuple(item[0] for item in found if item is not None)
