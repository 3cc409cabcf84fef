"""What is written is whole or not there: full disks, folders that cannot be written to, and a
process that is killed.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import plotlib as pl

resource = pytest.importorskip("resource", reason="limits on files are asked of POSIX systems")

AXIS = pl.Axis(6_000, 500)
BENCH = pl.Machine(
    width=210,
    height=297,
    x=AXIS,
    y=AXIS,
    lift=pl.ServoLift("M5", "M3 S90"),
    feed=3_000,
)
RED = pl.Pen("red", colour="#b4431f")
# Wavy, of two pens: every file of it is larger than the limit below.
WAVES = pl.Drawing(
    [
        pl.Drawing(
            [np.column_stack([np.linspace(5, 200, 400), y + 3 * np.sin(np.linspace(0, 40, 400))])],
            pen=pen,
        )
        for y, pen in ((20, RED), (40, pl.Pen("blue")), (60, RED))
    ]
)
LIMIT = 500  # bytes
WRITERS: dict[str, Callable[[Path], Any]] = {
    "drawing.gcode": lambda path: pl.gcode.write(pl.plan(WAVES, BENCH), path),
    "each.gcode": lambda path: pl.gcode.write_each(pl.plan(WAVES, BENCH), path.with_suffix("")),
    "drawing.svg": lambda path: pl.svg.write(WAVES, path),
    "drawing.png": lambda path: pl.preview.png(WAVES, path, dpi=150),
    "drawing.html": lambda path: pl.preview.page(pl.plan(WAVES, BENCH), path),
    "bench.toml": BENCH.save,
}


@pytest.fixture
def full_disk() -> Any:
    """No file may grow beyond the limit; the system then answers as a full disk does."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    handler = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)

    def fill() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (LIMIT, before[1]))

    yield fill
    resource.setrlimit(resource.RLIMIT_FSIZE, before)
    signal.signal(signal.SIGXFSZ, handler)


@pytest.mark.parametrize("name", WRITERS)
def test_a_full_disk_leaves_what_was_there(name: str, tmp_path: Path, full_disk: Any) -> None:
    WRITERS[name](tmp_path / name)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert max(map(len, before.values())) > LIMIT
    full_disk()
    with pytest.raises(pl.NotWritten, match=r"(?i)too large|full|no space"):
        WRITERS[name](tmp_path / name)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


@pytest.mark.parametrize("name", WRITERS)
def test_a_full_disk_leaves_no_half_file(name: str, tmp_path: Path, full_disk: Any) -> None:
    full_disk()
    with pytest.raises(pl.NotWritten):
        WRITERS[name](tmp_path / name)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", WRITERS)
def test_a_missing_folder_or_a_file_in_its_place_is_named(name: str, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    for folder in ("missing", "file"):
        with pytest.raises(pl.NotWritten, match=folder):
            WRITERS[name](tmp_path / folder / name)


_KILLED = """
import sys, numpy as np, plotlib as pl
y = np.arange(60_000)[:, None, None] * 0.004
strokes = np.concatenate([y * [[0, 1]], y * [[0, 1]] + [[5, 0]]], axis=1)
big = pl.Drawing(strokes + float(sys.argv[2]))
pl.svg.write(big, sys.argv[1])
print("once", flush=True)
while True:
    pl.svg.write(big, sys.argv[1])
"""


def test_a_killed_process_leaves_a_whole_file(tmp_path: Path) -> None:
    target = tmp_path / "big.svg"
    random = np.random.default_rng(5)
    for turn in range(4):
        command = [sys.executable, "-c", _KILLED, str(target), str(turn)]
        with subprocess.Popen(command, stdout=subprocess.PIPE) as process:
            assert process.stdout is not None
            assert process.stdout.readline() == b"once\n"
            time.sleep(random.uniform(0, 0.4))
            process.send_signal(signal.SIGKILL)
        text = target.read_text(encoding="utf-8")
        assert text.rstrip().endswith("</svg>")
        assert text.count("<path") + text.count("<line") + text.count("M") >= 60_000
    assert os.listdir(tmp_path)[0]
