"""The two pictures of the README, made by the gallery's own scripts.

``python tests/readme_pictures.py``, from the top of the checkout, writes them into
``gallery/pictures/``; ``tests/test_readme.py`` makes them again and compares.
"""

from __future__ import annotations

import runpy
from collections.abc import Iterator
from pathlib import Path
from typing import Any

GALLERY = Path(__file__).parents[1] / "gallery"
PICTURES = GALLERY / "pictures"
_MADE = {"relief_map": ("chart", 90), "ridge_lines": ("scene", 60)}  # function, dpi


def pictures() -> Iterator[tuple[str, Any, dict[str, Any]]]:
    """Name, drawing, and options of the preview of each picture."""
    for name, (function, dpi) in _MADE.items():
        piece = runpy.run_path(str(GALLERY / f"{name}.py"))
        yield name, piece[function](), {"sheet": piece["SHEET"], "dpi": dpi}


def main() -> None:
    """Write the pictures."""
    from plotlib.preview import png

    PICTURES.mkdir(exist_ok=True)
    for name, drawing, options in pictures():
        png(drawing, PICTURES / f"{name}.png", **options)


if __name__ == "__main__":
    main()
