"""Compiled: growing lines that stop at lines, crossing by crossing in the order of time.

The tessellation of E. N. Gilbert, *Random Plane Networks and Needle-Shaped Crystals*, in B. Noble,
*Applications of Undergraduate Mathematics in Engineering*, 1967 (from memory).

At a crossing of two lines the tip that arrives later stops, if the earlier one got there at all.
Invariant: crossings come in the order in which the later tip arrives, so that the fate of both tips
up to that moment is settled.

``tests/growth/test_cracks.py`` tests it against tips that are moved in small steps.
"""

from __future__ import annotations

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled_above


@compiled_above(20_000)
def stop_tips(
    late: IntArray, early: IntArray, way: FloatArray, needed: FloatArray, stops: FloatArray
) -> None:
    """Shorten ``stops`` (n,), how far each tip gets. Crossing k, of (m,): tip ``late[k]`` comes
    there after ``way[k]`` mm, and is stopped if tip ``early[k]`` got ``needed[k]`` mm far.
    """
    for k in range(len(late)):
        if stops[late[k]] > way[k] and stops[early[k]] >= needed[k]:
            stops[late[k]] = way[k]
