"""Pictures of every kind become linear light the right way up, or are refused by name."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image
from shapely import box

from plotlib import images
from plotlib.errors import InvalidValue, NotRead
from plotlib.images.reading import decoded, encoded
from tests.outside import COMPUTED, MEMORY, published

AREA = box(0, 0, 30, 20)

# sRGB, IEC 61966-2-1: linear light of 8-bit numbers, computed independently from the formula.
LINEAR = {
    0: 0.0,
    1: 0.000303527,
    10: 0.003035270,
    11: 0.003346536,
    64: 0.051269458,
    118: 0.181164244,
    127: 0.212230757,
    128: 0.215860500,
    188: 0.502886458,
    200: 0.577580440,
    254: 0.991102097,
    255: 1.0,
}


def rows(tone):
    """Numbers with row 0 on top."""
    return tone.values[::-1]


@published(
    module="images",
    source="sRGB, IEC 61966-2-1: its formula",
    kind=COMPUTED,
    column="light",
    abs=1e-9,
    claim="linear light of 8-bit numbers",
)
@pytest.mark.parametrize(("byte", "light"), list(LINEAR.items()))
def test_srgb_is_decoded_by_the_standard(byte, light, within):
    assert decoded(np.array([byte / 255]))[0] == within.of(light)
    assert encoded(np.array([light]))[0] * 255 == pytest.approx(byte, abs=1e-3)


@published(
    module="images",
    source="ITU-R BT.709, sRGB: shares of linear red, green and blue",
    kind=MEMORY,
    printed=(0.2126, 0.7152, 0.0722),
    rel=1e-6,
    claim="luminance of the primaries",
)
def test_luminance_has_the_weights_of_the_standard(printed, within):
    primaries = np.array([[[255, 0, 0], [0, 255, 0], [0, 0, 255]]], np.uint8)
    assert rows(images.read(primaries, AREA))[0] == within.of(printed)


# Exif 2.3 (JEITA CP-3451), tag 274: how stored rows 123/456 are shown.
SHOWN = {
    1: ["123", "456"],
    2: ["321", "654"],
    3: ["654", "321"],
    4: ["456", "123"],
    5: ["14", "25", "36"],
    6: ["41", "52", "63"],
    7: ["63", "52", "41"],
    8: ["36", "25", "14"],
}


@published(
    module="images",
    source="Exif 2.3, JEITA CP-3451, tag 274",
    kind=MEMORY,
    claim="the eight ways in which a picture may be turned",
)
@pytest.mark.parametrize(("orientation", "shown"), SHOWN.items())
def test_pictures_are_turned_as_exif_says(tmp_path, orientation, shown):
    stored = Image.fromarray(np.array([[10, 20, 30], [40, 50, 60]], np.uint8))
    exif = Image.Exif()
    exif[274] = orientation
    stored.save(tmp_path / "turned.png", exif=exif)
    tone = rows(images.read(tmp_path / "turned.png", AREA))
    digits = np.rint(encoded(tone) * 25.5).astype(int)
    assert ["".join(map(str, row)) for row in digits] == shown


def saved(tmp_path, image, name="picture.png", **options):
    image.save(tmp_path / name, **options)
    return images.read(tmp_path / name, AREA)


def test_transparent_pixels_show_white_paper(tmp_path):
    clear = np.array([[[0, 0, 0, 0], [0, 0, 0, 255], [0, 0, 0, 51]]], np.uint8)
    tone = saved(tmp_path, Image.fromarray(clear))
    assert rows(tone)[0] == pytest.approx([1.0, 0.0, 0.8])
    palette = Image.fromarray(np.array([[0, 1]], np.uint8), "L").convert("P")
    palette.putpalette([0, 0, 0, 128, 128, 128])
    tone = saved(tmp_path, palette, transparency=0)
    assert rows(tone)[0] == pytest.approx([1.0, LINEAR[128]], abs=1e-6)


def test_sixteen_bits_are_kept(tmp_path):
    deep = np.array([[0, 257 * 128, 257 * 128 + 64, 65535]], np.uint16)
    tone = saved(tmp_path, Image.fromarray(deep))
    assert rows(tone)[0, [0, 1, 3]] == pytest.approx([0.0, LINEAR[128], 1.0], abs=1e-6)
    assert rows(tone)[0, 2] > rows(tone)[0, 1]


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "CMYK", "YCbCr", "HSV", "F"])
def test_every_kind_of_image_is_read(mode):
    grey = Image.fromarray(np.full((2, 3, 3), 255, np.uint8)).convert(mode)
    if mode == "F":
        grey = grey.point(lambda value: value / 255)
    assert rows(images.read(grey, AREA)) == pytest.approx(np.ones((2, 3)))


def test_a_cmyk_photograph_is_read(tmp_path):
    picture = Image.fromarray(np.full((8, 8, 3), 128, np.uint8)).convert("CMYK")
    tone = saved(tmp_path, picture, "print.jpg")
    assert tone.values.mean() == pytest.approx(LINEAR[128], abs=0.01)


def test_proportions_are_kept_in_the_middle():
    wide = np.zeros((10, 30), np.uint8)
    assert images.read(wide, box(0, 0, 30, 20)).extent == (0.0, 5.0, 30.0, 15.0)
    covering = images.read(wide, box(0, 0, 30, 20), fit="cover")
    assert covering.extent == (0.0, 0.0, 30.0, 20.0)
    assert covering.values.shape == (10, 15)
    assert images.read(wide, box(0, 0, 30, 20), fit="stretch").values.shape == (10, 30)


def test_a_crop_takes_its_part():
    picture = np.arange(12, dtype=np.uint8).reshape(3, 4) * 20
    tone = images.read(picture, AREA, crop=(0.5, 0.0, 1.0, 1 / 3))
    assert rows(tone) == pytest.approx(decoded(np.array([[200, 220]]) / 255))


def test_animations_are_refused(tmp_path):
    frames = [Image.fromarray(np.full((4, 4), k, np.uint8)) for k in (0, 255)]
    frames[0].save(tmp_path / "waves.gif", save_all=True, append_images=frames[1:])
    with pytest.raises(InvalidValue, match="2 frames"):
        images.read(tmp_path / "waves.gif", AREA)


def test_pictures_of_absurd_size_are_refused(tmp_path, monkeypatch):
    Image.fromarray(np.zeros((40, 50), np.uint8)).save(tmp_path / "huge.png")
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 1_500)  # a warning of Pillow's
    with pytest.raises(InvalidValue, match="too large"):
        images.read(tmp_path / "huge.png", AREA)
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 900)  # an error of Pillow's
    with pytest.raises(InvalidValue, match="too large"):
        images.read(tmp_path / "huge.png", AREA)


def test_what_is_no_picture_is_refused(tmp_path):
    with pytest.raises(NotRead, match="no_such"):
        images.read(tmp_path / "no_such.png", AREA)
    (tmp_path / "text.png").write_text("not a picture", encoding="utf-8")
    with pytest.raises(NotRead, match=r"text\.png"):
        images.read(tmp_path / "text.png", AREA)
    noise = np.random.default_rng(0).integers(0, 256, (40, 50)).astype(np.uint8)
    Image.fromarray(noise).save(tmp_path / "whole.png")
    (tmp_path / "half.png").write_bytes((tmp_path / "whole.png").read_bytes()[:900])
    with pytest.raises(NotRead, match=r"half\.png"):
        images.read(tmp_path / "half.png", AREA)
    with pytest.raises(NotRead):
        images.read(tmp_path, AREA)
    for wrong in (np.zeros(3), np.zeros((2, 2, 2)), np.full((2, 2), np.nan), np.zeros((0, 4))):
        with pytest.raises(InvalidValue, match="picture"):
            images.read(wrong, AREA)
    with pytest.raises(InvalidValue, match="row 1, column 0"):
        images.read(np.array([[0.5, 0.5], [1.5, 0.5]]), AREA)


def test_a_picture_that_cannot_be_read_is_refused_in_plain_words(tmp_path):
    (tmp_path / "empty.png").touch()
    (tmp_path / "words.png").write_text("no picture", encoding="utf-8")
    for name, reason in [
        ("none.png", r"none\.png': there is no such file; check the name and the folder$"),
        ("empty.png", r"empty\.png': it is empty$"),
        ("words.png", r"words\.png': it is no picture of a kind that Pillow knows$"),
    ]:
        with pytest.raises(NotRead, match=reason):
            images.read(tmp_path / name, AREA)
