"""Where a spacing is too small, the number that the refusal names can be taken."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from typing import Any

import pytest
import shapely
from shapely import Point, Polygon, box

from plotlib import fields, growth
from plotlib.errors import InvalidValue

Area = Polygon | shapely.MultiPolygon
AREAS = [
    box(0, 0, 30, 20),
    box(0, 0, 300, 2),
    Point(0, 0).buffer(9).difference(Point(0, 0).buffer(8.5)),
    shapely.union_all([Point(0, 0).buffer(6), Point(30, 25).buffer(5)]),
]
MAKERS: dict[str, Callable[[Area, float], Any]] = {
    "aggregate": lambda area, s: growth.aggregate(area, spacing=s, count=5),
    "automaton": lambda area, s: growth.automaton(area, spacing=s, steps=2),
    "branches": lambda area, s: growth.branches(area, spacing=s),
    "cracks": lambda area, s: growth.cracks(area, spacing=s),
    "differential growth": lambda area, s: growth.differential_growth(area, spacing=s, length=9),
    "by a field": lambda area, s: growth.differential_growth(
        area, spacing=s * (1 + fields.constant(0.5)), length=9
    ),
    "maze": lambda area, s: growth.maze(area, spacing=s),
    "orbit": lambda area, s: growth.orbit(area, spacing=s, count=9),
    "reaction diffusion": lambda area, s: growth.reaction_diffusion(area, cell=s, steps=2),
    "trails": lambda area, s: growth.trails(area, cell=s, steps=2),
    "veins": lambda area, s: growth.veins(area, spacing=s),
    "veins, closed": lambda area, s: growth.veins(area, spacing=s, closed=True),
    "wanderers": lambda area, s: growth.wanderers(area, spacing=s),
}
SMALLER = {  # so that what may just be made is made fast
    "aggregate": {},
    "attractors": {"_MOST_CELLS": 4_000},
    "automata": {"_MOST": 4_000},
    "colonisation": {"_MOST": 60},
    "cracks": {"_MOST": 200},
    "differential_growth": {"_MOST": 900, "_MOST_CELLS": 4_000},
    "mazes": {"_MOST": 4_000},
    "reaction_diffusion": {"_MOST": 4_000},
    "room": {"_MOST": 5_000},
    "trails": {"_MOST": 4_000},
    "wanderers": {"_MOST": 60},
}


@pytest.mark.parametrize(
    ("maker", "area"),
    [(maker, area) for maker in MAKERS for area in (AREAS if maker != "by a field" else AREAS[:1])],
)
def test_the_advice_can_be_obeyed(maker: str, area: Area, monkeypatch: pytest.MonkeyPatch) -> None:
    for module, limits in SMALLER.items():
        for name, value in limits.items():
            monkeypatch.setattr(sys.modules[f"plotlib.growth.{module}"], name, value)
    make = MAKERS[maker]
    for tried in (1e-300, 1e-9, 0.01):
        with pytest.raises(InvalidValue, match="mm or more") as said:
            make(area, tried)
        found = re.search(r"([0-9.e+-]+) mm or more", str(said.value))
        assert found is not None
        enough = float(found[1])
        make(area, enough / 1.5 if maker == "by a field" else enough)
        assert enough > tried


def test_fewer_steps_can_be_obeyed(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in ("reaction_diffusion", "automata"):
        monkeypatch.setattr(sys.modules[f"plotlib.growth.{module}"], "_MOST_WORK", 1e5)
    tries: list[Callable[[int], Any]] = [
        lambda steps: growth.reaction_diffusion(AREAS[0], steps=steps),
        lambda steps: growth.automaton(AREAS[0], rule="B3/S23", steps=steps),
    ]
    for make in tries:
        with pytest.raises(InvalidValue, match="at most") as said:
            make(10**7)
        fewer = str(said.value).split("take fewer, ")[1].split(" at most")[0]
        make(int(fewer.replace(",", "")))
