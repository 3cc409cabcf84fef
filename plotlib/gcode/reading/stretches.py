"""A long program stretch by stretch, so that never more than one of them has to be remembered.

Stretches meet where the pen is up and settled, before a way to the next stroke. Each line is
interpreted once, in its order, by one carriage that goes on from stretch to stretch. The source of
a stretch begins after the last move of the one before: how the pen was raised there is known to
both, and to whoever judges them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple, cast

import numpy as np

from plotlib.checks import IntArray
from plotlib.gcode.reading.interpreter import Interpreter
from plotlib.gcode.reading.places import Places
from plotlib.gcode.reading.plain import Cut, Lines, Source
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Machine

_TRIED = 0.9  # share of a stretch after which its end is looked for


class Stretch(NamedTuple):
    """Some of a program's lines, counted from 1 in each stretch, and what they do.

    Attributes
    ----------
    path : Toolpath
    source : Source
        Its lines, and before them those after the last move of the stretch before.
    places : Places
        Where it says the machine's declared lines.
    is_last : bool
    share : float
        How much of the program is done with it, 0 … 1.
    """

    path: Toolpath
    source: Source
    places: Places
    is_last: bool
    share: float


class Ends(Cut):
    """The lines of a text, for who wants the first and the last of them only."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._count = text.count("\n")
        self._starts = [0]
        self._ends = [len(text)]

    def __len__(self) -> int:
        return self._count

    def _line(self, index: int) -> str:
        if 2 * index < self._count:
            return self._from_start(index)
        return self._from_end(self._count - 1 - index)

    def _from_start(self, index: int) -> str:
        while len(self._starts) < index + 2:
            self._starts.append(self._text.index("\n", self._starts[-1]) + 1)
        return self._text[self._starts[index] : self._starts[index + 1] - 1]

    def _from_end(self, index: int) -> str:
        while len(self._ends) < index + 2:
            self._ends.append(self._text.rfind("\n", 0, self._ends[-1] - 1) + 1)
        return self._text[self._ends[index + 1] : self._ends[index] - 1]


def stretches(
    text: str,
    machine: Machine,
    places: Places,
    *,
    size: int,
    may_end: Callable[[int], bool],
) -> Iterator[Stretch]:
    """Interpret a program in stretches of about ``size`` characters, or more where a stroke is
    longer.

    Parameters
    ----------
    text : str
        The program in plain ASCII, a line feed after each line.
    machine : Machine
        One without corrections: what its backlash does depends on the moves of other stretches.
    places : Places
        Where the program says the machine's declared lines.
    size : int
        Characters.
    may_end : function
        Whether a stretch may end after so many strokes of its own.

    Raises
    ------
    GcodeError
        If a line breaks a rule; it is counted in its stretch.
    """
    walk = _Walk(text, machine, places)
    while not walk.is_over:
        yield walk.stretch(size, may_end)


class _Walk:
    """The place in a text, and the interpreter that has come so far."""

    def __init__(self, text: str, machine: Machine, places: Places) -> None:
        self._text = text
        self._all = places
        self._begun = 0  # the character at which the source begins
        self._before = 0  # lines before it
        self._done = 0  # lines of the source that are done
        self._source = Source.of("")
        self._interpreter = Interpreter(self._source, machine, places, frozenset())
        self.is_over = False

    def stretch(self, size: int, may_end: Callable[[int], bool]) -> Stretch:
        """Run until a stretch may end."""
        low = 0  # where to look for its end
        while not self.is_over:
            places = self._load(size)
            low = max(low or int(len(self._source.lines) * _TRIED), self._done, places.head)
            if not self.is_over and self._run(low, may_end):
                return self._cut(places)
            size *= 2
        count = len(self._source.lines)
        self._interpreter.go(self._done, count)
        return Stretch(self._interpreter.finished(count), self._source, places, True, 1.0)

    def _load(self, size: int) -> Places:
        """Take so many characters, to the end of a line."""
        end = self._text.find("\n", self._begun + size) + 1 or len(self._text)
        self.is_over = end == len(self._text)
        self._source = Source.of(self._text[self._begun : end])
        places = self._places()
        self._interpreter.go_on_in(self._source, places)
        return places

    def _places(self) -> Places:
        """The declared lines as the source counts them."""
        head = self._all if not self._before else Places(None, None, None)
        last = tuple(line - self._before for line in self._all.epilogue or ())
        is_said = last and last[-1] <= len(self._source.lines)
        return Places(head.prologue, head.setup, last if is_said else None)

    def _run(self, low: int, may_end: Callable[[int], bool]) -> bool:
        """Whether there is a line to stop at from ``low`` on; there the interpreter stands then."""
        count = len(self._source.lines)
        epilogue = (self._all.epilogue or (self._before + count + 1,))[0]
        high = min(count, epilogue - self._before - 1)
        for index in _candidates(self._source, low, high).tolist():
            self._interpreter.go(self._done, index)
            self._done = index
            if self._is_good(may_end):
                return True
        return False

    def _is_good(self, may_end: Callable[[int], bool]) -> bool:
        """Whether all that a judge has to know of a stretch lies in it."""
        carriage = self._interpreter.carriage
        record = carriage.record
        is_up = carriage.down is False and carriage.pen.whole and carriage.is_placed
        if not is_up or not record.is_change_last or not record.is_inked_last:
            return False
        return may_end(len(record.ends))

    def _cut(self, places: Places) -> Stretch:
        """The stretch up to here; the next one begins after its last move."""
        carriage = self._interpreter.carriage
        record = carriage.record
        path = self._interpreter.so_far()
        done = self._source.first(self._done)
        shift = record.last_move
        self._begun += int(cast(Lines, self._source.lines).starts[shift])
        self._before += shift
        self._done -= shift
        carriage.record = record.rest(done, carriage.place)
        return Stretch(path, done, places, False, self._begun / len(self._text))


def _candidates(source: Source, low: int, high: int) -> IntArray:
    """Lines ``low`` … ``high - 1``, from 0, that lead somewhere after one that does not."""
    leads = source.kind[low:high] >= 0
    return np.asarray(np.flatnonzero(leads[1:] & ~leads[:-1]) + low + 1)
