"""Every notebook runs from top to bottom, and is committed with its outputs, small and without
errors.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import nbformat
import pytest

NOTEBOOKS = sorted((Path(__file__).parents[1] / "notebooks").glob("*.ipynb"))
RUN = """
import sys, nbclient, nbformat
book = nbformat.read(sys.argv[1], as_version=4)
place = {"metadata": {"path": sys.argv[2]}}
nbclient.NotebookClient(book, timeout=300, kernel_name="python3", resources=place).execute()
"""


def test_there_are_notebooks() -> None:
    assert NOTEBOOKS


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_runs(path: Path, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", RUN, str(path), str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-3000:]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_is_committed_with_small_outputs(path: Path) -> None:
    book = nbformat.read(path, as_version=4)
    outputs = [output for cell in book.cells if cell.cell_type == "code" for output in cell.outputs]
    assert any("image/svg+xml" in output.get("data", {}) for output in outputs)
    assert all(output.output_type != "error" for output in outputs)
    assert path.stat().st_size < 400_000
