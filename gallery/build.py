"""Builds the gallery: ``python gallery/build.py [NAME…]``, all pieces or some, several at a time.

Each script beside this one that has a main part is a piece. It is run in a process of its own and
writes G-code, SVG and PNG into ``out/``. A new piece gets its picture in ``pictures/``, its entry
in ``built.toml`` and its place in ``README.md``. Where the G-code of a known piece has changed, the
name is told and nothing else is touched, until ``--accept`` says that the change was meant; the
tests compare, so that no change of output goes unseen.
"""

from __future__ import annotations

import argparse
import ast
import hashlib
import inspect
import io
import json
import os
import platform
import runpy
import subprocess
import sys
import tomllib
from concurrent.futures import ThreadPoolExecutor, as_completed
from pathlib import Path
from typing import Any

import plotlib as pl
from plotlib.progress import stage

HERE = Path(__file__).parent
OUT = HERE / "out"
PICTURES = HERE / "pictures"
LIST = HERE / "built.toml"
INDEX = HERE / "README.md"
ROOMS = (
    "shapes",
    "curves",
    "fills",
    "fields",
    "regions",
    "text",
    "images",
    "growth",
    "symmetry",
    "tilings",
)
SIZES = range(1100, 400, -50)  # pixels of the longer side; the largest that is small enough
LIBRARIES = ("pl", "np", "shapely")
MOST_BYTES = 96_000  # of a picture
HEAD = """\
# What each piece comes to; written by build.py, compared by the tests. Checksums are SHA-256 of the
# G-code without its comments. Floating point may differ in its last bits between processors and
# between versions of the libraries that work with it, so each entry says what it was `made_on`.
"""


def pieces() -> list[str]:
    """Names of the scripts that have a main part."""
    found = [path for path in sorted(HERE.glob("*.py")) if path != Path(__file__)]
    return [path.stem for path in found if 'if __name__ == "__main__":' in path.read_text("utf-8")]


def kind_of_machine() -> str:
    """What floating point depends on: the processor's instructions, and versions."""
    import numba
    import numpy
    import scipy
    import shapely

    simd: dict[str, Any] = numpy.show_config(mode="dicts")["SIMD Extensions"]  # type: ignore[index]
    best = (simd.get("found") or ["baseline"])[-1]
    versions = [f"{one.__name__} {one.__version__}" for one in (numpy, scipy, numba, shapely)]
    return ", ".join([f"{platform.machine()} {best}", *versions])


def built(name: str) -> dict[str, Any]:
    """Run one piece in a process of its own: what it came to."""
    command = [sys.executable, str(Path(__file__)), "--here", name]
    where = os.pathsep.join(filter(None, [str(HERE.parent), os.environ.get("PYTHONPATH")]))
    done = subprocess.run(
        command,
        capture_output=True,
        encoding="utf-8",
        check=False,
        env={**os.environ, "PYTHONPATH": where, "PYTHONIOENCODING": "utf-8"},
    )
    if done.returncode:
        raise RuntimeError(f"{name} failed:\n{done.stderr[-3000:]}")
    facts: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return facts


def run_here(name: str) -> None:
    """Run a piece in this process, as its user would, and print its facts as one line."""
    plots: list[pl.Plot] = []
    plan = pl.plan

    def noted(*arguments: Any, **options: Any) -> pl.Plot:
        plots.append(plan(*arguments, **options))
        return plots[-1]

    pl.plan = noted
    for path in programs(name):
        path.unlink()  # of an earlier run
    piece = runpy.run_path(str(HERE / f"{name}.py"), run_name="__main__")
    pens = dict.fromkeys(pen for plot in plots for pen in plot.drawing.pens)
    facts = {
        "gcode": checksum(programs(name)),
        "made_on": kind_of_machine(),
        "strokes": sum(plot.lifts for plot in plots),
        "ink": round(sum(plot.drawing.length for plot in plots), 1),
        "minutes": round(sum(plot.duration for plot in plots) / 60, 1),
        "sheet": paper(piece["SHEET"]),
        "pens": list(dict.fromkeys(f"{pen.name} {pen.width:g}" for pen in pens)),
        "makers": makers_of(name),
    }
    print(json.dumps(facts))


def checksum(files: list[Path]) -> str:
    """SHA-256 of what a machine is told: all lines but comments, which name the version too."""
    lines = [line for path in files for line in path.read_bytes().splitlines()]
    return hashlib.sha256(b"\n".join(line for line in lines if line[:1] != b"(")).hexdigest()


def programs(name: str) -> list[Path]:
    """The G-code files of a piece: one, or several with something after its name."""
    return [*OUT.glob(f"{name}.gcode"), *sorted(OUT.glob(f"{name}[_-]*.gcode"))]


def paper(sheet: pl.Sheet) -> str:
    """What the paper is called."""
    for name in ("A3", "A4", "A5", "A6"):
        for lying in (False, True):
            known = pl.Sheet.iso(name, landscape=lying)
            if (known.width, known.height) == (sheet.width, sheet.height):
                return f"{name} {'lying' if lying else 'upright'}"
    return f"{sheet.width:g} × {sheet.height:g} mm"


