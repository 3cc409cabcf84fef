"""What tests of several rooms share."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.browser import running

collect_ignore = ["benchmarks"]  # scripts of their own


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """A real browser (selenium), one for the whole run; see tests/browser.py."""
    with running(tmp_path_factory.mktemp("browser")) as driver:
        yield driver
