"""Every gallery piece runs and comes to what the list says; its picture and the index are those
that it makes; together they show every maker.
"""

from __future__ import annotations

import importlib.util
import io
import runpy
import sys
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree

import numpy as np
import pytest
from wrong_values import public_names

ROOT = Path(__file__).parents[1]
GALLERY = ROOT / "gallery"
# What is no picture of its own: measures, checks, options, and what others are made of.
NOT_SHOWN = {
    "fields.constant",
    "images.read",
    "images.screen_angles",
    "fields.evenness",
    "fields.from_arrays",
    "fields.flow",
    "fills.coverage",
    "fills.measured_solid",
    "regions.as_region",
    "text.check_pen",
    "text.faces",
    "text.height_for",
    "text.measure",
    "text.measure_font",
    "text.practice",
}


def _loaded() -> ModuleType:
    spec = importlib.util.spec_from_file_location("build_of_gallery", GALLERY / "build.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


BUILD = _loaded()
LISTED = BUILD.known()
PIECES = BUILD.pieces()


def test_the_list_names_the_pieces_that_there_are() -> None:
    assert sorted(LISTED) == PIECES
    assert len(PIECES) >= 16


@pytest.mark.parametrize("name", PIECES)
def test_builds_what_the_list_says(name: str) -> None:
    facts = BUILD.built(name)
    listed = LISTED[name]
    told = f"{name} has changed; look at it, then: python gallery/build.py --accept {name}"
    if facts["made_on"] == listed["made_on"]:
        assert facts["gcode"] == listed["gcode"], told
    # elsewhere the last bits differ, and with them now and then a stroke
    assert facts["strokes"] == pytest.approx(listed["strokes"], rel=0.03), told
    assert facts["ink"] == pytest.approx(listed["ink"], rel=0.02), told
    assert {key: facts[key] for key in ("sheet", "pens", "makers")} == {
        key: listed[key] for key in ("sheet", "pens", "makers")
    }
    _check_files(name)
    _check_picture(name)


def _check_files(name: str) -> None:
    written = [
        *BUILD.programs(name),
        *(GALLERY / "out" / f"{name}{end}" for end in (".svg", ".png")),
    ]
    assert len(written) >= 3
    assert all(path.stat().st_size > 0 for path in written)
    sheet = runpy.run_path(str(GALLERY / f"{name}.py"))["SHEET"]
    picture = ElementTree.parse(GALLERY / "out" / f"{name}.svg").getroot()
    assert picture.attrib["viewBox"] == f"0 0 {sheet.width:g} {sheet.height:g}"


def _check_picture(name: str) -> None:
    from PIL import Image

    kept = GALLERY / "pictures" / f"{name}.png"
    assert kept.stat().st_size <= 150_000
    with Image.open(kept) as one, Image.open(io.BytesIO(BUILD.pictured(name))) as two:
        assert one.size == two.size
        pair = [np.asarray(picture.convert("RGB"), float) for picture in (one, two)]
    assert np.abs(pair[0] - pair[1]).mean() < 2.0  # of 255: few colours, chosen from all


def test_all_pictures_together_are_small() -> None:
    assert sum(path.stat().st_size for path in (GALLERY / "pictures").rglob("*.png")) <= 3_000_000


def test_the_index_is_what_build_writes() -> None:
    assert (GALLERY / "README.md").read_text("utf-8") == BUILD.index_of(LISTED)


def test_together_the_pieces_show_every_maker() -> None:
    shown = {maker for entry in LISTED.values() for maker in entry["makers"]}
    names = [name.split(".") for name, _ in public_names()]
    makers = {".".join(name) for name in names if name[0] in BUILD.ROOMS and name[1][0].islower()}
    assert sorted(makers - shown - NOT_SHOWN) == []
    assert {"Drawing.mapped", "Drawing.dashed", "Drawing.thinned"} <= shown


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


@pytest.mark.parametrize("name", PIECES)
def test_is_short_and_uses_public_names_only(name: str) -> None:
    text = (GALLERY / f"{name}.py").read_text("utf-8")
    assert sum(1 for line in text.splitlines() if line.strip()) < 100
    assert "import plotlib as pl" in text
    assert "pl._" not in text
    assert "from plotlib." not in text
    assert "pl.Machine(" not in text  # all load the one profile
