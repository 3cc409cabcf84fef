"""Everything that can go wrong on a line, one at a time: a controller and a port with one fault at
one line.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from plotlib.checks import one_of, whole
from plotlib.machine import Machine
from plotlib.streaming.ports import PortGone, PortStuck
from plotlib.streaming.simulated.controller import Controller
from plotlib.streaming.simulated.wires import VirtualPort

FAULTS: Final = MappingProxyType(
    {
        "refuses": "does not take a line, and says so",
        "refuses shortly": "does not take a line, and says no reason",
        "danger": "cries the last of its words of refusal, unasked",
        "resets": "starts anew instead of answering",
        "resets twice": "starts anew, and once more",
        "resets silently": "forgets everything and says nothing",
        "loses an answer": "takes a line and does not say so",
        "doubles an answer": "says twice that it took a line",
        "late": "answers late, but within its patience",
        "too late": "answers after its patience is over",
        "splits an answer": "says half of an answer, and the rest a moment later",
        "glues answers": "says a message and an answer in one breath",
        "other line ends": "ends an answer with a carriage return alone",
        "garbage in an answer": "an answer comes with bytes that are none of it",
        "garbage between": "a line of garbage comes before an answer",
        "silence": "says nothing any more, and hears nothing",
        "half an answer": "says half of an answer and nothing any more",
        "talks": "says messages that nobody asked for",
        "other rate out": "all that it says is garbage from the start",
        "other rate in": "all that it hears is garbage from a line on",
        "garbles": "hears one byte wrong",
        "small buffer": "holds fewer bytes than its dialogue declares",
        "pulled in writing": "the cable is pulled while a line is written",
        "pulled in reading": "the cable is pulled while it answers",
        "stuck": "the port takes no more bytes",
        "half stuck": "the port takes half of a line and no more",
    }
)
# Faults that a sender lives with: everything is drawn all the same.
HARMLESS: Final = frozenset(
    ["late", "splits an answer", "glues answers", "other line ends", "garbage between", "talks"]
)
_GARBAGE = b"\xfe\x80\xf8"
_SOON = 0.03  # s: a moment
_MESSAGE = "note: the lid is shut"


def faulty(
    machine: Machine, fault: str, line: int, *, baud: float | None = None
) -> tuple[Controller, VirtualPort]:
    """A controller with one fault, and a port to it.

    Parameters
    ----------
    machine : Machine
        Which controller; its dialogue says how it speaks.
    fault : str
        A name of ``FAULTS``, or "none".
    line : int
        With which of the lines that it gets, from 1, it goes wrong.
    baud : float, optional
        Bits per second of the line.

    Returns
    -------
    Controller, VirtualPort

    Raises
    ------
    UnknownName
        If there is no such fault.
    InvalidValue
        If ``line`` is no whole number of at least 1, or the machine declares no dialogue.

    Examples
    --------
    >>> sorted(FAULTS)[:3]
    ['danger', 'doubles an answer', 'garbage between']
    """
    name = one_of("fault", fault, ("none", *FAULTS))
    number = whole("line", line, low=1)
    controller = _Faulty(machine, name, number)
    return controller, _FaultyPort(controller, name, number, baud=baud)


class _Faulty(Controller):
    """A controller that goes wrong once."""

    def __init__(self, machine: Machine, fault: str, line: int) -> None:
        super().__init__(machine)
        self.fault = fault
        self.at = line
        if fault == "small buffer":
            self.size = max(self.size // 3, 1)

    @property
    def _is_now(self) -> bool:
        return self.counts.lines == self.at

    def say(self, line: str) -> None:
        if self.fault == "other rate out":
            self.out.append((self.time, _GARBAGE * (len(line) // 3 + 1)))
        else:
            super().say(line)

    def receive(self, data: bytes) -> None:
        if self.fault == "garbles" and self.counts.lines == self.at - 1 and len(data) > 2:
            self.fault = ""
            data = bytes([data[0], data[1] | 0x80]) + data[2:]
        if self.fault == "other rate in" and self.counts.lines >= self.at - 1:
            data = bytes(byte | 0x80 if byte != ord("\n") else byte for byte in data)
        super().receive(data)

    def answer(self, line: str) -> bool:
        if not self._is_now:
            return True
        words = self.words
        if self.fault in ("refuses", "refuses shortly"):
            self.counts.refused += 1
            self.say(words.refused[0] + (" this line" if self.fault == "refuses" else ""))
        elif self.fault == "danger":
            self.say(words.refused[-1])
        elif self.fault in ("resets", "resets twice"):
            self.reset()
            if self.fault == "resets twice":
                self.greet()
        elif self.fault == "resets silently":
            self._stand_still()
            self._start_anew()
            self._is_locked = bool(words.unlock)
        elif self.fault == "silence":
            self._die()
        else:
            return True
        return False

    def acknowledge(self, line: str) -> None:
        if not self._is_now:
            super().acknowledge(line)
            return
        word = self.words.accepted
        patience = self.words.patience
        half = len(word) // 2
        if self.fault == "loses an answer":
            return
        if self.fault == "doubles an answer":
            self.say(word)
            self.say(word)
        elif self.fault == "late":
            self._say_at(self.time + 0.5 * patience, f"{word}\r\n".encode())
        elif self.fault == "too late":
            self._say_at(self.time + 1e5 * patience, f"{word}\r\n".encode())
        elif self.fault == "splits an answer":
            self._say_at(self.time, word[:half].encode())
            self._say_at(self.time + _SOON, f"{word[half:]}\r\n".encode())
        elif self.fault == "glues answers":
            self._say_at(self.time, f"{_MESSAGE}\n{word}\r\n".encode())
        elif self.fault == "other line ends":
            self._say_at(self.time, f"{word}\r".encode())
        elif self.fault == "garbage in an answer":
            self._say_at(self.time, _GARBAGE + f"{word}\r\n".encode())
        elif self.fault == "garbage between":
            self._say_at(self.time, _GARBAGE + f"\r\n{word}\r\n".encode())
        elif self.fault == "half an answer":
            self._say_at(self.time, word[:half].encode())
            self._die()
        elif self.fault == "talks":
            self.say(_MESSAGE)
            self.say(word)
            self.say(_MESSAGE)
        else:
            super().acknowledge(line)

    def _say_at(self, time: float, data: bytes) -> None:
        self.out.append((time, data))

    def _die(self) -> None:
        """Nothing is heard or said any more; nothing moves."""
        self._stand_still()
        self._start_anew()
        self.is_dead = True


class _FaultyPort(VirtualPort):
    """A port that goes wrong once."""

    def __init__(
        self, controller: Controller, fault: str, line: int, *, baud: float | None
    ) -> None:
        super().__init__(controller, baud=baud)
        self.fault = fault
        self.at = line
        self.written = 0

    def write(self, data: bytes, seconds: float) -> None:
        self.written += data.count(b"\n")
        is_due = self.written >= self.at
        if is_due and self.fault == "pulled in writing":
            super().write(data[: len(data) // 2], seconds)
            self.is_gone = True
            raise PortGone("the cable was pulled")
        if is_due and self.fault in ("stuck", "half stuck"):
            if self.fault == "half stuck":
                self.fault = "stuck"
                super().write(data[: len(data) // 2], seconds)
            self.time += seconds
            self.controller.advance(self.time)
            raise PortStuck("the port takes no more bytes")
        super().write(data, seconds)

    def read(self, seconds: float) -> bytes:
        if self.fault == "pulled in reading" and self.written >= self.at:
            self.is_gone = True
        return super().read(seconds)
