"""A real browser without a window, for tests that look at what it draws.

The fixture ``browser`` in tests/conftest.py hands it out, one for all tests of a run. Where
there is none these tests are skipped, except where CI is set: there the skip is a failure.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome")
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--force-device-scale-factor=1",
    "--hide-scrollbars",
)


@contextmanager
def running(profile: Path) -> Iterator[Any]:
    """A driver of the system's Chromium with a fresh ``profile`` folder."""
    browser = program()
    control = shutil.which("chromedriver")
    if control is None:
        _missing("no chromedriver on this computer: apt-get install chromium-driver")
    webdriver = pytest.importorskip("selenium.webdriver")
    options = webdriver.ChromeOptions()
    options.binary_location = browser
    for flag in (*FLAGS, f"--user-data-dir={profile}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    service = webdriver.ChromeService(executable_path=control)
    driver = webdriver.Chrome(options=options, service=service)
    try:
        yield driver
    finally:
        driver.quit()


def program() -> str:
    """The path of the system's Chromium; without one the test is skipped, in CI it fails."""
    found = next((path for path in map(shutil.which, NAMES) if path), None)
    if found is None:
        _missing("no chromium on this computer: apt-get install chromium")
    return str(found)


def _missing(reason: str) -> None:
    if os.environ.get("CI"):
        pytest.fail(f"{reason}; with CI set these tests must run")
    pytest.skip(reason)
