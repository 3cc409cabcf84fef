"""The words that the interpreter knows, by modal group, and a line's words sorted into a command.

After tables 4 and 8 of RS274NGC (NISTIR 6556): one G word of each modal group on a line, at most
four M words, one of each other letter.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from plotlib.gcode.reading.lines import Fault, Line, key, parse

_GROUPS: Final = {
    "motion": "G0 G1 G2 G3 G80",
    "plane": "G17",
    "distance": "G90 G91",
    "feed mode": "G93 G94",
    "units": "G20 G21",
    "dwell": "G4",
    "offset": "G92 G92.1 G92.2 G92.3",
    "stop": "M0 M1 M2 M30 M60",
    "spindle": "M3 M4 M5",
    "cutter": "G40",
    "length": "G49",
    "system": "G54",
    "path": "G61 G61.1 G64",
    "overrides": "M48 M49",
}
GROUP: Final = MappingProxyType(
    {word: group for group, words in _GROUPS.items() for word in words.split()}
)
_COOLANT: Final = frozenset({"M7", "M8", "M9"})
_TOOL: Final = frozenset({"M6"})
_LETTERS: Final = frozenset("FIJPRSXYZ")

_SAID: Final = frozenset({"units", "distance", "plane", "feed mode"})
_TOUCHED: Final = MappingProxyType(
    {group: group for group in ("spindle", "dwell", "offset", "motion")}
    | {
        "feed mode": "feed",
        "F": "feed",
        "S": "spindle",
        "P": "dwell",
        "units": "geometry",
        "distance": "geometry",
    }
    | dict.fromkeys("IJRXYZ", "motion")
)

_REFERENCE: Final = frozenset({"G28", "G30"})  # moves to a place that only the controller knows
_HARMLESS: Final = frozenset({"G98", "G99"})  # how cycles return; the cycles are refused
_ELSEWHERE: Final = frozenset({"M96", "M97", "M98", "M99"})

# Words that change what coordinates mean: no reading is true after them, whatever is ignored.
_FRAMES: Final = frozenset(
    "G10 G18 G19 G41 G42 G43 G51 G53 G55 G56 G57 G58 G59 G59.1 G59.2 G59.3 G68 G70 G71".split()  # noqa: SIM905
)


@dataclass(frozen=True, slots=True)
class Command:
    """The words of one line, sorted.

    Attributes
    ----------
    key : str
        The line without comments, blanks and number, in capitals; empty when nothing is to be done.
    modal : dict
        The G or M word of each modal group, such as ``{"motion": "G1"}``.
    values : dict
        The number of each other letter.
    unknown : tuple of str
        Words that mean nothing to the interpreter.
    tools : tuple of str
        Tool words: T and M6.
    message : str or None
        The text of a ``(MSG, …)`` comment.
    deleted : bool
        Whether the line starts with ``/``.
    unreadable : bool
        Whether the line cannot be taken apart; only a declared line may be so.
    touches : frozenset of str
        What has to be done: any of "feed", "spindle", "dwell", "geometry", "offset", "motion".
    said : tuple of str
        Words whose saying counts: modes, and "F" for any feed.
    """

    key: str
    modal: dict[str, str]
    values: dict[str, float]
    unknown: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    message: str | None = None
    deleted: bool = False
    unreadable: bool = False
    touches: frozenset[str] = frozenset()
    said: tuple[str, ...] = ()


def command_of(text: str, *, semicolons: bool = False) -> Command:
    """The command of a line; Fault for what the format or the modal groups forbid."""
    line = parse(text, semicolons=semicolons)
    return _sorted(line, key(text))


def unread(text: str) -> Command:
    """The command of a declared line that no parser of words can take apart."""
    return Command(key(text), {}, {}, unknown=(text.strip(),), unreadable=True)


def loses_place(command: Command) -> bool:
    """Whether an undeclared line holds a word of the reference moves, G28 or G30."""
    return not _REFERENCE.isdisjoint(command.unknown)


def harmful(command: Command) -> str | None:
    """Why the unknown words of an undeclared line can never be ignored; None where they can.

    A G word moves or changes what coordinates mean unless it is known not to. That M96 to M99 run
    other lines, and that U, V and W step along X, Y and Z, is common practice, no source.
    """
    frame = next((word for word in command.unknown if word in _FRAMES), None)
    if frame is not None:
        return f"{frame} changes what coordinates mean, so the place on the bed is unknown"
    for word in command.unknown:
        if (word[0] == "G" and word not in _REFERENCE | _HARMLESS) or word[0] in "UVW":
            name = word if word[0] == "G" else word[0]
            return f"{name} may move the carriage or change what coordinates mean"
        if word in _ELSEWHERE:
            return f"{word} runs other lines than the next"
        axis = next((axis for axis in "XYZ" if axis in command.values), None)
        if word[0] == "M" and axis is not None:
            return f"{word} beside {axis} may change what {axis} means"
    return _crowded(command) if loses_place(command) else None


def _crowded(command: Command) -> str | None:
    """Reference moves take the axis words of their line."""
    other = command.modal.get("motion") or command.modal.get("offset")
    if other is None:
        return None
    word = next(word for word in command.unknown if word in _REFERENCE)
    return f"{word} and {other} on one line both take its axis words"


def _sorted(line: Line, name: str) -> Command:
    modal: dict[str, str] = {}
    values: dict[str, float] = {}
    unknown: list[str] = []
    tools: list[str] = []
    for letter, number in line.words:
        word = _named(letter, number)
        if word in GROUP:
            _put(modal, GROUP[word], word)
        elif word in _TOOL or letter == "T":
            tools.append(word)
        elif letter in _LETTERS:
            if letter in values:
                raise Fault(f"two {letter} words on one line; keep one")
            values[letter] = number
        elif word not in _COOLANT:
            unknown.append(word)
    if sum(letter == "M" for letter, _ in line.words) > 4:
        raise Fault("more than four M words on one line; use several lines")
    said = (
        *(word for group, word in modal.items() if group in _SAID),
        *("F" if "F" in values else ""),
    )
    touches = frozenset(_TOUCHED[word] for word in (*modal, *values) if word in _TOUCHED)
    return Command(
        name,
        modal,
        values,
        tuple(unknown),
        tuple(tools),
        message=line.message,
        deleted=line.deleted,
        touches=touches,
        said=said,
    )


def _put(modal: dict[str, str], group: str, word: str) -> None:
    if group in modal:
        raise Fault(
            f"{modal[group]} and {word} on one line: both are {group} words, and a line takes "
            f"one; use two lines"
        )
    modal[group] = word


def _named(letter: str, number: float) -> str:
    """G and M words by name: whole within 0.0001, G numbers after times ten (section 3.3.2.1)."""
    factor = 10 if letter == "G" else 1
    near = round(number * factor)
    if letter in "GM" and abs(number * factor - near) <= 1e-4 and near >= 0:
        return f"{letter}{near // factor}" + (f".{near % factor}" if near % factor else "")
    return f"{letter}{number:g}"
