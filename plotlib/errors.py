"""The one family of exceptions: each message says what, where, by how much, and what to do."""

from __future__ import annotations

from typing import Any


class PlotlibError(Exception):
    """The parent of every exception that plotlib raises on purpose.

    Keyword arguments beside the message become attributes, so that a script can read the facts that
    the message tells.
    """

    def __init__(self, message: str, **facts: Any) -> None:
        super().__init__(message)
        self.facts = facts
        for name, value in facts.items():
            setattr(self, name, value)


class InvalidValue(PlotlibError, ValueError):
    """A value that cannot be used: not finite, of the wrong sign, shape or kind."""


class NoSuchStroke(PlotlibError, IndexError):
    """A number beyond the strokes of a drawing."""


class UnknownName(PlotlibError, LookupError):
    """A name that nothing answers to; the message lists the names that are known."""


class OutsideEnvelope(PlotlibError, ValueError):
    """A drawing that leaves what the machine or the sheet allows.

    Attributes
    ----------
    stroke : int
        Index of the worst stroke in the drawing that was given.
    side : str
        ``"left"``, ``"right"``, ``"bottom"`` or ``"top"``; ``"edge"`` of a sheet that is no
        rectangle or lies turned; ``"keep-out"`` for ink in a forbidden area.
    excess : float
        By how many mm the worst stroke is outside.
    count : int
        How many strokes are outside.
    mends : tuple of str
        Of ``plan``: code to put behind the drawing, such as ``".moved(-4.300, 0.000)"``; each was
        tried and mends the whole.
    """

    stroke: int
    side: str
    excess: float
    count: int
    mends: tuple[str, ...] = ()


class ProfileError(PlotlibError, ValueError):
    """A machine profile that cannot be read; ``key`` names the entry."""

    key: str


class GcodeError(PlotlibError, ValueError):
    """G-code text that breaks a rule; ``line`` counts from 1, ``column`` too where a word cannot be
    read, else it is 0.
    """

    line: int
    column: int = 0


class SvgError(PlotlibError, ValueError):
    """An SVG file that cannot be read, or not whole; ``line`` counts from 1."""

    line: int


class DxfError(PlotlibError, ValueError):
    """A DXF file that cannot be read, or not whole."""


class ProofError(PlotlibError, RuntimeError):
    """Written G-code that does not replay to the plot; the file was not kept."""


class NotWritten(PlotlibError, OSError):
    """A file that could not be written; ``path`` names it. What stood there before is untouched."""

    path: str


class NotRead(PlotlibError, OSError):
    """A file that could not be read: it is missing, a folder, forbidden, or holds no text; ``path``
    names it.
    """

    path: str


class MissingPackage(PlotlibError, ImportError):
    """An optional package is not installed; the message and ``install`` name it."""

    install: str
