"""Docstrings of everything public: what it takes and gives, with shapes and units, what it raises,
an example; rooms show their public names only.
"""

from __future__ import annotations

import importlib
import inspect
import re
from collections.abc import Iterator
from typing import Any, NamedTuple

import pytest
from wrong_values import RESULTS, ROOMS, public_names

PUBLIC = dict(public_names())
# A unit, or what says that a number has none: counts, shares, factors, numbers of one's own.
UNITS = re.compile(
    r"\b(mm|mm/min|mm/s|mm²|µm|millimetres?|degrees?|seconds?|(?<!['’])s|minutes?|per cent|dpi|"
    r"pixels?|units?|shares?|factors?|ratio|times|turns|multiples?|luminances?|reflectance|"
    r"opacity|power|exponents?|numbers?|counts?|cells?|how (?:many|much|fast|far)|coverage|"
    r"radians)\b|%",
    re.IGNORECASE,
)
SHAPES = re.compile(r"shape|broadcast|\((?:[0-9a-z]+|rows|columns)(?:, ?[0-9a-z]*)+\)|pairs")


class Taken(NamedTuple):
    """One entry of the section Parameters."""

    names: str
    kind: str
    words: str


def sections(call: Any) -> dict[str, str]:
    """The sections of a docstring by their titles."""
    parts = re.split(r"\n([A-Z][a-z]+)\n-{3,}\n", "\n" + (inspect.getdoc(call) or ""))
    return dict(zip(["", *parts[1::2]], [parts[0], *parts[2::2]], strict=True))


def entries(section: str) -> Iterator[Taken]:
    """The entries of a section, each with its names and its kind."""
    pattern = r"^(\S[^\n]*?) : ([^\n]+)\n((?: {4}.*\n?|\n)*)"
    for found in re.finditer(pattern, section + "\n", re.MULTILINE):
        yield Taken(found[1], found[2], " ".join(found[3].split()))


@pytest.mark.parametrize("name", sorted(PUBLIC))
def test_a_docstring_says_what_is_taken_and_what_is_raised(name: str) -> None:
    call: Any = PUBLIC[name]
    text = inspect.getdoc(call) or ""
    assert text.split("\n")[0].rstrip(), "no summary"
    assert ">>>" in text, "no example that runs"
    taken = list(inspect.signature(call).parameters)
    if taken:
        assert "\nParameters\n----------\n" in text, "no section Parameters"
        assert "\nRaises\n------\n" in text, "no section Raises"
    section = text.split("\nParameters\n----------\n")[-1].split("\nReturns\n")[0]
    missing = [name for name in taken if name not in section]
    assert missing == [], f"not in Parameters: {missing}"


@pytest.mark.parametrize("name", sorted(PUBLIC))
def test_a_docstring_says_what_is_given_back(name: str) -> None:
    call = PUBLIC[name]
    given = None if inspect.isclass(call) else inspect.signature(call).return_annotation
    if given not in (None, "None", inspect.Signature.empty):
        assert {"Returns", "Yields"} & set(sections(call)), "no section Returns or Yields"


@pytest.mark.parametrize("name", sorted(PUBLIC))
def test_numbers_say_their_unit_and_arrays_their_shape(name: str) -> None:
    taken = list(entries(sections(PUBLIC[name]).get("Parameters", "")))
    without_unit = [
        entry.names
        for entry in taken
        if entry.kind.startswith("float") and not UNITS.search(entry.words)
    ]
    assert without_unit == [], "say the unit, or what the number counts"
    without_shape = [
        entry.names
        for entry in taken
        if re.search(r"\barray", entry.kind) and not SHAPES.search(entry.kind + entry.words)
    ]
    assert without_shape == [], "say the shape"


@pytest.mark.parametrize("name", sorted(RESULTS))
def test_what_the_library_hands_out_has_documented_attributes(name: str) -> None:
    room, short = name.split(".")
    made = getattr(ROOMS[room], short)
    text = inspect.getdoc(made) or ""
    public = [key for key in inspect.get_annotations(made) if not key.startswith("_")]
    listed = sections(made).get("Attributes", "")
    assert listed or issubclass(made, BaseException), "no section Attributes"
    told = listed or text
    assert [key for key in public if not re.search(rf"\b{key}\b", told)] == []
    silent = [
        key
        for key, thing in vars(made).items()
        if not key.startswith("_") and (inspect.isfunction(thing) or isinstance(thing, property))
        if not inspect.getdoc(thing)
    ]
    assert silent == []


@pytest.mark.parametrize("room", sorted(ROOMS))
def test_a_room_shows_its_public_names_only(room: str) -> None:
    module = importlib.import_module(f"plotlib.{room}")
    assert sorted(dir(module)) == sorted(module.__all__)


# Names of rooms whose makers build on published methods, and that build on none: plain geometry,
# what joins or asks others, and values that are handed out.
PLAIN = {
    "curves": "Swing parametric",
    "fields": "Evenness ScalarField VectorField around attractors bands circle_packing circles "
    "constant distance distance_to_point distance_to_strokes evenness flow from_arrays "
    "from_function heading isolines particles ramp ridge ridgelines uniform",
    "fills": "Coverage OneStrokeWarning SolidFill concentric coverage cross_hatch dashed_hatch "
    "dotted_hatch graded_hatch hatch measured_solid pattern radial scribble solid spiral wave",
    "growth": "",
    "images": "Judgement Tone judge modulated_lines modulated_spiral scribbled screen_angles",
    "regions": "as_region compensated outline silhouette",
    "symmetry": "WallpaperGroup",
    "tidying": "Arc once without_specks",
    "tilings": "DiscTiling Tiling Weave wang_strands",
}
# A year, or a standard that is kept up.
SOURCE = re.compile(r"\b(1[5-9]|20)\d\d\b|W3C|IEC \d|International Tables")


@pytest.mark.parametrize("room", sorted(PLAIN))
def test_what_builds_on_a_published_method_names_it(room: str) -> None:
    """A new maker names its source, or stands in the list above."""
    module = importlib.import_module(f"plotlib.{room}")
    silent = [
        name
        for name in module.__all__
        if "References" not in sections(getattr(module, name))
        if not isinstance(getattr(module, name), tuple)
    ]
    assert sorted(silent) == sorted(PLAIN[room].split())


@pytest.mark.parametrize("name", sorted(PUBLIC))
def test_a_source_has_its_year(name: str) -> None:
    listed = sections(PUBLIC[name]).get("References")
    assert listed is None or SOURCE.search(listed), "say who, what and when"
