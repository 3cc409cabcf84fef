"""One axis of a machine."""

from __future__ import annotations

from dataclasses import dataclass

from plotlib.checks import rate
from plotlib.errors import InvalidValue


@dataclass(frozen=True)
class Axis:
    """What one axis can do.

    Parameters
    ----------
    rate : float
        Top rate in mm/min, 0.001 to 1e9.
    acceleration : float, optional
        In mm/s², 0.001 to 1e9. Not declared means infinite: times are then the shortest possible
        ones.
    reversed : bool, default False
        Whether the controller counts against the bed's direction.

    Raises
    ------
    InvalidValue
        If ``rate`` or ``acceleration`` is not a number in its range, or ``reversed`` is not True or
        False.

    Examples
    --------
    >>> Axis(rate=10_000, acceleration=500)
    Axis(rate=10000.0, acceleration=500.0, reversed=False)
    """

    rate: float
    acceleration: float | None = None
    reversed: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "rate", rate("axis rate", self.rate))
        if self.acceleration is not None:
            object.__setattr__(
                self, "acceleration", rate("axis acceleration", self.acceleration, unit="mm/s²")
            )
        if not isinstance(self.reversed, bool):
            raise InvalidValue(
                f"axis reversed must be True or False, got {self.reversed!r}",
                name="axis reversed",
                value=self.reversed,
            )
