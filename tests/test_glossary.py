"""The glossary in DEVELOPERS.md is the list of names, and public names keep to it."""

from __future__ import annotations

import inspect
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from wrong_values import public_names

import plotlib as pl

PAGE = (Path(__file__).parents[1] / "DEVELOPERS.md").read_text(encoding="utf-8")
SECTION = PAGE.split("## Glossary")[1].split("\n## ")[0]
ROWS = [line.split("|")[1:4] for line in SECTION.splitlines() if line.startswith("| `")]
WORDS = {word for row in ROWS for word in re.findall(r"`(\w+)`", row[0])}
NEVER = {word for row in ROWS for word in re.findall(r"`(\w+)`", row[2])}
PLAIN = set(re.findall(r"`(\w+)`", SECTION.split("Parameters that say what they are")[1]))
SHARED = 3  # public functions that share a parameter, from which on the glossary knows it
ROOMS = ("shapes", "curves", "fills", "fields", "regions", "text", "gcode", "svg", "preview")
VALUES = (pl.Drawing, pl.Machine, pl.Plot, pl.Sheet, pl.Pen, pl.gcode.Toolpath)


def parameters() -> dict[str, set[str]]:
    """The public functions that take each parameter."""
    found: dict[str, set[str]] = defaultdict(set)
    for name, call in public_names():
        for parameter in inspect.signature(call).parameters:
            found[parameter].add(name)
    return found


def attributes(value: Any) -> Iterator[str]:
    """Public names of a value: fields, properties, methods."""
    yield from getattr(value, "__dataclass_fields__", ())
    yield from (name for name in dir(value) if not name.startswith("_"))


def names() -> set[str]:
    """Every public name and parameter."""
    found = set(parameters())
    found |= {part for name, _ in public_names() for part in name.split(".")}
    found |= set(pl.__all__)
    for room in ROOMS:
        found |= set(getattr(pl, room).__all__)
    for value in VALUES:
        found |= set(attributes(value))
    return found


NAMES = names()


@pytest.mark.parametrize("word", sorted(WORDS))
def test_each_word_names_something_public(word: str) -> None:
    assert {word, f"{word}s"} & NAMES, f"{word} stands in the glossary and nowhere else"


@pytest.mark.parametrize("word", sorted(NEVER))
def test_no_public_name_is_a_word_that_the_glossary_replaces(word: str) -> None:
    assert word not in NAMES


def test_parameters_that_are_shared_stand_in_the_glossary() -> None:
    known = WORDS | PLAIN
    missing = {
        name: sorted(functions)
        for name, functions in parameters().items()
        if len(functions) >= SHARED
        and name not in known
        and name not in {"self", "message", "facts"}
    }
    assert missing == {}


def test_no_word_is_explained_twice_or_replaced_by_itself() -> None:
    words = [word for row in ROWS for word in re.findall(r"`(\w+)`", row[0])]
    assert len(words) == len(set(words))
    assert not WORDS & NEVER
