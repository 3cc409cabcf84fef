"""The floors of the house: a module imports only from floors below its own, and nothing heavy is
loaded at the door.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "plotlib"
FLOORS = {
    1: (
        "errors",
        "checks",
        "colours",
        "compiled",
        "files",
        "interrupt",
        "kernel_store",
        "progress",
    ),
    2: ("arrays", "pen", "sheet", "machine"),
    3: ("drawing",),
    4: ("regions",),
    5: (
        "shapes",
        "curves",
        "fills",
        "fields",
        "text",
        "images",
        "tidying",
        "symmetry",
        "maps",
        "tilings",
        "growth",
        "planning",
    ),
    6: ("gcode", "svg", "dxf", "preview"),
    7: ("calibration", "sets", "streaming", "testing", "prepare"),
}
FLOOR = {room: floor for floor, rooms in FLOORS.items() for room in rooms}
ALLOWED_INSIDE = {
    ("curves", "shapes"),
    ("fills", "curves"),
    ("fills", "shapes"),
    ("text", "fills"),
    ("images", "fields"),
    ("images", "planning"),
    ("tidying", "planning"),
    ("maps", "text"),
    ("dxf", "svg"),
    ("svg", "planning"),
    ("gcode", "planning"),
    ("tilings", "symmetry"),
    ("growth", "fields"),
}
MODULES = sorted(path for path in PACKAGE.rglob("*.py") if path != PACKAGE / "__init__.py")


def dotted(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


KNOWN = {dotted(module) for module in MODULES}


def imported(path: Path, *, top_only: bool = False) -> set[str]:
    """Modules of plotlib that a file imports (type-checking imports left out; those inside
    functions too with ``top_only``).
    """
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped = {
        id(node)
        for block in ast.walk(tree)
        if isinstance(block, ast.If) and "TYPE_CHECKING" in ast.dump(block.test)
        for node in ast.walk(block)
    }
    if top_only:
        skipped |= {
            id(node)
            for block in ast.walk(tree)
            if isinstance(block, ast.FunctionDef)
            for node in ast.walk(block)
        }
    names: set[str] = set()
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        if (
            isinstance(node, ast.ImportFrom)
            and node.module
            and node.module.split(".")[0] == "plotlib"
        ):
            names |= {
                f"{node.module}.{alias.name}"
                if f"{node.module}.{alias.name}" in KNOWN
                else node.module
                for alias in node.names
            }
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names if alias.name.split(".")[0] == "plotlib"}
    return names


@pytest.mark.parametrize("path", MODULES, ids=dotted)
def test_no_module_imports_upward_or_the_package_itself(path: Path) -> None:
    assert dotted(path).split(".")[1] in FLOOR, (
        f"{path.name} stands on no floor; say which in FLOORS"
    )
    mine = dotted(path).split(".")[1]
    for name in imported(path):
        assert name != "plotlib", f"{dotted(path)} imports the package itself"
        theirs = name.split(".")[1]
        ok = (
            theirs == mine
            or FLOOR[theirs] < FLOOR[mine]
            or (mine, theirs) in ALLOWED_INSIDE
            or (FLOOR[mine] == FLOOR[theirs] <= 2)
        )
        assert ok, f"{dotted(path)} (floor {FLOOR[mine]}) imports {name} (floor {FLOOR[theirs]})"


def test_there_is_no_import_cycle() -> None:
    graph = {dotted(path): imported(path, top_only=True) - {dotted(path)} for path in MODULES}
    state: dict[str, int] = {}

    def visit(name: str, trail: tuple[str, ...]) -> None:
        assert state.get(name) != 1, f"cycle: {' -> '.join([*trail, name])}"
        if state.get(name) == 2:
            return
        state[name] = 1
        for other in sorted(graph.get(name, ())):
            if not name.startswith(
                other + "."
            ):  # a package's __init__ imports its files, and they its parts
                visit(other, (*trail, name))
        state[name] = 2

    for name in graph:
        visit(name, ())


def test_importing_plotlib_loads_nothing_heavy() -> None:
    heavy = (
        "scipy",
        "numba",
        "contourpy",
        "PIL",
        "hypothesis",
        "matplotlib",
        "tomli_w",
        "pyproj",
        "ezdxf",
    )
    code = f"import sys, plotlib; print([name for name in {heavy!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_no_file_of_the_package_is_too_long() -> None:
    long = {
        dotted(path): lines
        for path in MODULES
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 500
    }
    assert not long
