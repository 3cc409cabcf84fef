"""Symmetry: the seventeen wallpaper groups, friezes, rosettes, the kaleidoscope, and maps of the
plane that keep angles.

Begin with ``wallpaper.py``; ``groups.py`` holds the groups as whole numbers.
"""

from __future__ import annotations

from plotlib.symmetry.conformal import conformal, inversion, mobius
from plotlib.symmetry.frieze import frieze, kaleidoscope, rosette
from plotlib.symmetry.groups import WallpaperGroup, wallpaper_group
from plotlib.symmetry.wallpaper import wallpaper

__all__ = [
    "WallpaperGroup",
    "conformal",
    "frieze",
    "inversion",
    "kaleidoscope",
    "mobius",
    "rosette",
    "wallpaper",
    "wallpaper_group",
]


def __dir__() -> list[str]:
    return sorted(__all__)
