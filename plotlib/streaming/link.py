"""The Link: lines out, answers in, and the log between them."""

from __future__ import annotations

import re
from collections import deque

import numpy as np

from plotlib.machine import Dialogue
from plotlib.streaming.events import Trouble
from plotlib.streaming.job import Job
from plotlib.streaming.log import Log
from plotlib.streaming.ports import Port, PortGone, PortStuck

TICK = 0.05  # s of the port: how long one look at it may take
_ENDS = re.compile(rb"[\r\n]+")
_LONGEST = 4096  # bytes without a line end: no answer is so long
_SLOWER = 2.0  # a machine may need so many times what the motion model says


class Link:
    """One controller on one port.

    Attributes
    ----------
    sent, taken, rest : int
        Lines of the file: handed over last, acknowledged last without a gap, known to be done.
    surely : int
        The last line after which no answer was missing.
    unanswered : deque of (int, int)
        Lines handed over and not answered yet, with their bytes; 0 for lines that are not of the
        file.
    said : deque of str
        What came and answers nothing.
    """

    def __init__(self, job: Job, dialogue: Dialogue, port: Port, log: Log) -> None:
        self.job = job
        self.dialogue = dialogue
        self.port = port
        self.log = log
        self.sent = self.taken = self.rest = self.surely = 0
        self.unanswered: deque[tuple[int, int]] = deque()
        self.said: deque[str] = deque()
        self.is_resting = False
        self.is_greeted = False
        self.is_refused = False  # a line was refused, so that later ones leave a gap
        self.is_watched = True  # whether trouble is raised, or only noted
        self.answers = 0  # lines that came, of whatever kind
        self._rest_of_bytes = b""
        self._since = port.now()
        self._busy = np.concatenate([[0.0], np.cumsum(job.seconds)])

    # ---- out

    def send(self, numbers: list[int]) -> None:
        """Hand over lines of the file; the log knows first."""
        data = b""
        for number in numbers:
            line = self._bytes(self.job.lines[number - 1])
            data += line
            self.unanswered.append((number, len(line)))
        self.sent = numbers[-1]
        self._note(sent=self.sent)
        self._sync()
        if len(self.unanswered) == len(numbers):
            self._since = self.port.now()
        self._write(data)

    def send_own(self, line: str) -> None:
        """A line that is not of the file."""
        data = self._bytes(line)
        self.unanswered.append((0, len(data)))
        self._since = self.port.now()
        self._write(data)

    def sign(self, character: str) -> None:
        """A character that is heard at once."""
        self._write(character.encode("latin-1"))

    def _bytes(self, line: str) -> bytes:
        return (line + self.dialogue.line_end).encode("ascii", "replace")

    def _write(self, data: bytes) -> None:
        try:
            self.port.write(data, self.dialogue.patience)
        except PortGone as error:
            raise Trouble("gone", str(error)) from error
        except PortStuck as error:
            raise Trouble("stuck", str(error)) from error

    @property
    def waiting_bytes(self) -> int:
        """Bytes that the controller may not have looked at yet."""
        return sum(size for _, size in self.unanswered)

    # ---- in

    def listen(self, seconds: float = TICK) -> None:
        """Take what comes within so many seconds."""
        try:
            data = self.port.read(seconds)
        except PortGone as error:
            raise Trouble("gone", str(error)) from error
        if not data:
            return
        before = self.taken
        *whole, self._rest_of_bytes = _ENDS.split(self._rest_of_bytes + data)
        self._rest_of_bytes = self._rest_of_bytes[-_LONGEST:]
        try:
            for line in whole:
                self._hear(line.decode("latin-1").strip())
        finally:
            if self.taken != before:
                self._note(taken=self.taken)
                self._sync()

    def _hear(self, line: str) -> None:
        words = self.dialogue
        if not line:
            return
        self.answers += 1
        if line == words.accepted or line.startswith(f"{words.accepted} "):
            self._answered()
        elif line.startswith(words.refused):
            self._refuse(line)
        elif words.greeting is not None and line.startswith(words.greeting):
            self.is_greeted = True
            self._trouble("reset", f"the controller has started anew ({line!r})")
        elif words.resting is not None and words.resting in line:
            self.is_resting = True
        else:
            self.said.append(line)

    def _answered(self) -> None:
        self._since = self.port.now()
        if not self.unanswered:
            self._trouble("surplus", "the controller acknowledged a line that it never got")
            return
        number, _ = self.unanswered.popleft()
        if number and not self.is_refused:
            self.taken = number
            if not self.unanswered:
                self.surely = number

    def _refuse(self, line: str) -> None:
        number = self.unanswered.popleft()[0] if self.unanswered else 0
        self.is_refused = True
        where = (
            f"line {number}, {self.job.lines[number - 1]!r}" if number else "no line of the file"
        )
        self._trouble("refused", f"the controller answered {line!r} to {where}")

    def _trouble(self, kind: str, text: str) -> None:
        if self.is_watched:
            raise Trouble(kind, text)
        self.said.append(text)

    # ---- time

    def allowance(self) -> float:
        """Seconds of silence that the moves on their way may explain."""
        first = self.undone(self.taken)
        busy = float(self._busy[self.sent + 1] - self._busy[max(first - 1, 0)])
        return self.dialogue.patience + _SLOWER * busy

    def check_silence(self) -> None:
        """Give up when an answer is overdue."""
        if not self.unanswered:
            return
        silent = self.port.now() - self._since
        if silent > self.allowance():
            number = self.unanswered[0][0]
            self._trouble("silent", f"no answer to line {number} for {silent:.1f} s")

    def undone(self, taken: int) -> int:
        """The first line that may not be done though all up to ``taken`` are acknowledged: the
        controller's queue holds so many moves.
        """
        return first_undone(self.job, taken, self.rest)

    def queue_seconds(self) -> float:
        """How long the moves in a full queue last at the most."""
        first = self.undone(self.taken)
        return _SLOWER * float(self._busy[self.taken + 1] - self._busy[first])

    def at_rest(self) -> None:
        """Everything that was handed over is done."""
        self.rest = self.taken
        self._note(rest=self.rest)
        self._sync()

    def passed(self, number: int) -> None:
        """The person has done what a line asks for, which is never sent."""
        self.sent = self.taken = self.rest = self.surely = number
        self._note(sent=number, taken=number, rest=number)
        self._sync()

    def longest_wait(self) -> float:
        """How long the controller may be silent between two answers while it works."""
        first = self.undone(self.taken)
        return float(self.job.seconds[first : self.sent + 1].max(initial=0.0))

    @property
    def left(self) -> float:
        """Seconds that the lines after the last acknowledged one take."""
        return float(self._busy[-1] - self._busy[self.taken + 1])

    @property
    def share(self) -> float:
        """How much of the time is done."""
        whole = float(self._busy[-1])
        return 1.0 - self.left / whole if whole > 0 else 1.0

    # ---- log

    def _note(self, **record: int) -> None:
        try:
            self.log.write(**record)
        except (OSError, ValueError) as error:
            self._trouble("log", f"the log cannot be written: {error}")

    def _sync(self) -> None:
        try:
            self.log.sync()
        except (OSError, ValueError) as error:
            self._trouble("log", f"the log cannot be written: {error}")


def first_undone(job: Job, taken: int, rest: int) -> int:
    """The first line that may not be done, if all up to ``taken`` are acknowledged, those up to
    ``rest`` are known to be done, and the queue holds the machine's ``look_ahead`` moves.
    """
    motions = job.motions
    count = int(np.searchsorted(motions, taken, side="right"))
    first = count - job.machine.look_ahead
    oldest = int(motions[first]) if 0 <= first < len(motions) else 1
    return max(min(oldest, taken + 1), rest + 1)
