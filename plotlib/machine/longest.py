"""The longest line that a move of a machine can need."""

from __future__ import annotations

from typing import TYPE_CHECKING

from plotlib.machine.height_map import pressed_between

if TYPE_CHECKING:
    from plotlib.machine.machine import Machine

# mm, of arcs; larger radii lose digits in controllers that count in short floats (common practice,
# no source), and a line does as well.
LARGEST_RADIUS = 1_000.0


def longest_move(machine: Machine, feed: float) -> str:
    """A move to the corner whose coordinates take the most characters, and to the height that
    does.
    """
    spoken = []
    places = machine.decimals + (machine.corrections is not None)
    for letter, zero, size, axis in (
        ("X", machine.zero[0], machine.width, machine.x),
        ("Y", machine.zero[1], machine.height, machine.y),
    ):
        sign = -1.0 if axis.reversed else 1.0
        ends = [(end - zero) * sign + 0.0 for end in (0.0, size)]
        spoken.append(max((f"{letter}{end:.{places}f}" for end in ends), key=len))
    heights = machine.lift.heights
    if machine.height_map is not None and heights is not None:
        lowest, highest = pressed_between(machine.height_map, heights)
        words = [f"Z{end:.{machine.decimals}f}" for end in (lowest, highest)]
        spoken.append(max(words, key=len))
    if machine.writes_arcs:
        spoken += [f"{letter}{-LARGEST_RADIUS:.{machine.decimals}f}" for letter in "IJ"]
    return f"G1 {' '.join(spoken)} F{feed:.3f}"
