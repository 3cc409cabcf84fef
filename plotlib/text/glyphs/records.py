"""The published stroke data: one file a face, read once and decoded glyph by glyph."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np

from plotlib.checks import IntArray

_ORIGIN = ord("R")  # a coordinate is the character's code minus this
_LIFT = " R"


@dataclass(frozen=True, eq=False)
class Record:
    """One glyph as published: whole units, y growing downward, capitals standing on y = 9.

    Attributes
    ----------
    number : int or None
        Number in the original repertory, where the distribution tells it.
    left, right : int
        The bearings: the glyph takes the room from ``left`` to ``right``.
    strokes : tuple of ndarray (n, 2), int64
        The strokes in the published order.
    """

    number: int | None
    left: int
    right: int
    strokes: tuple[IntArray, ...]


def decoded(pairs: str, *, number: int | None = None) -> Record:
    """A record from its coordinate pairs.

    A. V. Hershey, Calligraphy for Computers, NWL Report 2101, 1967; pairs of characters in the
    arrangement by James Hurt.

    Examples
    --------
    >>> record = decoded("MWOMOV RUMUV ROQUQ", number=8)
    >>> record.left, record.right, [stroke.tolist() for stroke in record.strokes]
    (-5, 5, [[[-3, -5], [-3, 4]], [[3, -5], [3, 4]], [[-3, -1], [3, -1]]])
    """
    couples = [pairs[at : at + 2] for at in range(2, len(pairs), 2)]
    strokes = []
    start = 0
    for at in [*(k for k, couple in enumerate(couples) if couple == _LIFT), len(couples)]:
        if at > start:
            codes = np.frombuffer("".join(couples[start:at]).encode("ascii"), np.uint8).astype(
                np.int64
            )
            strokes.append((codes - _ORIGIN).reshape(-1, 2))
        start = at + 1
    return Record(number, ord(pairs[0]) - _ORIGIN, ord(pairs[1]) - _ORIGIN, tuple(strokes))


@cache
def _lines(name: str) -> dict[str, tuple[int | None, str]]:
    text = (resources.files("plotlib.text") / "data" / f"{name.replace(' ', '_')}.txt").read_text(
        "ascii"
    )
    table = {}
    for line in text.splitlines():
        if not line.startswith("#"):
            code, number, pairs = line.split(" ", 2)
            table[chr(int(code, 16))] = (None if number == "-" else int(number), pairs)
    return table


def characters(name: str) -> tuple[str, ...]:
    """The characters that the data file of face ``name`` holds, by code point."""
    return tuple(_lines(name))


@cache
def record(name: str, character: str) -> Record | None:
    """The published record of ``character`` in the data file of face ``name``; None where the file
    has none.
    """
    if character not in _lines(name):
        return None
    number, pairs = _lines(name)[character]
    return decoded(pairs, number=number)
