"""Corrections: how a machine's true ways differ from what its controller counts.

Seen from ``home``, where both agree, a count of (x, y) mm leads to
``(scale_x x + scale_y sin(skew) y, scale_y cos(skew) y)``. Home is at an edge, or nearer to one of
two: moving away from it each axis lags behind by its backlash, moving towards it by nothing, so
that the way back ends at the count of home. The writer undoes this before it writes, and the reader
does it before it compares, each by the formulas of its own room.
"""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import Any

from plotlib.checks import between


@dataclass(frozen=True, kw_only=True)
class Corrections:
    """What calibration sheets have found out about a machine; the functions of
    ``plotlib.calibration`` make it from readings.

    Parameters
    ----------
    scale_x, scale_y : float, default 1
        True mm for each mm that the controller counts along an axis, 0.8 to 1.25.
    skew : float, default 0
        By how many degrees the y axis leans to the right of the right angle, -10 to 10.
    backlash_x, backlash_y : float, default 0
        Mm that an axis loses when it turns round, 0 to 5. It is taken up on the way of the move
        that turns: at every point the pen is where it should be, between two points of a turn it
        may be off by the backlash.

    Raises
    ------
    InvalidValue
        If a value is not in its range.

    Examples
    --------
    >>> Corrections(scale_x=1.01, skew=0.5).matrix[0][0]
    1.01
    """

    scale_x: float = 1.0
    scale_y: float = 1.0
    skew: float = 0.0
    backlash_x: float = 0.0
    backlash_y: float = 0.0

    def __post_init__(self) -> None:
        for name in ("scale_x", "scale_y"):
            self._put(name, 0.8, 1.25, "")
        self._put("skew", -10.0, 10.0, "degrees")
        for name in ("backlash_x", "backlash_y"):
            self._put(name, 0.0, 5.0, "mm")

    def _put(self, name: str, low: float, high: float, unit: str) -> None:
        value = between(name, getattr(self, name), low, high, unit=unit)
        object.__setattr__(self, name, value)

    @property
    def matrix(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """From what the controller counts to true mm, as rows."""
        lean = math.radians(self.skew)
        return (
            (self.scale_x, self.scale_y * math.sin(lean)),
            (0.0, self.scale_y * math.cos(lean)),
        )

    @property
    def backlash(self) -> tuple[float, float]:
        """Of both axes, in mm."""
        return self.backlash_x, self.backlash_y

    def entry(self) -> dict[str, Any]:
        """The table of these corrections in a machine's profile.

        Examples
        --------
        >>> Corrections(skew=0.5).entry()["skew"]
        0.5
        """
        return dataclasses.asdict(self)
