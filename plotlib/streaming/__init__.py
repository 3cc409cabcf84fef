"""Sending a proven file to the controller of a machine, line by line, and going on after whatever
may interrupt it.

Begin with ``sending.py``, the door. ``stream.py`` is the plot on its way, an iterator of events;
``link.py`` counts lines and answers; ``job.py`` knows what each line does; ``log.py`` keeps what
was acknowledged, and ``resuming.py`` goes on from it. ``ports.py`` has the wires, ``simulated/`` a
controller for tests and for trying out. ``python -m plotlib.streaming`` sends from the command
line. No thread is started, and none is left behind.
"""

from plotlib.streaming.events import Event, Outcome, StreamFault
from plotlib.streaming.log import LogError, read_log
from plotlib.streaming.ports import PortGone, PortStuck
from plotlib.streaming.proven import NotProven
from plotlib.streaming.resuming import Rest, rest_after, resume
from plotlib.streaming.sending import UNPROVEN, send, stream
from plotlib.streaming.stream import Stream

__all__ = [
    "UNPROVEN",
    "Event",
    "LogError",
    "NotProven",
    "Outcome",
    "PortGone",
    "PortStuck",
    "Rest",
    "Stream",
    "StreamFault",
    "read_log",
    "rest_after",
    "resume",
    "send",
    "stream",
]


def __dir__() -> list[str]:
    return sorted(__all__)
