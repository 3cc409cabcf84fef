"""What tests of several rooms share."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings

from tests.browser import running
from tests.outside import printed, within  # noqa: F401 - fixtures of outside checks

collect_ignore = ["benchmarks"]  # scripts of their own
# A law is never judged by the clock: on a loaded machine an example may take any time.
settings.register_profile("plotlib", deadline=None)
settings.load_profile("plotlib")
EXAMPLES = "PLOTLIB_EXAMPLES"  # how many examples each law is tried on, beside what it says itself


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The longer profile: PLOTLIB_EXAMPLES=10000 gives every law at least so many examples, drawn
    anew in each run. What a test says with @settings would else win over a profile.
    """
    wanted = int(os.environ.get(EXAMPLES, "0"))
    for item in items if wanted else ():
        law = getattr(item, "obj", None)
        own = getattr(law, "_hypothesis_internal_use_settings", None)
        if own is not None:
            many = max(wanted, own.max_examples)
            more = settings(own, max_examples=many, derandomize=False, database=None)
            law._hypothesis_internal_use_settings = more  # type: ignore[union-attr]


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """A real browser (selenium), one for the whole run; see tests/browser.py."""
    with running(tmp_path_factory.mktemp("browser")) as driver:
        yield driver
