"""Run the notebooks again and keep their outputs, after a change of what they show:
``python tests/run_notebooks.py [NAME ...]``.

Warnings of the kernel and lines of progress are left out, pieces of one stream are put together, so
that what is committed is what a reader wants to see.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import nbclient
import nbformat

FOLDER = Path(__file__).parents[1] / "notebooks"
PROFILE = FOLDER / "bench.toml"


def executed(path: Path, folder: Path) -> Any:
    """The notebook after all its cells were run in a folder that has the machine's profile."""
    shutil.copy(PROFILE, folder)
    book = nbformat.read(path, as_version=4)
    place = {"metadata": {"path": str(folder)}}
    client = nbclient.NotebookClient(
        book, timeout=300, kernel_name="python3", resources=place, record_timing=False
    )
    client.execute()
    return book


def tidied(book: Any) -> Any:
    """Without what tells of one run only."""
    for cell in book.cells:
        if cell.cell_type == "code":
            cell["outputs"] = _merged(cell.outputs)
    known = book.metadata.kernelspec
    book.metadata = {"kernelspec": known, "language_info": {"name": "python"}}
    return book


def _merged(outputs: list[Any]) -> list[Any]:
    kept: list[Any] = []
    for output in outputs:
        is_stream = output.output_type == "stream"
        if is_stream and output.name == "stderr":
            continue
        if is_stream and kept and kept[-1].output_type == "stream":
            kept[-1]["text"] += output.text
        else:
            kept.append(output)
    return kept


def main() -> None:
    names = sys.argv[1:] or sorted(path.stem for path in FOLDER.glob("*.ipynb"))
    for name in names:
        path = FOLDER / f"{name}.ipynb"
        with TemporaryDirectory() as folder:
            nbformat.write(tidied(executed(path, Path(folder))), path)
        print(f"{name}: {path.stat().st_size / 1e3:.0f} kB")


if __name__ == "__main__":
    main()
