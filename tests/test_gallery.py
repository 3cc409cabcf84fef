"""Every gallery piece runs, prints its report, and writes files that stay on some bed and pictures
of the whole sheet.
"""

from __future__ import annotations

import runpy
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

GALLERY = Path(__file__).parents[1] / "gallery"
PIECES = sorted(GALLERY.glob("*.py"))


@pytest.mark.parametrize("path", PIECES, ids=lambda path: path.stem)
def test_runs_and_reports(path: Path) -> None:
    done = subprocess.run(
        [sys.executable, str(path)], capture_output=True, text=True, check=False, cwd=GALLERY
    )
    assert done.returncode == 0, done.stderr[-3000:]
    assert "plot for" in done.stdout
    written = [item for item in (GALLERY / "out").glob(f"{path.stem}*") if item.stat().st_size > 0]
    assert {".gcode", ".svg", ".png"} <= {item.suffix for item in written}
    sheet = runpy.run_path(str(path))["SHEET"]
    picture = ElementTree.parse(GALLERY / "out" / f"{path.stem}.svg").getroot()
    assert picture.attrib["viewBox"] == f"0 0 {sheet.width:g} {sheet.height:g}"


def test_labels_have_names_without_the_packages_that_bring_a_font(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    piece = runpy.run_path(str(GALLERY / "specimen_labels.py"))
    solid = piece["title"]("Nocta", (30, 40))
    for name in ("matplotlib", "uharfbuzz"):
        with monkeypatch.context() as patch:
            patch.setitem(sys.modules, name, None)
            plain = piece["title"]("Nocta", (30, 40))
        assert 0 < plain.length < solid.length
        assert np.abs(np.subtract(plain.bounds, solid.bounds)).max() < 5


@pytest.mark.parametrize("path", PIECES, ids=lambda path: path.stem)
def test_is_short_and_uses_public_names_only(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 130
    assert "import plotlib as pl" in text
    assert "pl._" not in text
    assert "from plotlib." not in text
