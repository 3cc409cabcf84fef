"""The Dialogue: what a controller says over its serial line, and what may be said to it at any
moment. Nothing of it is built in; all of it stands in its manual.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from plotlib.checks import between, whole
from plotlib.errors import InvalidValue
from plotlib.machine.words import declared

_LINE_ENDS = ("\n", "\r", "\r\n")
_LONGEST = 600.0  # s: whoever waits longer for one answer does not look on any more
_PROGRAM = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 .,:+-()%;/#[]")


@dataclass(frozen=True, kw_only=True)
class Dialogue:
    r"""The words that a controller answers with, and the single characters that it hears at once.

    Parameters
    ----------
    accepted : str
        The answer to a line that was taken: this text alone, or before a blank and more.
    refused : str or sequence of str
        How answers to lines that were not taken begin, and whatever else means trouble.
    greeting : str, optional
        How the line begins that the controller says when it starts; in the middle of a plot it
        tells that the controller was reset.
    asides : str or sequence of str, default ()
        How lines begin that answer nothing: messages and reports that come unasked.
    receive_bytes : int, optional
        How many bytes the controller can hold that it has not looked at; needed for keeping it
        full. Take it from the manual, never from a try.
    hold, go_on, halt : str, optional
        Single characters that are heard at once, wherever they stand: slow down and stand still,
        go on, and forget everything. Without them a stop comes after the lines already sent.
    ask, resting : str, optional
        The character that asks for the state, and a text that is in the answer only when nothing
        moves.
    unlock : str or sequence of str, default ()
        Lines that it needs after a reset before it takes any other.
    patience : float, default 5
        Seconds of silence, beyond what its moves explain, after which the line counts as dead;
        0.1 to 600.
    opening : float, default 2
        Seconds to wait for the greeting after the port was opened, since that may reset it;
        0 to 600.
    line_end : {"\n", "\r", "\r\n"}, default "\n"
        What ends a line that is sent.

    Raises
    ------
    InvalidValue
        If a text is empty or not printable ASCII, an answer could be taken for another, or an
        immediate character is not a single one or could stand in a program.

    Examples
    --------
    >>> words = Dialogue(accepted="taken", refused="cannot", greeting="awake", receive_bytes=96)
    >>> words.refused
    ('cannot',)
    """

    accepted: str
    refused: Any
    greeting: str | None = None
    asides: Any = ()
    receive_bytes: int | None = None
    hold: str | None = None
    go_on: str | None = None
    halt: str | None = None
    ask: str | None = None
    resting: str | None = None
    unlock: Any = ()
    patience: float = 5.0
    opening: float = 2.0
    line_end: str = "\n"

    def __post_init__(self) -> None:
        put = object.__setattr__
        put(self, "accepted", _text("accepted", self.accepted))
        for name in ("refused", "asides", "unlock"):
            put(self, name, declared(name, getattr(self, name)))
        for name in ("greeting", "resting"):
            if getattr(self, name) is not None:
                put(self, name, _text(name, getattr(self, name)))
        if not self.refused:
            raise InvalidValue(
                "refused must be at least one text: without it no fault could ever be heard",
                name="refused",
                value=self.refused,
            )
        if self.receive_bytes is not None:
            size = whole("receive_bytes", self.receive_bytes, low=16, high=1_000_000)
            put(self, "receive_bytes", size)
        put(self, "patience", between("patience", self.patience, 0.1, _LONGEST, unit="s"))
        put(self, "opening", between("opening", self.opening, 0.0, _LONGEST, unit="s"))
        self._check_characters()
        self._check_answers()

    def _check_characters(self) -> None:
        seen: dict[str, str] = {}
        for name in ("hold", "go_on", "halt", "ask"):
            sign = getattr(self, name)
            if sign is None:
                continue
            _check_character(name, sign)
            other = seen.setdefault(sign, name)
            if other != name:
                raise InvalidValue(
                    f"{name} and {other} are both {sign!r}; each needs its own character",
                    name=name,
                    value=sign,
                )
        if not isinstance(self.line_end, str) or self.line_end not in _LINE_ENDS:
            raise InvalidValue(
                f"line_end must be one of {_LINE_ENDS!r}, got {self.line_end!r:.40}",
                name="line_end",
                value=self.line_end,
            )
        for name, other in (("hold", "go_on"), ("go_on", "hold"), ("resting", "ask")):
            if getattr(self, name) is not None and getattr(self, other) is None:
                raise InvalidValue(f"{name} is of no use without {other}", name=name)

    def _check_answers(self) -> None:
        """No answer may be taken for another."""
        begins = [("accepted", self.accepted), *(("refused", text) for text in self.refused)]
        begins += [("asides", text) for text in self.asides]
        if self.greeting is not None:
            begins.append(("greeting", self.greeting))
        for place, (name, text) in enumerate(begins):
            for other, earlier in begins[:place]:
                if text.startswith(earlier) or earlier.startswith(text):
                    raise InvalidValue(
                        f"{name} {text!r} and {other} {earlier!r} begin alike, so one would be "
                        f"taken for the other",
                        name=name,
                        value=text,
                    )

    @property
    def immediate(self) -> str:
        """All characters that are heard at once."""
        return "".join(filter(None, (self.hold, self.go_on, self.halt, self.ask)))

    def entry(self) -> dict[str, Any]:
        """The table of this dialogue in a machine's profile.

        Examples
        --------
        >>> Dialogue(accepted="taken", refused="cannot").entry()["refused"]
        ('cannot',)
        """
        return dict(vars(self))


def _text(name: str, value: Any) -> str:
    lines = declared(name, value)
    if len(lines) != 1:
        raise InvalidValue(f"{name} must be one text, got {value!r:.100}", name=name, value=value)
    return lines[0]


def _check_character(name: str, sign: Any) -> None:
    if not isinstance(sign, str) or len(sign) != 1 or ord(sign) > 255 or sign in "\r\n":
        raise InvalidValue(
            f"{name} must be a single character of one byte, got {sign!r:.40}",
            name=name,
            value=sign,
        )
    if sign in _PROGRAM:
        raise InvalidValue(
            f"{name} {sign!r} may stand in a program, where it would be heard at once; "
            f"look into the manual again",
            name=name,
            value=sign,
        )
