"""G-code: written in the machine's declared words, and proven by an independent reader before it is
kept.

Begin with ``writer.py``, which makes a program line by line (``program.py``) and has it proven
(``proof.py``); ``reader.py`` reads programs from elsewhere too.
"""

from plotlib.gcode.reader import read
from plotlib.gcode.toolpath import Toolpath
from plotlib.gcode.writable import check_machine
from plotlib.gcode.writer import write

__all__ = ["Toolpath", "check_machine", "read", "write"]


def __dir__() -> list[str]:
    return sorted(__all__)
