"""What every file with comments says to the person at the machine."""

from __future__ import annotations

from typing import Final

CAUTIONS: Final = (
    "Caution: make the first run with the pen lifted or taken out. Keep the mains plug within "
    "reach.",
    "Keep fingers, long hair, cords and sleeves out of carriage and belts. Never leave a moving "
    "machine alone.",
    "The instructions of the machine maker and local rules come first.",
)
