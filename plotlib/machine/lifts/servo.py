"""A lift that answers to declared lines, whatever they are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

from plotlib.errors import InvalidValue
from plotlib.machine.lifts.lift import Change, Lift, State, check_moves
from plotlib.machine.words import bare, lift_lines


@dataclass(frozen=True)
class ServoLift(Lift):
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
        If the lines do nothing, move X or Y, stop the program, change what coordinates mean, are
        not plain ASCII, or leave the pen in the same state; or if a settle time is not from 0 to
        10 s.

    Examples
    --------
    >>> ServoLift(up="M5", down="M3 S90").down
    ('M3 S90',)
    """

    kind: ClassVar[str] = "servo"

    up: Any
    down: Any
    settle_up: float = 0.2
    settle_down: float = 0.2

    def __post_init__(self) -> None:
        object.__setattr__(self, "up", lift_lines("lift up", self.up))
        object.__setattr__(self, "down", lift_lines("lift down", self.down))
        self._check_settle_times()
        self._check_ends()
        check_moves(self.up, self.down)

    def _check_ends(self) -> None:
        """The shorter of the two may not be the end of the longer one."""
        both = min(len(self.up), len(self.down))
        if list(map(bare, self.up[-both:])) == list(map(bare, self.down[-both:])):
            raise InvalidValue(
                f"lift up {list(self.up)!r} and down {list(self.down)!r} end with the same lines: "
                f"the pen would not move",
                name="lift down",
                value=self.down,
            )

    def _change(self, state: State) -> Change:
        """The declared lines of a state, sent one after another without a wait."""
        lines = self.up if state == "up" else self.down
        return Change(lines, (0.0,) * len(lines))
