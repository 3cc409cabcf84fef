"""Pen lifts: how this machine is told to raise and lower its pen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from plotlib.checks import between, finite, not_negative, rate
from plotlib.errors import InvalidValue
from plotlib.machine.words import bare, lift_lines, spindle_after

# Seconds. Servos and solenoids settle in 0.05 to 1 (common practice, no source); what is longer was
# meant as milliseconds.
_LONGEST = 10.0


@dataclass(frozen=True)
class ServoLift:
    """A lift that answers to words, such as a hobby servo on the spindle output.

    Which word lifts differs from machine to machine, so nothing is assumed: try both by hand, with
    the pen taken out.

    Parameters
    ----------
    up, down : str or sequence of str
        The line, or the lines in order (a ramp), that raise and lower the pen.
    settle_up, settle_down : float, default 0.2
        Seconds to wait after each, 0 to 10. A marker that rests adds a blot: keep ``settle_down``
        short.

    Raises
    ------
    InvalidValue
        For lines that do nothing, move X or Y, stop the program, change what coordinates mean, are
        not plain ASCII, or leave the pen in the same state.

    Examples
    --------
    >>> ServoLift(up="M5", down="M3 S90").down
    ('M3 S90',)
    """

    up: Any
    down: Any
    settle_up: float = 0.2
    settle_down: float = 0.2

    def __post_init__(self) -> None:
        object.__setattr__(self, "up", lift_lines("lift up", self.up))
        object.__setattr__(self, "down", lift_lines("lift down", self.down))
        object.__setattr__(self, "settle_up", _settle("settle_up", self.settle_up))
        object.__setattr__(self, "settle_down", _settle("settle_down", self.settle_down))
        both = min(len(self.up), len(self.down))
        if list(map(bare, self.up[-both:])) == list(map(bare, self.down[-both:])):
            raise InvalidValue(
                f"lift up {list(self.up)!r} and down {list(self.down)!r} end with the same lines: "
                f"the pen would not move"
            )
        state = spindle_after(self.up)
        if state is not None and state == spindle_after(self.down):
            raise InvalidValue(
                f"lift up {list(self.up)!r} and down {list(self.down)!r} leave the same state: "
                f"the pen would not move"
            )

    @property
    def seconds_up(self) -> float:
        """Time of a rise in s: the settle time."""
        return self.settle_up

    @property
    def seconds_down(self) -> float:
        """Time of a fall in s: the settle time."""
        return self.settle_down

    @property
    def holds_after_end(self) -> bool:
        """Whether the pen stays up when a program end (M2) also stops the spindle, as the standard
        has it.
        """
        state = spindle_after(self.up)
        return state[0] == "M5" if state else spindle_after(self.down) is None


@dataclass(frozen=True)
class ZLift:
    """A lift on a Z axis.

    Parameters
    ----------
    up, down : float
        Heights in mm, different, of either sign. Any height that is not fully up counts as down.
    feed : float
        Rate of the Z axis in mm/min, 0.001 to 1e9.
    settle_up, settle_down : float, default 0
        Seconds to wait after each move, 0 to 10.

    Raises
    ------
    InvalidValue
        For equal heights or a feed that is not positive.

    Examples
    --------
    >>> ZLift(up=4, down=0, feed=600).seconds_up
    0.4
    """

    up: float
    down: float
    feed: float
    settle_up: float = 0.0
    settle_down: float = 0.0

    def __post_init__(self) -> None:
        object.__setattr__(self, "up", _height("lift up", self.up))
        object.__setattr__(self, "down", _height("lift down", self.down))
        object.__setattr__(self, "feed", rate("lift feed", self.feed))
        object.__setattr__(self, "settle_up", _settle("settle_up", self.settle_up))
        object.__setattr__(self, "settle_down", _settle("settle_down", self.settle_down))
        if self.up == self.down:
            raise InvalidValue(f"lift up and down are both {self.up:g} mm: the pen would not move")

    @property
    def seconds_up(self) -> float:
        """Time of a rise in s: the Z move at its feed, and the settle time."""
        return abs(self.up - self.down) / self.feed * 60 + self.settle_up

    @property
    def seconds_down(self) -> float:
        """Time of a fall in s: the Z move at its feed, and the settle time."""
        return abs(self.up - self.down) / self.feed * 60 + self.settle_down

    @property
    def holds_after_end(self) -> bool:
        """True: a program end does not move Z."""
        return True


def _settle(name: str, value: Any) -> float:
    seconds = not_negative(name, value, unit="s")
    if seconds > _LONGEST:
        raise InvalidValue(
            f"{name} is {seconds:g} s, and a pen settles within {_LONGEST:g} s; settle times are "
            f"seconds, not milliseconds: {seconds:g} ms are {name}={seconds / 1000:g}",
            name=name,
            value=value,
            longest=_LONGEST,
        )
    return seconds


def _height(name: str, value: Any) -> float:
    return between(name, finite(name, value, unit="mm"), -1e6, 1e6, unit="mm")
