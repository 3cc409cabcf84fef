"""What the reader may overlook in files from elsewhere, by name."""

from __future__ import annotations

from collections.abc import Iterable
from types import MappingProxyType
from typing import Final

from plotlib.checks import one_of
from plotlib.errors import InvalidValue

TOLERANCES: Final = MappingProxyType(
    {
        "arc radii": "arcs whose ends are not at the same distance from their centre",
        "deleted lines": "lines that start with / are left out, as if the operator's switch for "
        "them were on",
        "idle motion words": "G0, G1, G2 or G3 without an axis word only sets the mode",
        "long lines": "lines of more than 256 characters",
        "missing end": "no M2 or M30, or only one %",
        "missing feeds": "G1, G2 or G3 before any feed",
        "semicolon comments": "text after a semicolon is a comment",
        "text after the end": "lines after M2 or M30 are not run and not read",
        "tool words": "T and M6 do nothing",
        "unknown words": "M words and letters that the interpreter does not know do nothing; after "
        "G28 and G30 the place is unknown; other unknown G words are still refused",
        "unsaid modes": "millimetres and absolute coordinates where the file does not say them",
        "unsaid pen": "the pen is up until the file says something about it",
        "z words": "Z does nothing on a machine whose lift is not on Z",
    }
)


def tolerances(ignore: str | Iterable[str]) -> frozenset[str]:
    """The names in ``ignore``, one or several; UnknownName with the list of the valid ones."""
    names = (ignore,) if isinstance(ignore, str) else ignore
    if not isinstance(names, Iterable):
        raise InvalidValue(f"ignore must be one name or several, got {ignore!r}")
    return frozenset(one_of("ignore", name, TOLERANCES) for name in names)
