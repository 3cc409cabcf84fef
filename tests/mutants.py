"""Mutants: the code with one small change each.

A comparison, a sum or a condition is turned round, a number is one off, a statement is left out (R.
A. DeMillo, R. J. Lipton and F. G. Sayward, Hints on test data selection, Computer 11, 1978, from
memory). ``tests/mutation.py`` runs the tests on them.
"""

from __future__ import annotations

import ast
import copy
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
    first: int
    last: int
    change: str
    source: str

    def __str__(self) -> str:
        return f"{self.number:5d} {self.path}:{self.first}: {self.change}"


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
                if isinstance(node, ast.keyword) and node.arg == "strict":
                    continue  # of zip: a safeguard that nothing in right code sets off
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
                first, last = lines(node, parent)
                change = f"{first_line(node)}  ->  {first_line(new)}"
                found.append(Mutant(len(found), path, first, last, change, source))
    return found


def put(parent: ast.AST, name: str, at: int | None, node: ast.AST) -> None:
    if at is None:
        setattr(parent, name, node)
    else:
        getattr(parent, name)[at] = node


def first_line(node: ast.AST) -> str:
    return ast.unparse(ast.fix_missing_locations(node)).splitlines()[0]


def lines(node: ast.AST, parent: ast.AST) -> tuple[int, int]:
    """The first and the last line that run if a node does; of a condition its head only."""
    placed = node if hasattr(node, "lineno") else parent
    head = placed.test if isinstance(placed, ast.If | ast.While) else placed
    return getattr(placed, "lineno", 0), getattr(head, "end_lineno", 0)


def functions(path: Path) -> list[tuple[int, int]]:
    """The first and the last line of every function of a file, inner ones last."""
    tree = ast.parse((HOME / path).read_text(encoding="utf-8"))
    found = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    return [(node.lineno, node.end_lineno or 0) for node in found]
