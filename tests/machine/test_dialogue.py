from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from plotlib.errors import InvalidValue, ProfileError
from plotlib.machine import Axis, Dialogue, Machine, ServoLift

WORDS: dict[str, Any] = {
    "accepted": "taken",
    "refused": ("cannot", "danger"),
    "greeting": "awake",
    "asides": "note",
    "receive_bytes": 96,
    "hold": "\x01",
    "go_on": "\x02",
    "halt": "\x03",
    "ask": "\x04",
    "resting": "resting",
    "unlock": "M17",
}


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"accepted": ""}, "accepted: every line must be text"),
        ({"accepted": ["a", "b"]}, "accepted must be one text"),
        ({"refused": ()}, "no fault could ever be heard"),
        ({"refused": "takenaway"}, "refused 'takenaway' and accepted 'taken' begin alike"),
        ({"greeting": "cannot be"}, "greeting 'cannot be' and refused 'cannot' begin alike"),
        ({"receive_bytes": 3}, "receive_bytes must be from 16"),
        ({"hold": "!!"}, "hold must be a single character of one byte"),
        ({"hold": "\n"}, "hold must be a single character of one byte"),
        ({"hold": "G"}, "hold 'G' may stand in a program"),
        ({"halt": "\x01"}, "halt and hold are both"),
        ({"go_on": None}, "hold is of no use without go_on"),
        ({"ask": None}, "resting is of no use without ask"),
        ({"line_end": ""}, "line_end must be one of"),
        ({"patience": 0}, "patience must be from 0.1 to 600"),
    ],
)
def test_words_that_would_be_misheard_are_refused(change: dict[str, Any], reason: str) -> None:
    with pytest.raises(InvalidValue, match=reason):
        Dialogue(**{**WORDS, **change})


def test_characters_heard_at_once_are_one_byte() -> None:
    words = Dialogue(**{**WORDS, "halt": "\xff"})
    assert words.immediate == "\x01\x02\xff\x04"
    assert Dialogue(accepted="taken", refused="cannot").immediate == ""
    with pytest.raises(InvalidValue, match="halt must be a single character of one byte"):
        Dialogue(**{**WORDS, "halt": "\u0100"})


def test_a_dialogue_is_kept_in_the_profile(tmp_path: Path) -> None:
    machine = Machine(
        width=200,
        height=100,
        x=Axis(9_000),
        y=Axis(9_000),
        feed=600,
        lift=ServoLift("M5", "M3 S90"),
        dialogue=Dialogue(**WORDS),
    )
    path = tmp_path / "bench.toml"
    machine.save(path)
    assert Machine.load(path) == machine
    path.write_text(path.read_text().replace('"taken"', '"cannot"'))
    with pytest.raises(ProfileError, match="table dialogue") as caught:
        Machine.load(path)
    assert caught.value.key == "refused"
