"""G-code: written in the machine's declared words, and proven by an independent reader before it is
kept.

Begin with ``writer.py``: it makes a program line by line (``program.py``) and has it proven
(``proving/``) by what the interpreter (``reading/``) makes of it, a ``toolpath.py``. ``reader.py``
reads programs from elsewhere too, ``envelope.py`` tells how far one leaves the bed, and
``raised.py`` writes what is run with the pen held up.
"""

from plotlib.gcode.each import write_each
from plotlib.gcode.raised import dry_run, walk_around
from plotlib.gcode.reader import read
from plotlib.gcode.toolpath import Toolpath
from plotlib.gcode.writable import check_machine
from plotlib.gcode.writer import write

__all__ = ["Toolpath", "check_machine", "dry_run", "read", "walk_around", "write", "write_each"]


def __dir__() -> list[str]:
    return sorted(__all__)
