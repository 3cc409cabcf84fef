from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import pytest

from plotlib import gcode
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, NotWritten, ProofError
from plotlib.gcode import writer
from plotlib.gcode.writer import text_of
from plotlib.machine import Axis, Machine, ServoLift, ZLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan

SERVO = ServoLift("M5", "M3 S90", 0.2, 0.1)


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 100,
        "height": 80,
        "x": Axis(10_000, 500),
        "y": Axis(4_000, 250),
        "feed": 3_000,
        "lift": SERVO,
    }
    return Machine(**{**values, "comments": False, **changes})


def body(drawing: Drawing, machine: Machine) -> list[str]:
    lines = text_of(plan(drawing, machine, keep_order=True)).split("\n")
    return lines[lines.index("G94") + 1 :]


SQUARE = Drawing([[(10, 10), (20, 10), (20, 20), (10, 10)]])


def test_a_servo_program_word_for_word() -> None:
    drawing = Drawing([[(10, 10), (20, 10), (20, 20)], [(25, 20.5)]])
    assert body(drawing, bench()) == [
        "M5", "G4 P0.2",
        "G0 X10.000 Y10.000", "M3 S90", "G4 P0.1", "G1 X20.000 F3000", "Y20.000", "M5", "G4 P0.2",
        "G0 X25.000 Y20.500", "M3 S90", "G4 P0.1", "M5", "G4 P0.2",
        "X0.000 Y0.000", "M2", "",
    ]  # fmt: skip


def test_a_z_program_says_its_feed_again_after_each_lift() -> None:
    assert body(Drawing([[(0, 0), (20, 0)]]), bench(lift=ZLift(4, -0.5, 600), decimals=1)) == [
        "G1 Z4.0 F600",
        "Z-0.5", "X20.0 F3000", "Z4.0 F600",
        "G0 X0.0", "M2", "",
    ]  # fmt: skip


def test_pens_are_changed_parked_with_a_message() -> None:
    two = Drawing([[(1, 1), (2, 1)]], pen=Pen("thin", 0.2)) + Drawing(
        [[(2, 1), (3, 1)]], pen=Pen("blue", 0.4, feed=500)
    )
    lines = body(two, bench(comments=True, park=(50, 60)))
    at = lines.index("M0")
    assert lines[at - 2 : at + 8] == [
        "G0 X50.000 Y60.000", "(MSG, put in pen blue, 0.4 mm)", "M0", "G90", "M5", "G4 P0.2",
        "G0 X2.000 Y1.000", "M3 S90", "G4 P0.1", "G1 X3.000 F500",
    ]  # fmt: skip


def test_travel_by_g1_has_a_feed_that_both_axes_can_follow() -> None:
    lines = body(Drawing([[(0, 40)]]), bench(travel_word="G1", travel_feed=6_000))
    assert lines[2:3] == ["G1 Y40.000 F3999.999"] or lines[2:3] == ["G1 Y40.000 F4000"]
    assert (
        body(Drawing([[(40, 0)]]), bench(travel_word="G1", travel_feed=6_000))[2]
        == "G1 X40.000 F6000"
    )


def test_a_feed_that_an_axis_cannot_follow_is_lowered_for_the_whole_stroke() -> None:
    upright = body(Drawing([[(0, 0), (10, 0), (10, 10)]]), bench(feed=9_000))
    assert "G1 X10.000 F3999.999" in upright or "G1 X10.000 F4000" in upright
    assert "G1 X10.000 F9000" in body(Drawing([[(0, 0), (10, 0)]]), bench(feed=9_000))


def test_the_header_tells_what_a_person_at_the_machine_needs() -> None:
    text = text_of(
        plan(SQUARE, bench(comments=True, name="bench")), title="Señal (№ 1)", date="2026-11-25"
    )
    header = [line for line in text.split("\n") if line.startswith("(")]
    assert header[:2] == ["(Senal -No 1-)", "(2026-11-25)"]
    told = " ".join(line[1:-1] for line in header)
    for fact in (
        "for bench",
        "size 10.000 x 10.000 mm",
        "x 10.000 to 20.000",
        "pens: pen 0.4 mm",
        "expected time",
        "mains plug",
        "fingers",
    ):
        assert fact in told
    assert "2026" not in text_of(plan(SQUARE, bench(comments=True)))


