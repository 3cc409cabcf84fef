"""Every notebook runs from top to bottom, and is committed with its outputs, small and without
errors.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import nbformat
import pytest
from run_notebooks import FOLDER, PROFILE

NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))
TAUGHT = {
    "a_two_pen_print",
    "fills_and_shading",
    "first_plot",
    "flow_field",
    "lettering_a_card",
    "testing_a_design",
    "what_the_planner_does",
}
RUN = """
import sys
from pathlib import Path
import nbformat
from run_notebooks import executed
nbformat.write(executed(Path(sys.argv[1]), Path(sys.argv[2])), Path(sys.argv[2], "run.ipynb"))
"""
PICTURES = ("image/svg+xml", "image/png")


def outputs(path: Path) -> list[Any]:
    book = nbformat.read(path, as_version=4)
    return [output for cell in book.cells if cell.cell_type == "code" for output in cell.outputs]


def kinds(path: Path) -> list[tuple[str, ...]]:
    """What each output shows, streams left out: pieces of them may come apart."""
    shown = [output for output in outputs(path) if output.output_type != "stream"]
    return [tuple(sorted(output.get("data", {}))) for output in shown]


def test_seven_ideas_and_more_are_taught() -> None:
    assert {path.stem for path in NOTEBOOKS} >= TAUGHT


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_runs_and_shows_what_is_committed(path: Path, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", RUN, str(path), str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parent,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    assert kinds(tmp_path / "run.ipynb") == kinds(path)
    assert list(tmp_path.glob("*.gcode")), "no plot at the end"
    assert (tmp_path / PROFILE.name).read_bytes() == PROFILE.read_bytes()


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_is_committed_with_small_outputs(path: Path) -> None:
    shown = outputs(path)
    assert all(output.output_type != "error" for output in shown)
    assert all(output.get("name") != "stderr" for output in shown)
    assert any(kind in output.get("data", {}) for output in shown for kind in PICTURES)
    assert set(PICTURES) & set(shown[-1].get("data", {})), "it ends with a picture"
    assert path.stat().st_size < 400_000
