"""How drawings and plots show themselves in notebooks.

Pictures are made on a higher floor, by a room that makes itself known here (``plotlib/__init__``
sees to that), so that a Drawing need not know it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol, TypeAlias

Shown: TypeAlias = "tuple[bytes, dict[str, Any]] | None"


class Showing(Protocol):
    """The module that makes the pictures."""

    def svg(self, thing: Any) -> str | None:
        """An SVG element; None where a PNG is better."""

    def png(self, thing: Any) -> Shown:
        """A PNG and its size in px; None where an SVG is better."""


_showing: list[Callable[[], Showing]] = []


def shown_by(module: Callable[[], Any]) -> None:
    """Have pictures made by the module that ``module()`` imports."""
    _showing[:] = [module]


def svg(thing: Any) -> str | None:
    """What ``_repr_svg_`` gives."""
    return _showing[0]().svg(thing) if _showing else None


def png(thing: Any) -> Shown:
    """What ``_repr_png_`` gives."""
    return _showing[0]().png(thing) if _showing else None
