"""A lift on the Z axis of the machine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from plotlib.checks import between, finite, point, rate
from plotlib.errors import InvalidValue
from plotlib.machine.lifts.lift import Change, Heights, Lift, State


@dataclass(frozen=True)
class ZLift(Lift):
    """A lift on a Z axis.

    Parameters
    ----------
    up, down : float
        Heights in mm, different, of either sign. Any height that is not fully up counts as down.
    feed : float
        Rate of the Z axis in mm/min, 0.001 to 1e9.
    settle_up, settle_down : float, default 0
        Seconds to wait after each move, 0 to 10.
    limits : (float, float), optional
        The lowest and the highest Z in mm that the axis may go to, ``up`` and ``down`` between
        them; for a height map, which sends the pen lower or higher than ``down``.

    Raises
    ------
    InvalidValue
        If the heights are equal or beyond the limits, the feed is not positive, or a settle time
        is not from 0 to 10 s.

    Examples
    --------
    >>> ZLift(up=4, down=0, feed=600).seconds_up
    0.4
    """

    kind: ClassVar[str] = "z"

    up: float
    down: float
    feed: float
    settle_up: float = 0.0
    settle_down: float = 0.0
    limits: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "up", _height("lift up", self.up))
        object.__setattr__(self, "down", _height("lift down", self.down))
        object.__setattr__(self, "feed", rate("lift feed", self.feed))
        self._check_settle_times()
        if self.up == self.down:
            raise InvalidValue(
                f"lift up and down are both {self.up:g} mm: the pen would not move",
                name="lift down",
                value=self.down,
            )
        if self.limits is not None:
            object.__setattr__(self, "limits", self._checked_limits(self.limits))

    def _checked_limits(self, given: tuple[float, float]) -> tuple[float, float]:
        low, high = point("lift limits", given)
        if not low <= min(self.up, self.down) <= max(self.up, self.down) <= high:
            raise InvalidValue(
                f"lift limits must hold up {self.up:g} and down {self.down:g} mm between them, got "
                f"{low:g} to {high:g}",
                name="lift limits",
                value=self.limits,
            )
        return low, high

    def _change(self, state: State) -> Change:
        """No lines: the pen goes to a height."""
        return Change((), ())

    @property
    def heights(self) -> Heights:
        """Both heights in mm, the feed between them in mm/min, and the limits of the axis."""
        if self.limits is None:
            return Heights(self.up, self.down, self.feed)
        return Heights(self.up, self.down, self.feed, self.limits)

    def _seconds(self, state: State) -> float:
        """The Z move at its feed, and the settle time."""
        return abs(self.up - self.down) / self.feed * 60 + self.settle(state)


def _height(name: str, value: Any) -> float:
    return between(name, finite(name, value, unit="mm"), -1e6, 1e6, unit="mm")
