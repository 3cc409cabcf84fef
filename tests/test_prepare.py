"""The command that compiles everything beforehand."""

from __future__ import annotations

import ast
import importlib
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from plotlib import prepare
from plotlib.compiled import Kernel, compiled_above

HOME = Path(__file__).parents[1]


@compiled_above(1_000)
def _doubled(values: np.ndarray) -> np.ndarray:
    return 2.0 * values


def twice() -> None:
    """Doubling numbers. And nothing else."""
    _doubled(np.ones(3))


@pytest.mark.parametrize("task", [task for part in prepare.PARTS for task in part])
def test_every_task_runs(task: Callable[[], None]) -> None:
    task()
    assert len(prepare.words(task)) > 5


def called_from_python(*rooms: str) -> Iterator[tuple[str, Kernel]]:
    """The kernels that modules of some rooms import, other kernels excepted."""
    for room in rooms:
        for path in sorted((HOME / "plotlib" / room).rglob("*.py")):
            if path.stem.endswith("_kernel"):
                continue
            tree = ast.parse(path.read_text(encoding="utf-8"))
            for module, name in kernel_names(tree):
                kernel = getattr(importlib.import_module(module), name, None)
                if isinstance(kernel, Kernel):
                    yield f"{module}.{name}", kernel


def kernel_names(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """What a module imports from kernel modules, and what it takes from those it imports whole."""
    nodes = list(ast.walk(tree))
    for node in nodes:
        if not isinstance(node, ast.ImportFrom):
            continue
        for alias in node.names:
            if str(node.module).endswith("_kernel"):
                yield str(node.module), alias.name
            elif alias.name.endswith("_kernel"):
                called = alias.asname or alias.name
                for use in nodes:
                    if isinstance(use, ast.Attribute) and ast.unparse(use.value) == called:
                        yield f"{node.module}.{alias.name}", use.attr


def test_every_kernel_of_planning_and_writing_is_prepared(monkeypatch: pytest.MonkeyPatch) -> None:
    rooms = ("planning/ordering", "planning/bounding", "planning/moving", "gcode")
    kernels = dict(called_from_python(*rooms))
    assert len(kernels) > 20
    for kernel in kernels.values():
        monkeypatch.setattr(kernel, "_entry", None)
    tasks = (prepare.order, prepare.bound, prepare.times, prepare.files)
    prepare.run(tasks, lambda what: None)
    assert [name for name, kernel in kernels.items() if kernel._entry is None] == []


def test_nothing_is_left_to_python_while_preparing() -> None:
    said: list[str] = []
    assert isinstance(_doubled, Kernel)
    twice()
    assert _doubled._entry is None
    prepare.run((twice,), said.append)
    assert said == ["Doubling numbers"]
    assert _doubled._entry is not None
    assert Kernel.leaves_little_to_python


def test_two_processes_do_it_and_say_how_far_they_are(tmp_path: Path) -> None:
    """With tasks that are quick to compile, by the command itself."""
    code = (
        "import sys\n"
        "from plotlib import prepare\n"
        "prepare.PARTS = ((prepare.fills,), (prepare.fills, prepare.fills))\n"
        "sys.exit(prepare.main())"
    )
    script = tmp_path / "run.py"
    script.write_text(code)
    begun = (
        "import subprocess, sys\n"
        "from plotlib import prepare\n"
        "prepare.PARTS = ((prepare.fills,), (prepare.fills, prepare.fills))\n"
        "old = subprocess.Popen\n"
        f"script = {str(script)!r}\n"
        "def popen(command, **options):\n"
        "    return old([command[0], script, *command[3:]], **options)\n"
        "prepare.subprocess.Popen = popen\n"
        "sys.exit(prepare.main())"
    )
    kept = tmp_path / "kept"
    paths = os.pathsep.join([str(Path(prepare.__file__).parents[1])])
    done = subprocess.run(
        [sys.executable, "-c", begun],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "NUMBA_CACHE_DIR": str(kept), "PYTHONPATH": paths},
    )
    lines = done.stdout.splitlines()
    assert done.returncode == 0, done.stderr
    assert lines[0] == "plotlib: preparing its compiled parts in 2 processes"
    assert [line.split(",")[0] for line in lines[1:4]] == ["  1 of 3", "  2 of 3", "  3 of 3"]
    assert lines[4] == f"plotlib: ready; kept in {kept / 'plotlib'}"
    assert any(path.name.startswith("plotlib.fills") for path in (kept / "plotlib").iterdir())


def test_a_part_that_fails_is_reported(monkeypatch: pytest.MonkeyPatch) -> None:
    old = subprocess.Popen
    fails = [sys.executable, "-c", "import sys; sys.exit(3)"]
    monkeypatch.setattr(
        prepare.subprocess, "Popen", lambda command, **options: old(fails, **options)
    )
    said: list[str] = []
    assert prepare.prepare(said.append) == 1
    assert "could not be prepared" in said[-1]
