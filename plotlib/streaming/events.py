"""What a stream tells while it works, and how it ended."""

from __future__ import annotations

from dataclasses import dataclass

from plotlib.errors import PlotlibError

# Why a plot ended, and what the person does then.
ADVICE = {
    "finished": "everything is drawn",
    "stopped": "go on with resume when you like",
    "interrupted": "look at pen and carriage, then go on with resume",
    "refused": "look the answer up in the controller's manual, mend what it says, home the machine "
    "and go on with resume",
    "reset": "the controller has forgotten where it stands: check its supply and the cable, home "
    "it, and go on with resume",
    "silent": "check the cable, the baud and the controller; switch it off if it still moves, home "
    "it, and go on with resume",
    "gone": "put the cable back; nobody could lift the pen, so lift it by hand; home the machine "
    "and go on with resume",
    "stuck": "check the cable and the controller, lift the pen by hand if it is down, home the "
    "machine and go on with resume",
    "surplus": "check the cable and the words of the dialogue, home the machine and go on with "
    "resume",
    "log": "make room on the disk, and go on with resume",
}


@dataclass(frozen=True)
class Event:
    """One thing that happened.

    Attributes
    ----------
    kind : str
        "begin", "progress", "said" (the controller said something that answers nothing), "change"
        (put in the next pen; the plot goes on when the next event is asked for), "paused" or "end".
    line, lines : int
        The last line acknowledged, and how many the file has.
    stroke, strokes : int
        The stroke that comes next or is being drawn, and how many there are.
    share : float
        How much of the time is done, 0 to 1.
    left : float
        Seconds that the rest takes, by the motion model.
    text : str
        What was said, or is to be done.
    """

    kind: str
    line: int
    lines: int
    stroke: int
    strokes: int
    share: float
    left: float
    text: str = ""


@dataclass(frozen=True)
class Outcome:
    """How a plot ended.

    Attributes
    ----------
    kind : str
        "finished", "stopped" (asked for), "interrupted" (Ctrl-C), or what went wrong: "refused",
        "reset", "silent", "gone", "stuck", "surplus" or "log".
    text : str
        What happened, where, and what to do.
    sent, taken, rest : int
        The last line handed over, acknowledged, and known to be done.
    stroke : int
        The first stroke that may be incomplete.
    is_lifted : bool
        Whether the controller has acknowledged that the pen is to go up.
    """

    kind: str
    text: str
    sent: int
    taken: int
    rest: int
    stroke: int
    is_lifted: bool

    @property
    def is_finished(self) -> bool:
        """Whether everything is drawn."""
        return self.kind == "finished"


class StreamFault(PlotlibError, RuntimeError):
    """A plot that had to stop; ``outcome`` says how things stand."""

    outcome: Outcome


class Trouble(Exception):
    """Inside a stream: stop now, and why."""

    def __init__(self, kind: str, text: str) -> None:
        super().__init__(text)
        self.kind = kind