def makers_of(name: str) -> list[str]:
    """The public makers that a script names, and the methods of a Drawing that it calls."""
    methods = {one for one, _ in inspect.getmembers(pl.Drawing, inspect.isfunction)}
    tree = ast.parse((HERE / f"{name}.py").read_text("utf-8"))
    short = {}  # names that a script gives to rooms, as in fields = pl.fields
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign) and ast.unparse(node.value).startswith("pl."):
            short[ast.unparse(node.targets[0])] = ast.unparse(node.value)
    found = set()
    for node in ast.walk(tree):
        if not isinstance(node, ast.Attribute):
            continue
        first, *rest = ast.unparse(node).split(".")
        chain = [*short.get(first, first).split("."), *rest]
        if len(chain) == 3 and chain[0] == "pl" and chain[1] in ROOMS:
            found.add(".".join(chain[1:]))
        elif node.attr in methods and not node.attr.startswith("_") and first not in LIBRARIES:
            found.add(f"Drawing.{node.attr}")
    return sorted(one for one in found if not one.split(".")[1][0].isupper())


def pictured(name: str) -> bytes:
    """The piece's picture with few colours, small enough to be kept."""
    from PIL import Image

    with Image.open(OUT / f"{name}.png") as opened:
        whole = opened.convert("RGB")
    for size in SIZES:
        share = size / max(whole.size)
        small = whole.resize([round(side * share) for side in whole.size], Image.Resampling.LANCZOS)
        few = small.quantize(
            24, method=Image.Quantize.MAXCOVERAGE, kmeans=2, dither=Image.Dither.NONE
        )
        data = io.BytesIO()
        few.save(data, "PNG", optimize=True)
        if data.tell() <= MOST_BYTES:
            break
    return data.getvalue()


def known() -> dict[str, Any]:
    """The entries of the committed list."""
    return tomllib.loads(LIST.read_text("utf-8")) if LIST.exists() else {}


def index_of(entries: dict[str, Any]) -> str:
    """The text of the index."""
    minutes = sum(entry["minutes"] for entry in entries.values())
    parts = [
        "# Gallery\n\nWritten by `python gallery/build.py`, which builds all pieces or those that "
        "are named. Each is one short script for the machine in `bench.toml`, and everything on "
        f"it comes from code. Together they are {minutes / 60:.0f} hours of plotting.\n"
    ]
    for name, entry in sorted(entries.items()):
        told = ast.get_docstring(ast.parse((HERE / f"{name}.py").read_text("utf-8"))) or ""
        first, _, rest = told.partition("\n\n")
        numbers = f"{entry['minutes']:.0f} min · {entry['strokes']:,} strokes · "
        numbers += f"{entry['ink'] / 1000:.1f} m of ink · {entry['sheet']} · "
        numbers += "pens: " + ", ".join(entry["pens"])
        title = name.replace("_", " ").capitalize()
        makers = ", ".join(f"`{maker}`" for maker in entry["makers"])
        parts.append(
            f"## {title}\n\n{_flowing(first)}\n\n![{title}](pictures/{name}.png)\n\n"
            f"[`{name}.py`]({name}.py) · {numbers}\n\n{_flowing(rest)}\n\nMakers: {makers}\n"
        )
    return "\n".join(parts)


def _flowing(text: str) -> str:
    return " ".join(text.split())


def keep(names: list[str], entries: dict[str, Any]) -> None:
    """Write the pictures of some pieces, the list and the index of all."""
    import tomli_w

    PICTURES.mkdir(exist_ok=True)
    for name in names:
        (PICTURES / f"{name}.png").write_bytes(pictured(name))
    present = {name: entries[name] for name in pieces() if name in entries}
    LIST.write_text(f"{HEAD}\n{tomli_w.dumps(present)}", "utf-8")
    INDEX.write_text(index_of(present), "utf-8")


def build(names: list[str], *, workers: int) -> dict[str, dict[str, Any]]:
    """Facts of the pieces, each run in a process of its own."""
    facts = {}
    with stage("building the gallery") as work, ThreadPoolExecutor(workers) as pool:
        waiting = {pool.submit(built, name): name for name in names}
        for done in as_completed(list(waiting)):
            name = waiting.pop(done)
            work.done(1 - len(waiting) / len(names))
            try:
                facts[name] = done.result()
            except RuntimeError as error:
                print(error)
                continue
            print(f"{name}: {facts[name]['minutes']:.0f} min on the machine")
    return facts


def main() -> int:
    """Build, compare, and keep what is new or accepted."""
    ask = argparse.ArgumentParser(description="Build the gallery, all pieces or some.")
    ask.add_argument("names", nargs="*", metavar="NAME", choices=[*pieces(), []])
    ask.add_argument("--accept", action="store_true", help="keep what has changed")
    ask.add_argument("--workers", type=int, default=os.cpu_count() or 1, help="at a time")
    ask.add_argument("--here", action="store_true", help=argparse.SUPPRESS)
    wish = ask.parse_args()
    if wish.here:
        run_here(wish.names[0])
        return 0
    names = wish.names or pieces()
    facts = build(names, workers=wish.workers)
    entries = known()
    changed = [name for name in facts if name in entries]
    changed = [name for name in changed if entries[name]["gcode"] != facts[name]["gcode"]]
    kept = [name for name in facts if wish.accept or name not in entries]
    keep(kept, entries | {name: facts[name] for name in kept})
    for name in () if wish.accept else changed:
        print(f"{name}: the G-code is not what built.toml says; --accept keeps it")
    is_bad = len(facts) < len(names) or (changed and not wish.accept)
    return 1 if is_bad else 0


if __name__ == "__main__":
    sys.exit(main())
