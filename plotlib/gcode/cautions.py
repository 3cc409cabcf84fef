"""What every file with comments says to the person at the machine."""

from __future__ import annotations

from typing import Final

CAUTIONS: Final = (
    "Caution: make the first run with the pen lifted or taken out. Keep the mains plug within "
    "reach.",
    "Keep fingers, long hair, cords and sleeves out of carriage and belts. Never leave a moving "
    "machine alone.",
    "Check homing and lift by hand before the first file. Ventilate for solvent inks.",
    "On food only inks, pens and surfaces made for it. Mains wiring is for those licensed for it.",
    "The instructions of the machine maker and local rules come first.",
)
