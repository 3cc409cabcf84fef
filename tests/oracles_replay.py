"""A second reading of written G-code: small, slow, sharing no code with plotlib's reader or
writer.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from plotlib.machine import Machine

Point = tuple[int, int]


def replay(text: str, machine: Machine) -> tuple[list[list[Point]], list[Point], int, bool]:
    """The strokes and every place visited, in whole bed units, the number of stops, and whether the
    pen ends up.
    """
    scale = 10**machine.decimals
    at = {
        letter: int(Decimal(repr(home)) * scale)
        for letter, home in zip("XY", machine.home, strict=True)
    }
    zero = {
        letter: int(Decimal(repr(value)) * scale)
        for letter, value in zip("XY", machine.zero, strict=True)
    }
    sign = {"X": -1 if machine.x.reversed else 1, "Y": -1 if machine.y.reversed else 1}
    strokes: list[list[Point]] = []
    places = [(at["X"], at["Y"])]
    stops = 0
    is_down = False
    height = None
    recent: list[str] = []
    for line in text.split("\n"):
        code = re.sub(r"\([^)]*\)", "", line).strip()
        recent.append(code)
        words = dict(re.findall(r"([A-Z])(-?[0-9.]+)", code)) if re.match(r"[GXYZ]", code) else {}
        if words.get("G") in {"4", "20", "91"}:
            assert words["G"] == "4", code
            continue
        if "Z" in words:
            height = Decimal(words["Z"])
        before = is_down
        is_down = _down(machine, recent, height, is_down)
        if is_down and not before:
            strokes.append([(at["X"], at["Y"])])
        stops += code == "M0"
        if "X" in words or "Y" in words:
            for letter in "XY":
                if letter in words:
                    at[letter] = int(Decimal(words[letter]) * scale) * sign[letter] + zero[letter]
            places.append((at["X"], at["Y"]))
            if is_down:
                strokes[-1].append(places[-1])
    return strokes, places, stops, not is_down


def _down(machine: Machine, recent: list[str], height: Decimal | None, is_down: bool) -> bool:
    lift: Any = machine.lift
    if lift.kind == "z":
        return height is not None and height != Decimal(repr(lift.up))
    said = tuple(line for line in recent[-20:] if line and not line.startswith("G4"))
    if lift.kind == "solenoid":
        pulled = (lift.pull, lift.hold)
        up, down = (pulled, (lift.release,)) if lift.holds == "up" else ((lift.release,), pulled)
    else:
        up, down = lift.up, lift.down
    if said[-len(up) :] == up:
        return False
    return is_down or said[-len(down) :] == down
