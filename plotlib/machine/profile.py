"""Machine profiles: TOML files whose keys are the fields' names, and errors that name the key."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any, TypeVar

from plotlib.errors import PlotlibError, ProfileError
from plotlib.files import read_text, write_whole

T = TypeVar("T")


def read(path: str | Path) -> dict[str, Any]:
    """The tables of a TOML file; NotRead if there is none, ProfileError with the line if it is
    wrong.
    """
    import tomllib

    text = read_text(path, "machine profile")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ProfileError(f"{path}: this is not a TOML file: {error}", key="") from error


def write(path: str | Path, table: dict[str, Any]) -> None:
    """Write tables as TOML; entries that are None are left out."""
    import tomli_w

    write_whole(path, tomli_w.dumps(_without_none(table)).encode())


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
        if (
            key not in table
            and field.default is dataclasses.MISSING
            and field.default_factory is dataclasses.MISSING
        ):
            raise ProfileError(
                f"{where}: the key {key!r} is missing; it must hold {field.type}", key=key
            )
    try:
        return kind(**table)
    except PlotlibError as error:
        raise ProfileError(f"{where}: {error}", key=_guilty(kind, table, str(error))) from error


def _guilty(kind: type[Any], table: dict[str, Any], message: str) -> str:
    """The key that a message speaks of, for ``error.key``."""
    return next(
        (key for key in sorted(table, key=len, reverse=True) if key in message), kind.__name__
    )


def _without_none(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _without_none(item) for key, item in value.items() if item is not None}
    return [_without_none(item) for item in value] if isinstance(value, (list, tuple)) else value
