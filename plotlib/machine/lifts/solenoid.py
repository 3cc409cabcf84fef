"""A lift with a solenoid that is pulled with full power for a moment and held with less."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from plotlib.checks import between, one_of
from plotlib.errors import InvalidValue
from plotlib.machine.lifts.lift import Change, Lift, State, check_moves
from plotlib.machine.words import bare, lift_lines, spindle_after, words

# Seconds at full power. A coil has pulled in after some hundredths of a second (common practice, no
# source); more than two seconds were meant as milliseconds.
_SHORTEST_PULL = 0.001
_LONGEST_PULL = 2.0
_SPINDLE = {("M", 3.0), ("M", 4.0), ("M", 5.0)}


@dataclass(frozen=True, kw_only=True)
class SolenoidLift(Lift):
    """A lift with a solenoid (an electromagnet): full power pulls it in, less power holds it.

    Caution: a coil that is held at full power overheats, melts its insulation and can start a fire.
    Take pulls no longer and no more often than its maker's duty cycle allows, declare a ``hold``
    that the coil bears for as long as your longest stroke (or pause, if power holds the pen up),
    and never leave the machine alone. If a program is stopped in the middle of a pull, nothing
    lowers the power: switch the machine off.

    Parameters
    ----------
    pull, hold, release : str
        One line each: full power, the power that is enough to hold, and no power.
    pull_time : float
        Seconds of full power between ``pull`` and ``hold``, 0.001 to 2.
    holds : {"up", "down"}
        Which state the powered coil holds the pen in; a spring or the pen's weight brings the
        other. With "up" the coil stays powered during pen changes and after the program.
    settle_up, settle_down : float, default 0.1
        Seconds to wait after each change, 0 to 10.

    Raises
    ------
    InvalidValue
        If a line does nothing, moves X or Y, waits, stops the program, changes what coordinates
        mean or is not plain ASCII; if two of them leave the coil in the same state, or only some
        of them speak to the spindle output; or if a time is not in its range.
    UnknownName
        If ``holds`` is neither "up" nor "down".

    Examples
    --------
    >>> lift = SolenoidLift(
    ...     pull="M3 S255", hold="M3 S70", release="M5", pull_time=0.05, holds="down"
    ... )
    >>> lift.change("down")
    Change(lines=('M3 S255', 'M3 S70'), waits=(0.05, 0.0))
    >>> lift.change("up").lines, lift.seconds_down
    (('M5',), 0.15000000000000002)
    """

    kind: ClassVar[str] = "solenoid"

    pull: str
    hold: str
    release: str
    pull_time: float
    holds: str
    settle_up: float = 0.1
    settle_down: float = 0.1

    def __post_init__(self) -> None:
        for name in ("pull", "hold", "release"):
            object.__setattr__(self, name, _one_line(name, getattr(self, name)))
        seconds = between("pull_time", self.pull_time, _SHORTEST_PULL, _LONGEST_PULL, unit="s")
        object.__setattr__(self, "pull_time", seconds)
        one_of("holds", self.holds, ("up", "down"))
        self._check_settle_times()
        self._check_differ()
        self._check_speakers()
        check_moves(self.change("up").lines, self.change("down").lines)

    def _check_differ(self) -> None:
        """Three lines, three states of the coil."""
        told: dict[str, str] = {}
        for name in ("pull", "hold", "release"):
            line = bare(getattr(self, name))
            if line in told:
                raise InvalidValue(
                    f"lift {told[line]} and {name} are both {getattr(self, name)!r}: full power, "
                    f"holding power and no power need a line each",
                    name=f"lift {name}",
                    value=getattr(self, name),
                )
            told[line] = name
        pulled = spindle_after((self.pull,))
        if pulled is not None and pulled == spindle_after((self.pull, self.hold)):
            raise InvalidValue(
                f"lift pull {self.pull!r} and hold {self.hold!r} leave the same state: the coil "
                f"would be held at full power, and burn",
                name="lift hold",
                value=self.hold,
            )

    def _check_speakers(self) -> None:
        """All three lines speak to the spindle output, or none does: else nobody can follow."""
        names = ("pull", "hold", "release")
        speak = [_speaks_to_spindle(getattr(self, name)) for name in names]
        if any(speak) and not all(speak):
            odd = names[speak.index(False)]
            other = names[speak.index(True)]
            raise InvalidValue(
                f"lift {odd} {getattr(self, odd)!r} is not made of the spindle words M3, M4, M5 "
                f"and S, but {other} {getattr(self, other)!r} is; declare all three for one output",
                name=f"lift {odd}",
                value=getattr(self, odd),
            )

        for name in ("pull", "release"):
            line = getattr(self, name)
            if all(speak) and spindle_after((line,)) is None:
                raise InvalidValue(
                    f"lift {name} {line!r} holds S alone; say M3, M4 or M5 too, so that the state "
                    f"of the coil does not depend on what came before",
                    name=f"lift {name}",
                    value=line,
                )

    def _change(self, state: State) -> Change:
        """Pull, wait, hold; or release."""
        if state == self.holds:
            return Change((self.pull, self.hold), (self.pull_time, 0.0))
        return Change((self.release,), (0.0,))


def _one_line(name: str, value: object) -> str:
    lines = lift_lines(f"lift {name}", value)
    if len(lines) != 1:
        raise InvalidValue(
            f"lift {name} must be one line, got {list(lines)!r}", name=f"lift {name}", value=value
        )
    if ("G", 4.0) in words(lines[0]):
        raise InvalidValue(
            f"lift {name} {lines[0]!r} holds a wait (G4); waits are pull_time and the settle times",
            name=f"lift {name}",
            value=value,
        )
    return lines[0]


def _speaks_to_spindle(line: str) -> bool:
    return all(word[0] in "NS" or word in _SPINDLE for word in words(line))
