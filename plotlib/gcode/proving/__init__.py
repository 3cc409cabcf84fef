"""The proof: a written program does what its plot says, inside the envelope, and nothing else.

Begin with ``proof.py``: it lists the clauses and asks them in their order. Each file holds the
clauses about one thing: ``form.py`` (characters, words), ``pen.py`` and ``pauses.py`` (lifts and
their waits), ``moves.py`` (envelope, feeds, travels), ``ink.py`` and ``width.py`` (strokes, the
pen's width), ``told.py`` (comments). A clause that fails raises what ``verdict.py`` makes. The
proof knows the plan, the machine and ``gcode/reading``; of the writer it knows nothing.
"""