def test_no_comments_where_the_machine_takes_none() -> None:
    assert "(" not in text_of(plan(SQUARE, bench()), title="x")


def test_an_empty_plot_moves_to_the_park_point_only() -> None:
    assert body(Drawing(), bench(park=(3, 0))) == ["M5", "G4 P0.2", "G0 X3.000", "M2", ""]


def test_a_setup_of_the_controllers_own_words_is_followed_by_a_full_place(tmp_path: Path) -> None:
    machine = bench(setup=("G21", "G90", "G17", "G94", "Q5 P500"))
    plot = plan(Drawing([[(0, 0), (20, 0)]]), machine)
    assert "G0 X0.000 Y0.000" in text_of(plot)
    gcode.write(plot, tmp_path / "a.gcode")


def test_line_ends_are_the_same_on_every_system(tmp_path: Path) -> None:
    gcode.write(plan(SQUARE, bench()), tmp_path / "a.gcode")
    assert b"\r" not in (tmp_path / "a.gcode").read_bytes()
    assert (tmp_path / "a.gcode").read_bytes().endswith(b"M2\n")


def test_a_file_that_fails_its_proof_is_not_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    good = tmp_path / "good.gcode"
    gcode.write(plan(SQUARE, bench()), good)
    before = good.read_bytes()
    broken = text_of(plan(SQUARE, bench())).replace("Y20.000", "Y20.001")
    monkeypatch.setattr(writer, "text_of", lambda *_, **__: broken)
    for path in (good, tmp_path / "new.gcode"):
        with pytest.raises(ProofError):
            gcode.write(plan(SQUARE, bench()), path)
    assert good.read_bytes() == before
    assert [item.name for item in tmp_path.iterdir()] == ["good.gcode"]


def test_only_plots_are_written(tmp_path: Path) -> None:
    with pytest.raises(
        InvalidValue,
        match=r"gcode.write takes a Plot, made by plan\(drawing, machine\); got Drawing",
    ):
        gcode.write(SQUARE, tmp_path / "a.gcode")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "words",
    [{"title": 5}, {"date": datetime.date(2026, 1, 1)}, {"title": b"card"}, {"title": None}],
)
def test_title_and_date_are_text(tmp_path: Path, words: dict[str, Any]) -> None:
    with pytest.raises(InvalidValue, match="must be text"):
        gcode.write(plan(SQUARE, bench()), tmp_path / "a.gcode", **words)
    assert not list(tmp_path.iterdir())


def test_declared_semicolon_comments_pass_the_proof(tmp_path: Path) -> None:
    gcode.write(
        plan(SQUARE, bench(comments=True, prologue=("; make ready", "@H"))), tmp_path / "a.gcode"
    )
    assert "; make ready" in (tmp_path / "a.gcode").read_text().splitlines()


def test_pens_whose_names_no_comment_can_say_are_told_apart_by_colour(tmp_path: Path) -> None:
    pens = [Pen("\u9752", 0.4, "#1d4e89"), Pen("\u8d64", 0.4, "#b4431f")]
    drawing = Drawing([Drawing([[(10 * k, 5)]], pen=pen) for k, pen in enumerate(pens, 1)])
    gcode.write(plan(drawing, bench(comments=True)), tmp_path / "a.gcode")
    said = (tmp_path / "a.gcode").read_text()
    assert "(MSG, put in pen colour b4431f, 0.4 mm)" in said
    assert "Begin with colour 1d4e89." in said.replace(")\n(", " ")


def test_a_name_that_no_folder_can_hold_is_told_so(tmp_path: Path) -> None:
    with pytest.raises(NotWritten, match="cannot write"):
        gcode.write(plan(SQUARE, bench()), tmp_path / ("a" * 400))
