"""A simulated controller, for tests and for trying out how a file is sent.

Begin with ``controller.py``: it receives bytes, answers, moves and draws. ``wires.py`` connects it,
in the same thread or at a port that any program opens, and ``faults.py`` has it go wrong.
"""

from plotlib.streaming.simulated.controller import Controller
from plotlib.streaming.simulated.faults import FAULTS, faulty
from plotlib.streaming.simulated.wires import VirtualPort, serve

__all__ = ["FAULTS", "Controller", "VirtualPort", "faulty", "serve"]


def __dir__() -> list[str]:
    return sorted(__all__)
