"""Placing: from mm to the machine's grid, and inside its envelope or refused.

``grid`` rounds every point once to whole units; ``envelope`` finds what leaves the bed or the sheet
or enters a keep-out (``outline`` what leaves a sheet that is no rectangle or lies turned),
``advice`` tries what would mend it before it is advised (``room``, ``outlined``), and ``notes``
reports what may be drawn but is worth knowing. ``detour`` leads pen-up moves around what the
carriage may not pass over, by the shortest ways that ``streets`` finds. Begin with ``grid``.
"""
