"""Docstrings of everything public: what it takes, what it raises, an example; rooms show their
public names only.
"""

from __future__ import annotations

import importlib
import inspect
from typing import Any

import pytest
from wrong_values import ROOMS, public_names

PUBLIC = dict(public_names())


@pytest.mark.parametrize("name", sorted(PUBLIC))
def test_a_docstring_says_what_is_taken_and_what_is_raised(name: str) -> None:
    call: Any = PUBLIC[name]
    text = inspect.getdoc(call) or ""
    assert text.split("\n")[0].rstrip(), "no summary"
    assert ">>>" in text, "no example that runs"
    taken = list(inspect.signature(call).parameters)
    if taken:
        assert "\nParameters\n----------\n" in text, "no section Parameters"
        assert "\nRaises\n------\n" in text, "no section Raises"
    section = text.split("\nParameters\n----------\n")[-1].split("\nReturns\n")[0]
    missing = [name for name in taken if name not in section]
    assert missing == [], f"not in Parameters: {missing}"


@pytest.mark.parametrize("room", sorted(ROOMS))
def test_a_room_shows_its_public_names_only(room: str) -> None:
    module = importlib.import_module(f"plotlib.{room}")
    assert sorted(dir(module)) == sorted(module.__all__)
