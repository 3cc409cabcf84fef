"""Compiled kernels on disk: damage, folders that cannot be written to, and changed sources."""

from __future__ import annotations

import importlib.util
import os
import shutil
import stat
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from plotlib import kernel_store


def _half_of_sum(values: np.ndarray) -> float:
    total = 0.0
    for value in values:
        total += 0.5 * value
    return total


def fresh() -> float:
    """What a new process would get: from disk, or compiled."""
    return float(kernel_store.entry(_half_of_sum)(np.arange(5.0)))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(kernel_store, "folders", lambda: (tmp_path / "kept",))
    return tmp_path / "kept"


def test_what_was_compiled_is_found_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert not kernel_store.is_kept(_half_of_sum)
    assert fresh() == 5.0
    assert kernel_store.is_kept(_half_of_sum)
    saved: list[object] = []
    monkeypatch.setattr(kernel_store.Store, "save_overload", lambda *given: saved.append(given))
    assert fresh() == 5.0
    assert not saved


def test_what_is_found_again_does_not_get_the_compiler_ready(tmp_path: Path) -> None:
    """Loading a kernel needs none of what compiling needs, such as scipy's linear algebra."""
    code = (
        "import sys, numpy as np\n"
        "from plotlib.gcode.reading.plain_kernel import scan\n"
        "found = scan.entry(np.frombuffer(b'G0 X1 Y2', np.uint8), 1, 0)\n"
        "print(found[1], 'scipy.linalg' in sys.modules)"
    )
    told = []
    for _ in range(2):
        done = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "NUMBA_CACHE_DIR": str(tmp_path)},
        )
        told.append(done.stdout.strip())
    assert told == ["[1.] True", "[1.] False"]


@pytest.mark.parametrize(
    "damage",
    [
        lambda data: b"",
        lambda data: data[: len(data) // 2],
        lambda data: b"no kernel at all",
        lambda data: data[:-100] + bytes(byte ^ 1 for byte in data[-100:]),
    ],
    ids=["empty", "half", "text", "flipped"],
)
def test_a_damaged_kernel_is_dropped_and_compiled_anew(
    folder: Path, damage: Callable[[bytes], bytes]
) -> None:
    fresh()
    (path,) = folder.iterdir()
    whole = path.read_bytes()
    path.write_bytes(damage(whole))
    assert fresh() == 5.0
    (path,) = folder.iterdir()
    assert kernel_store._checked(path.read_bytes())


def test_no_folder_at_all_is_no_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "file"
    file.touch()
    monkeypatch.setattr(kernel_store, "folders", lambda: (file / "below",))
    assert fresh() == 5.0
    monkeypatch.setattr(kernel_store, "folders", lambda: ())
    assert fresh() == 5.0


def test_the_next_folder_is_taken_where_the_first_cannot_be_written_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "file"
    file.touch()
    second = tmp_path / "second"
    monkeypatch.setattr(kernel_store, "folders", lambda: (file, second))
    fresh()
    assert len(list(second.iterdir())) == 1
    assert kernel_store.is_kept(_half_of_sum)


def test_a_change_in_a_file_that_a_kernel_imports_is_noticed(tmp_path: Path) -> None:
    copy = tmp_path / "plotlib"
    shutil.copytree(Path(kernel_store.__file__).parent, copy)
    spec = importlib.util.spec_from_file_location("copied_store", copy / "kernel_store.py")
    assert spec
    assert spec.loader
    copied = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(copied)
    search = str(copy / "planning" / "ordering" / "search_kernel.py")
    greedy = str(copy / "planning" / "ordering" / "greedy_kernel.py")
    before = (copied._digest(search), copied._digest(greedy))
    with (copy / "planning" / "metric.py").open("a") as file:
        file.write("\n")
    copied._digest.cache_clear()
    after = (copied._digest(search), copied._digest(greedy))
    assert after[0] != before[0]  # by way of tour_kernel.py
    assert after[1] == before[1]


def test_an_old_version_of_a_kernel_is_removed(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fresh()
    monkeypatch.setattr(kernel_store, "_source", lambda function: "0" * 16)
    fresh()
    (left,) = folder.iterdir()
    assert left.name.endswith("-" + "0" * 16 + ".kernel")


@pytest.mark.skipif(sys.platform == "win32", reason="modes of folders are those of POSIX")
def test_a_temporary_folder_that_others_can_write_to_is_not_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    (folder,) = kernel_store._temporary()
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    os.chmod(folder, 0o777)
    assert list(kernel_store._temporary()) == []


def test_a_folder_that_is_given_is_the_only_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path))
    kernel_store.folders.cache_clear()
    try:
        assert kernel_store.folders() == (tmp_path / "plotlib",)
    finally:
        kernel_store.folders.cache_clear()


def test_compiling_is_announced_once(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kernel_store._preparing.is_announced = False
    fresh()
    fresh()
    assert capsys.readouterr().err == kernel_store._ANNOUNCED + "\n"
    shutil.rmtree(folder)
    fresh()
    assert capsys.readouterr().err == ""


def test_a_kernel_that_cannot_be_kept_is_said_once(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(kernel_store, "folders", lambda: ())
    kernel_store._preparing.noted.clear()
    kernel_store._preparing.is_announced = True
    fresh()
    fresh()
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "not kept, since no folder can be written to" in said
