"""The envelope as the controller counts it: with corrections the count at the edge of the bed may
lie beyond the bed.
"""

from __future__ import annotations

import numpy as np

from plotlib.errors import OutsideEnvelope
from plotlib.machine import Machine
from plotlib.planning.placing.envelope import SIDES
from plotlib.planning.placing.grid import GridStrokes


def check_counts(strokes: GridStrokes, machine: Machine) -> None:
    """Raise OutsideEnvelope for strokes at which the controller would have to count beyond its
    bed.
    """
    made = machine.corrections
    if made is None or not len(strokes):
        return
    home = np.asarray(machine.home)
    offset = machine.to_mm(strokes.points) - home
    counted = home + np.linalg.solve(np.array(made.matrix), offset.T).T
    room = np.array([machine.width, machine.height])
    play = np.array(made.backlash)
    is_low = home * 2 <= room  # moving away from home the count is ahead by the play
    over = np.hstack([np.where(is_low, 0, play) - counted, counted + play * is_low - room])
    if over.max() <= 0:
        return
    row, side = divmod(int(np.argmax(over)), 4)
    stroke = int(np.searchsorted(strokes.offsets, row, side="right")) - 1
    beyond = np.flatnonzero(over.max(axis=1) > 0)
    count = len(np.unique(np.searchsorted(strokes.offsets, beyond, side="right")))
    raise OutsideEnvelope(
        f"stroke {stroke}: with the machine's corrections its controller would have to count "
        f"{over.max():.{machine.decimals}f} mm beyond the bed on the {SIDES[side]}; draw farther "
        f"inside, or clip the drawing",
        stroke=stroke,
        side=SIDES[side],
        excess=float(over.max()),
        count=count,
    )
