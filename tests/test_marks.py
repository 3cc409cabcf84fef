"""Nothing is skipped or expected to fail without a reason beside it."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MARKS = {"skip", "skipif", "xfail"}
FILES = sorted((ROOT / "tests").rglob("*.py"))


def dotted(node: ast.expr) -> str:
    return ast.unparse(node) if isinstance(node, (ast.Attribute, ast.Name)) else ""


def reason_of(call: ast.Call, place: int) -> str:
    """The reason that a call gives by its name or at a place, as source."""
    named = {word.arg: word.value for word in call.keywords}
    given = named.get("reason") or named.get("msg")
    if given is None and len(call.args) > place:
        given = call.args[place]
    return "" if given is None else ast.unparse(given).strip("'\"")


def without_reason(source: str) -> list[int]:
    """The lines that skip or excuse a test and do not say why.

    ``pytest.importorskip`` names the missing package itself.
    """
    tree = ast.parse(source)
    calls = [node for node in ast.walk(tree) if isinstance(node, ast.Call)]
    called = {id(call.func) for call in calls}
    bad = [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and id(node) not in called
        if dotted(node) in {f"pytest.mark.{mark}" for mark in MARKS}
    ]
    for call in calls:
        name = dotted(call.func)
        if name in {f"pytest.mark.{mark}" for mark in MARKS}:
            place = 0 if name.endswith("skip") else 1
        elif name in {"pytest.skip", "pytest.xfail", "unittest.skip", "unittest.SkipTest"}:
            place = 0
        else:
            continue
        if len(reason_of(call, place)) < 4:
            bad.append(call.lineno)
    return sorted(bad)


@pytest.mark.parametrize("path", FILES, ids=[str(path.relative_to(ROOT)) for path in FILES])
def test_what_is_skipped_or_expected_to_fail_says_why(path: Path) -> None:
    assert without_reason(path.read_text("utf-8")) == []


def test_no_example_of_a_docstring_is_skipped() -> None:
    word = "+" + "SKIP"
    files = sorted((ROOT / "plotlib").rglob("*.py"))
    assert [path.name for path in files if word in path.read_text("utf-8")] == []


@pytest.mark.parametrize(
    "line",
    [
        "@pytest.mark.skip\ndef test_a(): ...",
        "@pytest.mark.skip()\ndef test_a(): ...",
        "@pytest.mark.skipif(True, reason='')\ndef test_a(): ...",
        "@pytest.mark.xfail\ndef test_a(): ...",
        "@pytest.mark.xfail(strict=True)\ndef test_a(): ...",
        "pytest.param(1, marks=pytest.mark.xfail)",
        "pytest.skip()",
    ],
)
def test_what_does_not_say_why_is_found(line: str) -> None:
    assert len(without_reason(line)) == 1


@pytest.mark.parametrize(
    "line",
    [
        "@pytest.mark.skip(reason='no port here')\ndef test_a(): ...",
        "@pytest.mark.skipif(True, reason='no port here')\ndef test_a(): ...",
        "pytest.skip('no port here')",
        "pytest.importorskip('uharfbuzz')",
    ],
)
def test_what_says_why_is_not(line: str) -> None:
    assert without_reason(line) == []
