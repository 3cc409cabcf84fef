"""The seventeen wallpaper groups and the seven frieze groups, as whole numbers.

An operation maps cell coordinates: a whole-number matrix and a translation in halves. From a few
generators the group closes itself, modulo the translations of the lattice.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray
from plotlib.errors import UnknownName

_HALF = Fraction(1, 2)


class Operation(NamedTuple):
    """(u, v) becomes (a u + b v + s, c u + d v + t), in cell coordinates."""

    a: int
    b: int
    c: int
    d: int
    s: Fraction
    t: Fraction

    def after(self, other: Operation) -> Operation:
        """What doing ``other`` first and then this one amounts to, modulo the lattice."""
        return Operation(
            self.a * other.a + self.b * other.c,
            self.a * other.b + self.b * other.d,
            self.c * other.a + self.d * other.c,
            self.c * other.b + self.d * other.d,
            (self.a * other.s + self.b * other.t + self.s) % 1,
            (self.c * other.s + self.d * other.t + self.t) % 1,
        )

    def applied(self, cells: FloatArray) -> FloatArray:
        """The images (N, 2) of points (N, 2), both in cell coordinates."""
        matrix = np.array([[self.a, self.b], [self.c, self.d]], np.float64)
        images: FloatArray = cells @ matrix.T + [float(self.s), float(self.t)]
        return images


IDENTITY = Operation(1, 0, 0, 1, Fraction(0), Fraction(0))


def _linear(a: int, b: int, c: int, d: int) -> Operation:
    return Operation(a, b, c, d, Fraction(0), Fraction(0))


_HALF_TURN = _linear(-1, 0, 0, -1)
_MIRROR = _linear(-1, 0, 0, 1)  # u becomes -u
_QUARTER = _linear(0, -1, 1, 0)
_THIRD = _linear(0, -1, 1, -1)
_SIXTH = _linear(1, -1, 1, 0)
_ACROSS = _linear(0, -1, -1, 0)
_ALONG = _linear(0, 1, 1, 0)
_CENTRED = Operation(1, 0, 0, 1, _HALF, _HALF)
_GLIDE = Operation(-1, 0, 0, 1, Fraction(0), _HALF)
_MIRROR_BESIDE = Operation(-1, 0, 0, 1, _HALF, Fraction(0))
_GLIDE_BESIDE = Operation(-1, 0, 0, 1, _HALF, _HALF)

# name, number in International Tables A, lattice, generators besides the translations
_TABLE: tuple[tuple[str, int, str, tuple[Operation, ...]], ...] = (
    ("p1", 1, "oblique", ()),
    ("p2", 2, "oblique", (_HALF_TURN,)),
    ("pm", 3, "rectangular", (_MIRROR,)),
    ("pg", 4, "rectangular", (_GLIDE,)),
    ("cm", 5, "rectangular", (_MIRROR, _CENTRED)),
    ("p2mm", 6, "rectangular", (_HALF_TURN, _MIRROR)),
    ("p2mg", 7, "rectangular", (_HALF_TURN, _MIRROR_BESIDE)),
    ("p2gg", 8, "rectangular", (_HALF_TURN, _GLIDE_BESIDE)),
    ("c2mm", 9, "rectangular", (_HALF_TURN, _MIRROR, _CENTRED)),
    ("p4", 10, "square", (_QUARTER,)),
    ("p4mm", 11, "square", (_QUARTER, _MIRROR)),
    ("p4gm", 12, "square", (_QUARTER, _GLIDE_BESIDE)),
    ("p3", 13, "hexagonal", (_THIRD,)),
    ("p3m1", 14, "hexagonal", (_THIRD, _ACROSS)),
    ("p31m", 15, "hexagonal", (_THIRD, _ALONG)),
    ("p6", 16, "hexagonal", (_SIXTH,)),
    ("p6mm", 17, "hexagonal", (_SIXTH, _ACROSS)),
)
_SHORT = {
    "p1m1": "pm",
    "p1g1": "pg",
    "c1m1": "cm",
    "pmm": "p2mm",
    "pmg": "p2mg",
    "pgg": "p2gg",
    "cmm": "c2mm",
    "p4m": "p4mm",
    "p4g": "p4gm",
    "p6m": "p6mm",
}
WALLPAPERS = tuple(row[0] for row in _TABLE)

# Frieze groups run along u; what is in v never leaves the band.
_FRIEZES: dict[str, tuple[Operation, ...]] = {
    "p1": (),
    "p11g": (Operation(1, 0, 0, -1, _HALF, Fraction(0)),),
    "p1m1": (_MIRROR,),
    "p2": (_HALF_TURN,),
    "p11m": (_linear(1, 0, 0, -1),),
    "p2mg": (_HALF_TURN, _MIRROR_BESIDE),
    "p2mm": (_HALF_TURN, _MIRROR),
}
FRIEZES = tuple(_FRIEZES)


@dataclass(frozen=True)
class WallpaperGroup:
    """One of the seventeen; see :func:`wallpaper_group`.

    Attributes
    ----------
    name : str
        As *International Tables for Crystallography A* writes it, short: ``"p4gm"``.
    number : int
        Its number there, 1 … 17.
    lattice : str
        What the cell must be: ``"oblique"``, ``"rectangular"``, ``"square"`` or ``"hexagonal"``.
    generators : tuple of Operation
        What makes the group, besides the translations of the lattice.
    operations : tuple of Operation
        All of them in one cell, the identity first.
    """

    name: str
    number: int
    lattice: str
    generators: tuple[Operation, ...]
    operations: tuple[Operation, ...]

    @property
    def order(self) -> int:
        """How often a motif comes in one cell."""
        return len(self.operations)


def wallpaper_group(name: str) -> WallpaperGroup:
    """One of the seventeen wallpaper (plane) groups.

    Parameters
    ----------
    name : str
        ``p1 p2 pm pg cm p2mm p2mg p2gg c2mm p4 p4mm p4gm p3 p3m1 p31m p6 p6mm``; the shorter
        ``pmm pmg pgg cmm p4m p4g p6m`` are understood too.

    Returns
    -------
    WallpaperGroup
        With its generators and operations in cell coordinates.

    Raises
    ------
    UnknownName
        If there is no group of this name.

    References
    ----------
    *International Tables for Crystallography*, volume A (numbers, symbols and general positions,
    from memory; closure and orders are tested).

    Examples
    --------
    >>> group = wallpaper_group("p4g")
    >>> group.name, group.number, group.lattice, group.order
    ('p4gm', 12, 'square', 8)
    """
    known = _groups()
    found = known.get(_SHORT.get(name, name)) if isinstance(name, str) else None
    if found is None:
        raise UnknownName(
            f"there is no wallpaper group of the name {name!r:.60}; there are {', '.join(known)}"
        )
    return found


def frieze_operations(name: str) -> tuple[Operation, ...]:
    """All operations of a frieze group in one period, the identity first."""
    if not isinstance(name, str) or name not in _FRIEZES:
        raise UnknownName(
            f"there is no frieze group of the name {name!r:.60}; there are {', '.join(FRIEZES)}"
        )
    return closure(_FRIEZES[name])


@cache
def _groups() -> dict[str, WallpaperGroup]:
    return {
        name: WallpaperGroup(name, number, lattice, generators, closure(generators))
        for name, number, lattice, generators in _TABLE
    }


def closure(generators: Iterable[Operation]) -> tuple[Operation, ...]:
    """The finite group, modulo the lattice, that operations generate."""
    makers = tuple(generators)
    found = [IDENTITY]
    for known in found:  # grows while it is walked
        found.extend(
            new for new in dict.fromkeys(maker.after(known) for maker in makers) if new not in found
        )
    return tuple(found)
