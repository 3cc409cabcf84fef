from plotlib.text.glyphs.faces import faces
from plotlib.text.glyphs.records import characters, decoded, record


def test_a_record_of_bearings_only_has_no_strokes():
    assert decoded("JZ").strokes == ()


def test_a_lift_at_the_end_or_twice_adds_no_empty_stroke():
    assert [len(stroke) for stroke in decoded("MWRFRT R RQQ R").strokes] == [2, 1]


def test_an_unknown_character_has_no_record():
    assert record("roman simplex", "\U0001f600") is None


def test_every_face_has_a_file_whose_records_decode():
    for face in faces():
        found = [record(face, character) for character in characters(face)]
        assert len(found) >= 40
        for glyph in found:
            assert glyph is not None
            assert glyph.left <= glyph.right
            assert all(stroke.shape[1] == 2 and abs(stroke).max() <= 50 for stroke in glyph.strokes)
