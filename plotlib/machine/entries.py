"""The parts of a machine as tables of its profile, and back."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

from plotlib.errors import InvalidValue
from plotlib.machine import profile
from plotlib.machine.axis import Axis
from plotlib.machine.corrections import Corrections
from plotlib.machine.dialogue import Dialogue
from plotlib.machine.height_map import HeightMap
from plotlib.machine.keep_out import read_keep_outs
from plotlib.machine.lifts import KINDS

if TYPE_CHECKING:
    from plotlib.machine.machine import Machine


def parts_of(table: dict[str, Any], *, where: str) -> dict[str, Any]:
    """The table of a profile with its parts made into values; ProfileError names the key that is
    wrong.
    """
    made = dict(table)
    for key in ("x", "y"):
        if key in table:
            made[key] = profile.build(Axis, table[key], where=f"{where}, table {key}")
    if "lift" in table:
        made["lift"] = profile.build_kind(KINDS, table["lift"], where=f"{where}, table lift")
    if "keep_outs" in table:
        made["keep_outs"] = read_keep_outs(table["keep_outs"], where=where)
    if "dialogue" in table:
        place = f"{where}, table dialogue"
        made["dialogue"] = profile.build(Dialogue, table["dialogue"], where=place)
    if "corrections" in table:
        place = f"{where}, table corrections"
        made["corrections"] = profile.build(Corrections, table["corrections"], where=place)
    if "height_map" in table:
        place = f"{where}, table height_map"
        made["height_map"] = profile.build(HeightMap, table["height_map"], where=place)
    return made


def table_of(machine: Machine) -> dict[str, Any]:
    """A machine as the table of its profile."""
    table = {field.name: getattr(machine, field.name) for field in dataclasses.fields(machine)}
    table["x"] = dataclasses.asdict(machine.x)
    table["y"] = dataclasses.asdict(machine.y)
    table["lift"] = machine.lift.entry()
    table["keep_outs"] = [item.entry() for item in machine.keep_outs]
    if machine.dialogue is not None:
        table["dialogue"] = machine.dialogue.entry()
    if machine.corrections is not None:
        table["corrections"] = machine.corrections.entry()
    if machine.height_map is not None:
        table["height_map"] = machine.height_map.entry()
    return table


def check_part(name: str, value: Any, kind: type) -> None:
    """Refuse an optional part of another kind."""
    if value is not None and not isinstance(value, kind):
        raise InvalidValue(
            f"{name} must be {kind.__name__}(…), got {value!r:.100}", name=name, value=value
        )
