"""Codes in photos, read from the workshop's own labels as they are printed."""

from io import BytesIO

import pytest
import segno
from PIL import Image, ImageEnhance, ImageOps

from tests.factories.label_photos import (
    as_bytes,
    blurred,
    label_photo,
    on_bench,
    printed,
    turned_by_exif,
)
from workshop.calculations.scan_photos import (
    texts_in,
    texts_in_frame,
)

CODE = "30QJ6P1H8RNC"
OTHER = "7QK2M9X4VB3T"
ADDRESS = f"https://shop.example/q/{CODE}"


def opened(photo: bytes):
    return Image.open(BytesIO(photo))


@pytest.mark.parametrize("turn", [0, 7, 45, 90, 180, 200, 270])
def test_a_label_is_read_in_any_turn(turn):
    assert texts_in(label_photo(CODE, turn=turn)) == [ADDRESS]


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_photo_turned_or_mirrored_by_exif_is_read(orientation):
    assert texts_in(opened(turned_by_exif(label_photo(CODE), orientation))) == [ADDRESS]


def test_a_mirrored_photo_is_read():
    assert texts_in(ImageOps.mirror(label_photo(CODE))) == [ADDRESS]


@pytest.mark.parametrize("radius", [1, 2, 3])
def test_a_photo_out_of_focus_is_read(radius):
    assert texts_in(blurred(label_photo(CODE), radius)) == [ADDRESS]


def test_a_dark_photo_is_read():
    dark = ImageEnhance.Brightness(label_photo(CODE)).enhance(0.15)
    assert texts_in(dark) == [ADDRESS]


def test_a_label_that_is_a_tenth_of_a_large_photo_is_read():
    assert texts_in(label_photo(CODE, size=(4000, 3000), wide=480)) == [ADDRESS]


def test_what_is_too_blurred_at_first_is_read_once_sharpened():
    assert texts_in(blurred(label_photo(CODE, size=(4000, 3000), wide=1600), 9)) == [ADDRESS]


def test_several_codes_come_from_the_top_down():
    photo = on_bench(printed(CODE), printed(OTHER))
    assert texts_in(photo) == [ADDRESS, ADDRESS.replace(CODE, OTHER)]


def test_the_same_code_twice_is_one():
    assert texts_in(on_bench(printed(CODE), printed(CODE))) == [ADDRESS]


def test_a_photo_without_a_code_says_nothing():
    assert texts_in(Image.effect_noise((1200, 900), 80)) == []


def test_a_code_on_a_transparent_ground_is_read():
    out = BytesIO()
    segno.make(ADDRESS).save(out, kind="png", scale=8, light=None)
    assert texts_in(opened(out.getvalue())) == [ADDRESS]


@pytest.mark.parametrize("mode", ["1", "L", "P", "RGB", "RGBA", "I;16"])
def test_a_png_of_any_depth_is_read(mode):
    photo = label_photo(CODE).convert("L" if mode == "I;16" else mode)
    if mode == "I;16":
        photo = photo.convert("I").point(lambda grey: grey * 257).convert("I;16")
    assert texts_in(opened(as_bytes(photo, "PNG"))) == [ADDRESS]


def test_a_jpeg_for_printers_is_read():
    assert texts_in(opened(as_bytes(label_photo(CODE).convert("CMYK")))) == [ADDRESS]


def test_a_frame_of_a_camera_is_read():
    assert texts_in_frame(label_photo(CODE, size=(1280, 960), turn=30)) == [ADDRESS]


def test_a_long_text_is_cut():
    out = BytesIO()
    segno.make("x" * 900).save(out, kind="png", scale=6)
    assert len(texts_in(opened(out.getvalue()))[0]) == 500
