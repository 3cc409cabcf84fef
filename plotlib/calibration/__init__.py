"""Calibration: sheets that a machine draws of itself, and what their readings say about it.

Begin with ``page.py``, the frame of every sheet. ``geometry.py`` (squareness, backlash,
roundness), ``flatness.py`` (the height of the bed) and ``ink.py`` (lifts, feeds, widths, tones,
offsets of pens) make the sheets; ``flatness.py`` and ``solving.py`` turn readings into a height map
and corrections, which stand in the machine's profile.
"""

from plotlib.calibration.flatness import flatness_grid, from_heights, height_ladder
from plotlib.calibration.geometry import (
    backlash_comb,
    border,
    roundness,
    squareness_frame,
)
from plotlib.calibration.ink import (
    feed_ladder,
    lift_ladder,
    offset_cross,
    tone_ramp,
    width_wedge,
)
from plotlib.calibration.solving import Fit, corrected, from_frame, from_marks

__all__ = [
    "Fit",
    "backlash_comb",
    "border",
    "corrected",
    "feed_ladder",
    "flatness_grid",
    "from_frame",
    "from_heights",
    "from_marks",
    "height_ladder",
    "lift_ladder",
    "offset_cross",
    "roundness",
    "squareness_frame",
    "tone_ramp",
    "width_wedge",
]


def __dir__() -> list[str]:
    return sorted(__all__)
