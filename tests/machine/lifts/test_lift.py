"""What every kind of lift answers."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import plotlib
from plotlib.errors import UnknownName
from plotlib.machine import Lift, ServoLift, SolenoidLift, ZLift
from plotlib.machine.lifts import KINDS

LIFTS: tuple[Lift, ...] = (
    ServoLift(("M3 S50", "M3 S30"), "M3 S90", 0.3, 0.1),
    ZLift(4, -0.5, 600, 0.3, 0.1),
    SolenoidLift(pull="Q2", hold="Q1", release="Q0", pull_time=0.05, holds="up"),
)


def test_every_kind_has_an_entry_in_profiles() -> None:
    assert {lift.kind: type(lift) for lift in LIFTS} == dict(KINDS)
    for lift in LIFTS:
        entry = lift.entry()
        assert KINDS[entry.pop("kind")](**entry) == lift


@pytest.mark.parametrize("lift", LIFTS, ids=lambda lift: lift.kind)
def test_a_lift_moves_by_lines_or_by_heights(lift: Lift) -> None:
    up = lift.change("up")
    down = lift.change("down")
    assert lift.lines == up.lines + down.lines
    assert bool(lift.lines) == (lift.heights is None)
    for change in (up, down):
        assert len(change.lines) == len(change.waits)
    assert (lift.settle("up"), lift.settle("down")) == (lift.settle_up, lift.settle_down)
    assert lift.seconds_up >= lift.settle_up
    assert lift.seconds_down >= lift.settle_down


@pytest.mark.parametrize("lift", LIFTS, ids=lambda lift: lift.kind)
def test_a_state_is_up_or_down(lift: Lift) -> None:
    for ask in (lift.change, lift.settle):
        with pytest.raises(UnknownName, match="state must be one of 'up', 'down'; got 'aside'"):
            ask("aside")  # type: ignore[arg-type]


def test_nothing_in_the_package_asks_which_kind_a_lift_is() -> None:
    """The kinds are named in their own folder, where they are exported, and by what makes some."""
    makers = {"__init__.py", "devices.py", "prepare.py"}
    root = Path(plotlib.__file__).parent
    kinds = {kind.__name__ for kind in KINDS.values()}
    for path in root.rglob("*.py"):
        if path.parent.name == "lifts" or path.name in makers:
            continue
        names = {
            node.id for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Name)
        }
        assert not names & kinds, path
