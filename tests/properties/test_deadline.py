"""No law is judged by the clock: on a loaded machine an example may take any time."""

from __future__ import annotations

from hypothesis import settings


def test_a_law_that_says_nothing_of_a_deadline_has_none() -> None:
    assert settings(max_examples=3).deadline is None
