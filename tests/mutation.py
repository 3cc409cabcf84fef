"""Mutation testing: would the tests notice if one thing in the code were wrong?

A mutant is the code with one small change: a comparison, a sum or a condition turned round, a
number one off, a statement left out (DeMillo, Lipton and Sayward, Hints on test data selection,
Computer 11, 1978, from memory). A mutant is killed if a test fails on it; one that survives shows
something that no test looks at, or a change that makes no difference.

    python tests/mutation.py plotlib/planning/placing --tests tests/planning/placing --count 20
    python tests/mutation.py plotlib/gcode plotlib/machine --tests tests/gcode tests/machine

It takes ``--count`` mutants, drawn by ``--seed`` from all that the given files and folders have,
and runs the tests on each in a copy of the project; the working tree is left alone. Without
``--tests`` it runs what mirrors the given places. Kernels that a mutant does not touch come from
the store of compiled ones. It prints a line for each mutant that survives, and the share killed. A
test run that takes ten times as long as without a mutant counts as killed.

Choose tests that take seconds: time is the count of mutants times theirs. To see one mutant again,
or to know whether a new test kills it, give its number as printed: ``--only 12``.
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

HOME = Path(__file__).parents[1]
COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
COMPUTED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.LShift: ast.RShift,
    ast.RShift: ast.LShift,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
CALLED = {"min": "max", "max": "min", "any": "all", "all": "any", "floor": "ceil", "ceil": "floor"}
# Not looked at: what types say, and what messages, docstrings and lists of names say.
SKIPPED = ast.JoinedStr, ast.Raise, ast.Import, ast.ImportFrom, ast.Assert


@dataclass(frozen=True)
class Mutant:
    """One file with one change."""

    number: int
    path: Path
    line: int
    change: str
    source: str

    def __str__(self) -> str:
        return f"{self.number:5d} {self.path}:{self.line}: {self.change}"


def changes(node: ast.AST) -> Iterator[ast.AST]:
    """What a node could be instead."""
    if isinstance(node, ast.Compare) and len(node.ops) == 1:
        yield replaced(node, ops=[COMPARED[type(node.ops[0])]()])
    elif isinstance(node, ast.BinOp | ast.AugAssign) and type(node.op) in COMPUTED:
        yield replaced(node, op=COMPUTED[type(node.op)]())
    elif isinstance(node, ast.BoolOp):
        yield replaced(node, op=ast.Or() if isinstance(node.op, ast.And) else ast.And())
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield node.operand
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float):
        yield ast.Constant(node.value + 1)
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield ast.Constant(not node.value)
    elif isinstance(node, ast.If | ast.While):
        yield replaced(node, test=ast.UnaryOp(ast.Not(), node.test))
    elif isinstance(node, ast.Continue | ast.Break) or (
        isinstance(node, ast.Expr) and isinstance(node.value, ast.Call)
    ):
        yield ast.Pass()
    elif isinstance(node, ast.Attribute) and node.attr in CALLED:
        yield replaced(node, attr=CALLED[node.attr])
    elif isinstance(node, ast.Name) and node.id in CALLED:
        yield replaced(node, id=CALLED[node.id])


def replaced(node: ast.AST, **fields: object) -> ast.AST:
    new = copy.copy(node)
    for name, value in fields.items():
        setattr(new, name, value)
    return new


def places(tree: ast.AST) -> Iterator[tuple[ast.AST, str, int | None, ast.AST]]:
    """Every node inside functions, with its parent, the field that holds it, and the place in
    that field where it is a list.
    """
    functions = [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)]
    inner = {id(n) for f in functions for n in ast.walk(f) if n is not f}
    waiting: list[ast.AST] = [f for f in functions if id(f) not in inner]
    while waiting:
        parent = waiting.pop()
        for name, value in ast.iter_fields(parent):
            if name in ("annotation", "returns", "decorator_list", "args") and not isinstance(
                parent, ast.Call
            ):
                continue
            for at, node in enumerate(value) if isinstance(value, list) else [(None, value)]:
                if isinstance(node, ast.AST) and not isinstance(node, SKIPPED):
                    yield parent, name, at, node
                    waiting.append(node)


def mutants(paths: list[Path]) -> list[Mutant]:
    """All mutants of some files, in the order of the files."""
    found: list[Mutant] = []
    for path in paths:
        tree = ast.parse((HOME / path).read_text(encoding="utf-8"))
        for parent, name, at, node in list(places(tree)):
            for new in changes(node):
                put(parent, name, at, new)
                source = ast.unparse(ast.fix_missing_locations(tree))
                put(parent, name, at, node)
                line = getattr(node, "lineno", getattr(parent, "lineno", 0))
                change = f"{first_line(node)}  ->  {first_line(new)}"
                found.append(Mutant(len(found), path, line, change, source))
    return found


def put(parent: ast.AST, name: str, at: int | None, node: ast.AST) -> None:
    if at is None:
        setattr(parent, name, node)
    else:
        getattr(parent, name)[at] = node


def first_line(node: ast.AST) -> str:
    return ast.unparse(ast.fix_missing_locations(node)).splitlines()[0]


def files(given: list[Path]) -> list[Path]:
    """The Python files of some files and folders, relative to the project."""
    found: list[Path] = []
    for path in given:
        whole = HOME / path
        found += sorted(whole.rglob("*.py")) if whole.is_dir() else [whole]
    return [path.relative_to(HOME) for path in found]


def mirrors(given: list[Path]) -> list[str]:
    """The tests that mirror the given files and folders."""
    found = []
    for path in given:
        inside = path.relative_to("plotlib")
        found.append(HOME / "tests" / inside.with_name(f"test_{inside.name}"))
        if not path.suffix:
            found[-1] = HOME / "tests" / inside
    return [str(path.relative_to(HOME)) for path in found if path.exists()]


class Copy:
    """A copy of the project in which mutants are tried, one after the other."""

    def __init__(self, folder: Path, tests: list[str]) -> None:
        self.folder = folder
        self.tests = tests
        self.kernels = folder / "kernels"
        for name in ("plotlib", "tests"):
            shutil.copytree(HOME / name, folder / name, ignore=shutil.ignore_patterns("*.kernel"))
        shutil.copy(HOME / "pyproject.toml", folder)
        self.seconds = 600.0

    def run(self, kernels: Path) -> bool:
        """Whether all tests pass, in time."""
        command = [sys.executable, "-B", "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider"]
        environment = {
            **os.environ,
            "PYTHONPATH": str(self.folder),
            "NUMBA_CACHE_DIR": str(kernels),
        }
        try:
            done = subprocess.run(
                [*command, *self.tests],
                cwd=self.folder,
                env=environment,
                capture_output=True,
                timeout=self.seconds,
            )
        except subprocess.TimeoutExpired:
            return False
        return done.returncode == 0

    def survives(self, mutant: Mutant) -> bool:
        """Whether all tests pass on a mutant; what it compiles is thrown away."""
        path = self.folder / mutant.path
        kept = path.read_bytes()
        own = self.folder / "own"
        # Links: a kernel of the mutant replaces the one in this folder only.
        shutil.copytree(self.kernels, own, copy_function=os.link, dirs_exist_ok=True)
        try:
            path.write_text(mutant.source, encoding="utf-8")
            return self.run(own)
        finally:
            path.write_bytes(kept)
            shutil.rmtree(own)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("places", type=Path, nargs="+", help="files and folders of plotlib")
    parser.add_argument("--tests", nargs="+", help="what pytest runs")
    parser.add_argument("--count", type=int, default=40)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", type=int, nargs="+", help="numbers of mutants")
    given = parser.parse_args()
    every = mutants(files(given.places))
    drawn = random.Random(given.seed).sample(every, min(given.count, len(every)))
    if given.only:
        drawn = [every[number] for number in given.only]
    with tempfile.TemporaryDirectory() as folder:
        trial = Copy(Path(folder), given.tests or mirrors(given.places))
        trial.kernels.mkdir()
        if not trial.run(trial.kernels):
            sys.exit("the tests fail without a mutant")
        began = time.monotonic()
        trial.run(trial.kernels)
        trial.seconds = 20 + 10 * (time.monotonic() - began)
        alive = 0
        for mutant in drawn:
            if trial.survives(mutant):
                alive += 1
                print(mutant, flush=True)
    killed = len(drawn) - alive
    print(f"{killed} of {len(drawn)} killed ({100 * killed / len(drawn):.0f} %), of {len(every)}")


if __name__ == "__main__":
    main()
