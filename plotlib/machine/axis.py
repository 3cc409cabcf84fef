"""One axis of a machine."""

from __future__ import annotations

from dataclasses import dataclass

from plotlib.checks import positive
from plotlib.errors import InvalidValue


@dataclass(frozen=True)
class Axis:
    """What one axis can do.

    Parameters
    ----------
    rate : float
        Top rate in mm/min, > 0.
    acceleration : float, optional
        In mm/s², > 0. Not declared means infinite: times are then the shortest possible ones.
    reversed : bool, default False
        Whether the controller counts against the bed's direction.

    Examples
    --------
    >>> Axis(rate=10_000, acceleration=500)
    Axis(rate=10000.0, acceleration=500.0, reversed=False)
    """

    rate: float
    acceleration: float | None = None
    reversed: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "rate", positive("axis rate", self.rate, unit="mm/min"))
        if self.acceleration is not None:
            object.__setattr__(self, "acceleration", positive("axis acceleration", self.acceleration, unit="mm/s²"))
        if not isinstance(self.reversed, bool):
            raise InvalidValue(f"axis reversed must be True or False, got {self.reversed!r}")
