"""What the README shows runs as it stands, in a process of its own, as a newcomer would run it."""

from __future__ import annotations

import dataclasses
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import numpy as np
import pytest

from plotlib.machine import Machine
from tests.readme_pictures import PICTURES, pictures

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```python\n(.*?)^```", TEXT, re.DOTALL | re.MULTILINE)


def test_there_are_blocks() -> None:
    assert any("gcode.write" in block for block in BLOCKS)
    assert any("def test_" in block for block in BLOCKS)


def test_pictures_are_what_the_library_draws() -> None:
    from PIL import Image

    shown = {ROOT / path for path in re.findall(r"!\[.*?\]\((.*?)\)", TEXT)}
    assert all(path.is_file() for path in shown)
    assert set(PICTURES.glob("*")) <= shown
    for name, again in pictures():
        kept = PICTURES / f"{name}.png"
        assert kept.stat().st_size < 60_000
        with Image.open(kept) as picture:
            few = np.asarray(picture.convert("RGB"), float)
        assert few.shape == again.shape
        assert np.abs(again - few).mean() < 3.0  # of 255: the picture has 16 colours


def test_every_option_of_the_machine_is_explained() -> None:
    table = TEXT.split("## Your machine")[1].split("## ")[0]
    named = set(re.findall(r"`(\w+)`", "".join(re.findall(r"^\|(.*?)\|", table, re.MULTILINE))))
    assert named == {field.name for field in dataclasses.fields(Machine)}


def test_extras_are_those_that_there_are() -> None:
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    table = TEXT.split("| extra |")[1].split("\n\n")[0]
    rows = re.findall(r"^\|(.*?)\|", table, re.MULTILINE)
    assert set(re.findall(r"`(\w+)`", "".join(rows))) == set(declared["optional-dependencies"])


def test_nobody_is_told_to_install_by_name_alone() -> None:
    for path in [ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "plotlib").rglob("*.py")]:
        assert not re.search(r"install[^\n]*?\bplotlib\b\s*\[", path.read_text(encoding="utf-8"))


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
