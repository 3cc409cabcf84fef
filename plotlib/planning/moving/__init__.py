"""Moving: how long a machine takes, as a controller with look-ahead plans its moves.

``legs`` are the pen-up moves of a plot, ``feeds`` what each axis lets a pen do, ``motion`` and its
kernel plan speeds along polylines, and ``timing`` adds up a plot. Begin with ``motion``.
"""
