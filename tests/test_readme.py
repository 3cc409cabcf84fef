"""What the README shows runs as it stands, in a process of its own, as a newcomer would run it."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

BLOCKS = re.findall(
    r"^```python\n(.*?)^```",
    (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8"),
    re.DOTALL | re.MULTILINE,
)


def test_there_are_blocks() -> None:
    assert any("gcode.write" in block for block in BLOCKS)
    assert any("def test_" in block for block in BLOCKS)


@pytest.mark.parametrize("number", range(len(BLOCKS)))
def test_runs(number: int, tmp_path: Path) -> None:
    block = BLOCKS[number]
    path = tmp_path / "test_mine.py"
    path.write_text(block, encoding="utf-8")
    how = (
        ["-m", "pytest", "-q", "-p", "no:cacheprovider", path.name]
        if "def test_" in block
        else [path.name]
    )
    done = subprocess.run(
        [sys.executable, *how], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, (done.stdout + done.stderr)[-3000:]
