"""Machine profiles: TOML files whose keys are the fields' names, and errors that name the key."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from plotlib.errors import PlotlibError, ProfileError
from plotlib.files import read_text, write_whole

T = TypeVar("T")


def read(path: str | Path) -> dict[str, Any]:
    """The tables of a TOML file; NotRead if there is none, ProfileError with the line if it is
    wrong.
    """
    return tables_of(read_text(path, "machine profile"), where=str(path))


def tables_of(text: str, *, where: str) -> dict[str, Any]:
    """The tables of TOML text; ProfileError with the line if it is wrong."""
    import tomllib

    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ProfileError(f"{where}: this is not a TOML file: {error}", key="") from error


def write(path: str | Path, table: dict[str, Any]) -> None:
    """Write tables as TOML; entries that are None are left out."""
    write_whole(path, text_of(table).encode())


def text_of(table: dict[str, Any]) -> str:
    """Tables as the text of a TOML file; entries that are None are left out."""
    import tomli_w

    return tomli_w.dumps(_without_none(table))


def build(kind: type[T], table: Any, *, where: str) -> T:
    """A value of the dataclass ``kind`` from a TOML table; every fault names its key."""
    fields = {field.name: field for field in dataclasses.fields(kind) if field.init}  # type: ignore[arg-type]
    if not isinstance(table, dict):
        raise ProfileError(
            f"{where} must be a table with the keys {', '.join(fields)}; got {table!r}", key=where
        )
    for key in table:
        if key not in fields:
            raise ProfileError(
                f"{where}: unknown key {key!r}; known are {', '.join(fields)}", key=key
            )
    for key, field in fields.items():
        if key not in table and _is_required(field):
            raise ProfileError(
                f"{where}: the key {key!r} is missing; it must hold {field.type}", key=key
            )
    try:
        return kind(**table)
    except PlotlibError as error:
        key = _key_of(error, tuple(fields))
        raise ProfileError(f"{where}: {error}", key=key or kind.__name__) from error


def build_kind(kinds: Mapping[str, type[T]], table: Any, *, where: str) -> T:
    """A value of the dataclass that the table's own ``kind`` names."""
    name = table.get("kind") if isinstance(table, dict) else None
    if not isinstance(name, str) or name not in kinds:
        known = " or ".join(f'"{kind}"' for kind in kinds)
        raise ProfileError(f"{where}: the key 'kind' must hold {known}", key="kind")
    rest = {key: value for key, value in table.items() if key != "kind"}
    return build(kinds[name], rest, where=where)


def _is_required(field: dataclasses.Field[Any]) -> bool:
    missing = dataclasses.MISSING
    return field.default is missing and field.default_factory is missing


def _key_of(error: PlotlibError, fields: tuple[str, ...]) -> str:
    """The field that an error is about, from the ``name`` that it carries; empty if it is about
    none. A name may say what the field belongs to: ``"lift up"`` is the ``up`` of a lift, and a
    machine's ``lift``.
    """
    named = str(error.facts.get("name", "")).split()
    return next((word for word in reversed(named) if word in fields), "")


def _without_none(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _without_none(item) for key, item in value.items() if item is not None}
    if isinstance(value, (list, tuple)):
        return [_without_none(item) for item in value]
    return value
