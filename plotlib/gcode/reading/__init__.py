"""Interpreting a program: text to Toolpath, as the open standard RS274NGC (NISTIR 6556) has it.

Begin with ``interpreter.py``, which runs the lines one after another. ``lines.py`` takes a line
apart, ``vocabulary.py`` sorts its words into a command, ``places.py`` finds the machine's declared
lines. ``carriage.py`` obeys commands: it keeps ``modes.py``, follows the pen by ``penstate.py``,
bends ``arcs.py``, and moves a ``track.py`` that takes notes in a ``record.py``, of which the
Toolpath is made. ``plain.py`` runs straight moves many at a time; ``tolerances.py`` names what may
be overlooked. Nothing here knows how plotlib writes programs.
"""
