"""Where a machine's own places may be: on the grid of its last decimal, and on its bed."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from plotlib.checks import point
from plotlib.errors import InvalidValue

if TYPE_CHECKING:
    from plotlib.machine.machine import Machine


def on_grid(key: str, value: Any, decimals: int) -> tuple[float, float]:
    """A point (x, y) in mm on the grid of so many decimals."""
    place = point(key, value)
    for number in place:
        _check_grid(key, number, decimals)
    return place


def _check_grid(key: str, value: float, decimals: int) -> None:
    if Decimal(repr(value)) != round(Decimal(repr(value)), decimals):
        raise InvalidValue(
            f"{key} {value!r} mm is off the grid of {decimals} decimals; round it or "
            f"raise decimals",
            name=key,
        )


def check_stands(machine: Machine) -> None:
    """The bed and the lift on the grid, home and park on the bed."""
    for key in ("width", "height"):
        _check_grid(key, getattr(machine, key), machine.decimals)
    for key in ("home", "park"):
        across, up = getattr(machine, key)
        if not (0 <= across <= machine.width and 0 <= up <= machine.height):
            raise InvalidValue(
                f"{key} ({across:g}, {up:g}) is off the bed of {machine.width:g} x "
                f"{machine.height:g} mm",
                name=key,
            )
    heights = machine.lift.heights
    if heights is not None:
        _check_grid("lift up", heights.up, machine.decimals)
        _check_grid("lift down", heights.down, machine.decimals)
