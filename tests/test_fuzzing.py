"""A short run of tests/fuzzing.py over every reader, and what longer ones have found."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plotlib.errors import PlotlibError
from tests.fuzzing import CASES, READERS, check, damaged, seeds

FOUND = sorted(CASES.glob("*")) if CASES.is_dir() else []


@pytest.mark.parametrize("name", sorted(READERS))
def test_what_fuzzing_begins_with_is_read(name: str, tmp_path: Path) -> None:
    """Else nothing that was damaged would get beyond the first check."""
    for data in seeds(name):
        path = tmp_path / "file"
        path.write_bytes(data)
        READERS[name].read(path)


@pytest.mark.parametrize("name", sorted(READERS))
def test_damaged_files_are_read_or_refused(name: str, tmp_path: Path) -> None:
    @settings(max_examples=120, deadline=None, suppress_health_check=HealthCheck)
    @given(damaged(name))
    def look(data: bytes) -> None:
        check(name, data, tmp_path / "file")

    look()


@pytest.mark.parametrize("name", sorted(READERS))
def test_any_bytes_are_read_or_refused(name: str, tmp_path: Path) -> None:
    @settings(max_examples=40, deadline=None)
    @given(st.binary(max_size=60))
    def look(data: bytes) -> None:
        check(name, data, tmp_path / "file")

    look()


@pytest.mark.parametrize("name", sorted(READERS))
def test_damage_is_done(name: str, tmp_path: Path) -> None:
    """Some of the files are refused, so that the law above is not empty."""
    refused = 0

    @settings(max_examples=60, deadline=None, database=None, suppress_health_check=HealthCheck)
    @given(damaged(name))
    def look(data: bytes) -> None:
        nonlocal refused
        path = tmp_path / "file"
        path.write_bytes(data)
        try:
            READERS[name].read(path)
        except (PlotlibError, AssertionError):
            refused += 1
        except Warning:
            pass

    look()
    assert refused > 3


def test_what_was_found_once_is_read_or_refused(tmp_path: Path) -> None:
    for case in FOUND:
        check(case.name.split("-")[0], case.read_bytes(), tmp_path / "file")
