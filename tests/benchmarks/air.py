"""How much air the code has: figures that a formatter cannot enforce, beside those of libraries
that read well.

Run ``python tests/benchmarks/air.py``. Nothing asserts these figures; the aim is at most ten tokens
a line in the median inside function bodies, no line above 100 columns, no nested conditional
expression, and no parallel assignment but for swaps and for values that belong together.
"""

from __future__ import annotations

import argparse
import ast
import importlib.util
import io
import tokenize
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from typing import NamedTuple

PACKAGE = Path(__file__).parents[2] / "plotlib"
MODELS = ("shapely", "fontTools", "contourpy", "pluggy")
SILENT = {
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.COMMENT,
    tokenize.ENDMARKER,
}
Function = ast.FunctionDef | ast.AsyncFunctionDef


class Figures(NamedTuple):
    """What is counted in the files of one package."""

    files: int
    lines: int
    longest_file: int
    tokens: float
    tokens_in_bodies: float
    wide: int
    parallel: int
    assignments: int
    nested: int
    long_bodies: int
    lines_for_a_comment: float


def tokens_by_line(source: str) -> dict[int, int]:
    """How many tokens begin on each line of code; docstrings and comments are left out."""
    counts: dict[int, int] = {}
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        several_lines = token.type == tokenize.STRING and token.start[0] != token.end[0]
        if token.type not in SILENT and not several_lines:
            counts[token.start[0]] = counts.get(token.start[0], 0) + 1
    return counts


def functions(tree: ast.AST) -> Iterator[Function]:
    """All functions of a module, methods and inner ones too."""
    return (node for node in ast.walk(tree) if isinstance(node, Function))


def body(function: Function) -> list[ast.stmt]:
    """The statements of a function without its docstring."""
    first = function.body[0]
    has_docstring = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
    return function.body[1:] if has_docstring else function.body


def body_lines(function: Function) -> set[int]:
    """The numbers of the lines of a function's body."""
    lines: set[int] = set()
    for statement in body(function):
        lines.update(range(statement.lineno, (statement.end_lineno or 0) + 1))
    return lines


def is_parallel(node: ast.AST) -> bool:
    """Whether one statement assigns several values to several names, and is no swap."""
    if not isinstance(node, ast.Assign) or not isinstance(node.value, ast.Tuple):
        return False
    target = node.targets[0]
    if not isinstance(target, ast.Tuple):
        return False
    given = sorted(map(ast.unparse, target.elts))
    taken = sorted(map(ast.unparse, node.value.elts))
    return given != taken


def is_nested(node: ast.AST) -> bool:
    """Whether a conditional expression holds another one."""
    if not isinstance(node, ast.IfExp):
        return False
    inner = (part for child in ast.iter_child_nodes(node) for part in ast.walk(child))
    return any(isinstance(part, ast.IfExp) for part in inner)


def figures(paths: list[Path]) -> Figures:
    """Count over files."""
    everywhere: list[int] = []
    inside: list[int] = []
    nodes: list[ast.AST] = []
    long_bodies = wide = comments = longest = lines = 0
    for path in paths:
        source = path.read_text(encoding="utf-8")
        tree = ast.parse(source)
        counts = tokens_by_line(source)
        spans = [body_lines(function) for function in functions(tree)]
        inner = set().union(*spans)
        everywhere += counts.values()
        inside += [count for line, count in counts.items() if line in inner]
        nodes += ast.walk(tree)
        length = len(source.splitlines())
        lines += length
        longest = max(longest, length)
        long_bodies += sum(len(span) > 40 for span in spans)
        wide += sum(len(line) > 100 for line in source.splitlines())
        comments += sum(
            line.lstrip().startswith("#") or "  # " in line for line in source.splitlines()
        )
    return Figures(
        files=len(paths),
        lines=lines,
        longest_file=longest,
        tokens=median(everywhere),
        tokens_in_bodies=median(inside),
        wide=wide,
        parallel=sum(map(is_parallel, nodes)),
        assignments=sum(isinstance(node, ast.Assign) for node in nodes),
        nested=sum(map(is_nested, nodes)),
        long_bodies=long_bodies,
        lines_for_a_comment=len(everywhere) / max(comments, 1),
    )


def files_of(name: str) -> list[Path]:
    """The Python files of an installed package."""
    spec = importlib.util.find_spec(name)
    if spec is None or spec.origin is None:
        return []
    return sorted(Path(spec.origin).parent.glob("*.py"))


def where(paths: list[Path]) -> Iterator[str]:
    """Each place that the figures count against us."""
    for path in paths:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for function in functions(tree):
            if len(body_lines(function)) > 40:
                yield f"{path}:{function.lineno} body of {len(body_lines(function))} lines"
        for node in ast.walk(tree):
            if is_parallel(node):
                yield f"{path}:{node.lineno} parallel"  # type: ignore[attr-defined]
            if is_nested(node):
                yield f"{path}:{node.lineno} nested conditional"  # type: ignore[attr-defined]


def main() -> None:
    """Print a row for plotlib, for each of its rooms, and for the models."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--where", action="store_true", help="list the places too")
    chosen = parser.parse_args()
    rooms = {"plotlib": sorted(PACKAGE.rglob("*.py"))}
    for room in sorted(path for path in PACKAGE.iterdir() if path.is_dir()):
        rooms[room.name] = sorted(room.rglob("*.py"))
    for model in MODELS:
        rooms[model] = files_of(model)
    print(" ".join(f"{name:>11.11s}" for name in ("", *Figures._fields)))
    for name, paths in rooms.items():
        if paths:
            print(f"{name:>11s}", *(f"{value:11g}" for value in figures(paths)))
    if chosen.where:
        print(*where(rooms["plotlib"]), sep="\n")


if __name__ == "__main__":
    main()
