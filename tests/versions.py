"""Other versions: the newest of every dependency on each Python that is installed, and the lowest
that pyproject.toml allows on the lowest Python. Prints a table; takes minutes for each.

    python tests/versions.py                          # every one, with the tests of the main job
    python tests/versions.py 3.13 lowest --tests tests plotlib
"""

from __future__ import annotations

import argparse
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

HOME = Path(__file__).parents[1]
PYTHONS = ("3.11", "3.12", "3.13", "3.14")
LOWEST = "lowest"
TESTS = (
    "tests/properties/test_main_job.py",
    "tests/published",
    "tests/test_drawing.py",
    "tests/machine",
    "tests/robustness/test_sharing.py",
    "tests/images",
    "tests/fields",
)


def lowest() -> list[str]:
    """What users and tests are asked for, at its lowest: lines for a file of constraints."""
    project = tomllib.loads((HOME / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"]]
    for name, extra in project["optional-dependencies"].items():
        asked += extra if name != "dev" else []
    bounds = [re.fullmatch(r"([\w.-]+)>=([\w.]+)", line) for line in asked]
    return [f"{bound[1]}=={bound[2]}" for bound in bounds if bound]


def found(version: str) -> str | None:
    """A Python of that version which starts: names on the path may be stand-ins that do not."""
    beside = sorted(Path(sys.base_prefix).parent.glob(f"{version}*/bin/python"))
    for name in (f"python{version}", *map(str, beside)):
        path = shutil.which(name)
        if path and not subprocess.run([path, "-V"], capture_output=True, check=False).returncode:
            return path
    return None


def tried(name: str, tests: list[str]) -> str:
    """The last line of the tests in a new environment, or why there is none."""
    python = found(PYTHONS[0] if name == LOWEST else name)
    if python is None:
        return "this Python is not installed"
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        copied = here / "plotlib"
        files = subprocess.run(["git", "ls-files", "-z"], cwd=HOME, capture_output=True, check=True)
        for file in filter(None, files.stdout.decode().split("\0")):
            (copied / file).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(HOME / file, copied / file)
        steps = [[python, "-m", "venv", str(here / "venv")]]
        own = str(here / "venv" / "bin" / "python")
        constraints = here / "constraints.txt"
        constraints.write_text("\n".join(lowest()) if name == LOWEST else "", encoding="utf-8")
        steps.append([own, "-m", "pip", "install", "-q", "-e", ".[tests]", "-c", str(constraints)])
        for step in steps:
            ended = subprocess.run(step, cwd=copied, capture_output=True, text=True, check=False)
            if ended.returncode:
                return f"not installed: {ended.stderr.strip()[-600:]}"
        command = [own, "-m", "pytest", "-q", "-n", "2", "--dist", "loadfile", *tests]
        ended = subprocess.run(command, cwd=copied, capture_output=True, text=True, check=False)
        lines = [line for line in ended.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
        summary = ended.stdout.strip().splitlines() or [ended.stderr.strip()[-600:]]
        return "\n    ".join([summary[-1], *lines[:20]])


def main() -> None:
    parser = argparse.ArgumentParser(description="Run tests on other versions.")
    parser.add_argument("names", nargs="*", default=[*PYTHONS, LOWEST])
    parser.add_argument("--tests", nargs="*", default=list(TESTS))
    given = parser.parse_args()
    for name in given.names:
        print(f"{name}: {tried(name, given.tests)}", flush=True)


if __name__ == "__main__":
    sys.exit(main())
