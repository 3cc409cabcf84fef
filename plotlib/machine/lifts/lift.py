"""What every lift answers: the one protocol between the kinds of lifts and the rest of the package.

A lift moves its pen by declared lines, which are sent as they are, or by heights of the Z axis.
Whatever is asked of it is a fact about the machine; none of it is text that the writer makes, so
that the proof, which asks too, stays independent of the writer.
"""

from __future__ import annotations

import dataclasses
import math
from abc import ABC, abstractmethod
from typing import Any, ClassVar, Literal, NamedTuple

from plotlib.checks import not_negative, one_of
from plotlib.errors import InvalidValue
from plotlib.machine.words import spindle_after

State = Literal["up", "down"]
STATES: tuple[State, State] = ("up", "down")

# Seconds. Servos and solenoids settle in 0.05 to 1 (common practice, no source); what is longer was
# meant as milliseconds.
_LONGEST = 10.0


class Change(NamedTuple):
    """The declared lines that bring the pen into one state.

    Attributes
    ----------
    lines : tuple of str
        In the order in which they are sent; empty for a lift along Z.
    waits : tuple of float
        Seconds to wait after each of the lines before anything else is sent. The wait after the
        last one is the settle time and not among them.
    """

    lines: tuple[str, ...]
    waits: tuple[float, ...]


class Heights(NamedTuple):
    """Where a lift along Z has its pen, in mm, the ``feed`` in mm/min that it moves at, and the
    lowest and highest Z that its axis may go to.
    """

    up: float
    down: float
    feed: float
    limits: tuple[float, float] = (-math.inf, math.inf)


class Lift(ABC):
    """A pen lift, as the machine, the writer, the reader and the proof ask it.

    A kind of lift is a frozen dataclass that derives from this class, checks its fields when it is
    made, and answers ``_change``; a lift along Z answers ``heights`` too.

    Attributes
    ----------
    kind : str
        What profiles and messages call this kind of lift.
    settle_up, settle_down : float
        Seconds to wait after a change before the pen rests in its new state.

    Examples
    --------
    >>> from plotlib.machine import ServoLift, ZLift
    >>> [lift.lines for lift in (ServoLift("M5", "M3 S90"), ZLift(up=4, down=0, feed=600))]
    [('M5', 'M3 S90'), ()]
    """

    kind: ClassVar[str]
    settle_up: float
    settle_down: float

    def change(self, state: State) -> Change:
        """The declared lines that bring the pen into a state.

        Parameters
        ----------
        state : {"up", "down"}
            The state that the change ends in.

        Returns
        -------
        Change
            The lines and the wait in s after each; no lines if the pen moves along Z.

        Raises
        ------
        UnknownName
            If ``state`` is neither "up" nor "down".

        Examples
        --------
        >>> from plotlib.machine import ServoLift
        >>> ServoLift("M5", "M3 S90").change("down").lines
        ('M3 S90',)
        """
        one_of("state", state, STATES)
        return self._change(state)

    @abstractmethod
    def _change(self, state: State) -> Change:
        """What ``change`` answers, for a state that is one."""

    @property
    def heights(self) -> Heights | None:
        """Where the pen is up and down along Z; None if declared lines move it."""
        return None

    def with_down(self, height: float) -> Lift:
        """The same lift with another height of the pen that draws.

        Parameters
        ----------
        height : float
            Of ``down``, in mm.

        Raises
        ------
        InvalidValue
            If declared lines move the pen, or there is no such height.

        Examples
        --------
        >>> from plotlib.machine import ZLift
        >>> ZLift(up=4, down=0, feed=600).with_down(-0.2).heights.down
        -0.2
        """
        if self.heights is None:
            raise InvalidValue(
                f"a {self.kind} is moved by declared lines and has no height; only a lift along Z "
                f"has",
                name="lift",
            )
        return dataclasses.replace(self, down=height)  # type: ignore[type-var]

    @property
    def lines(self) -> tuple[str, ...]:
        """Every declared line, those that raise the pen first."""
        return self.change("up").lines + self.change("down").lines

    @property
    def pauses(self) -> dict[str, float]:
        """Lines after which a change is not complete but has to wait, and for how many seconds."""
        return {
            line: wait
            for change in (self.change("up"), self.change("down"))
            for line, wait in zip(change.lines, change.waits, strict=True)
            if wait > 0
        }

    def settle(self, state: State) -> float:
        """The settle time of a state in s.

        Parameters
        ----------
        state : {"up", "down"}
            The state that the pen settles in.

        Raises
        ------
        UnknownName
            If ``state`` is neither "up" nor "down".

        Examples
        --------
        >>> from plotlib.machine import ServoLift
        >>> ServoLift("M5", "M3 S90", settle_down=0.1).settle("down")
        0.1
        """
        one_of("state", state, STATES)
        return self.settle_up if state == "up" else self.settle_down

    @property
    def seconds_up(self) -> float:
        """Time of a rise in s, from its first line until the pen has settled."""
        return self._seconds("up")

    @property
    def seconds_down(self) -> float:
        """Time of a fall in s, from its first line until the pen has settled."""
        return self._seconds("down")

    def _seconds(self, state: State) -> float:
        return sum(self.change(state).waits) + self.settle(state)

    @property
    def holds_after_end(self) -> bool:
        """Whether the pen stays up after a program end, which also stops the spindle (NISTIR 6556,
        section 3.6.1).
        """
        up = spindle_after(self.change("up").lines)
        if up is None:
            return spindle_after(self.change("down").lines) is None
        return up[0] == "M5"

    def entry(self) -> dict[str, Any]:
        """The table of this lift in a machine's profile.

        Examples
        --------
        >>> from plotlib.machine import ZLift
        >>> ZLift(4, 0, 600).entry()
        {'kind': 'z', 'up': 4.0, 'down': 0.0, 'feed': 600.0, 'settle_up': 0.0, 'settle_down': 0.0}
        """
        fields = dataclasses.asdict(self)  # type: ignore[call-overload]
        said = {name: value for name, value in fields.items() if value is not None}
        return {"kind": self.kind, **said}

    def _check_settle_times(self) -> None:
        """Put the settle times in place as floats; InvalidValue if they cannot be seconds."""
        for name in ("settle_up", "settle_down"):
            object.__setattr__(self, name, brief(name, getattr(self, name), longest=_LONGEST))


def brief(name: str, value: Any, *, longest: float) -> float:
    """``value`` as seconds from 0 to ``longest``; InvalidValue with a hint at milliseconds."""
    seconds = not_negative(name, value, unit="s")
    if seconds > longest:
        raise InvalidValue(
            f"{name} is {seconds:g} s, and a pen settles within {longest:g} s; settle times are "
            f"seconds, not milliseconds: {seconds:g} ms are {name}={seconds / 1000:g}",
            name=name,
            value=value,
            longest=longest,
        )
    return seconds


def check_moves(up: tuple[str, ...], down: tuple[str, ...]) -> None:
    """Refuse lines after which a spindle would be in the same state, up or down."""
    state = spindle_after(up)
    if state is not None and state == spindle_after(down):
        raise InvalidValue(
            f"lift up {list(up)!r} and down {list(down)!r} leave the same state: "
            f"the pen would not move",
            name="lift down",
            value=down,
        )
