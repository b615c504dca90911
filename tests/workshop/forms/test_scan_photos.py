"""Photos that are no photos: each is refused with a sentence, in bounded time and memory."""

import struct
import subprocess
import sys
import zlib
from io import BytesIO
from time import monotonic

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.factories.label_photos import as_bytes, label_photo
from workshop.forms.scan_photos import SENTENCES, ScanFrameForm, ScanPhotoForm, status_of

CODE = "30QJ6P1H8RNC"
LABEL = as_bytes(label_photo(CODE))
LABEL_PNG = as_bytes(label_photo(CODE, size=(1200, 800)), "PNG")


def form_of(photo: bytes, kind=ScanPhotoForm):
    return kind({}, {"photo": SimpleUploadedFile("photo.jpg", photo)})


def code_of(photo: bytes, kind=ScanPhotoForm) -> str:
    return form_of(photo, kind).refusal.code


def chunk(name: bytes, content: bytes) -> bytes:
    length = struct.pack(">I", len(content))
    return length + name + content + struct.pack(">I", zlib.crc32(name + content))


def png(width: int, height: int, *chunks: bytes) -> bytes:
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + b"".join(chunks) + chunk(b"IEND", b"")


def moving(kind: str) -> bytes:
    frames = [Image.new("RGB", (20, 20), colour) for colour in ("red", "blue")]
    return as_bytes(frames[0], kind, save_all=True, append_images=frames[1:])


def many_scans(number: int) -> bytes:
    """A progressive JPEG of 49 million pixels whose last scan, of 75 bytes, comes so many times."""
    photo = as_bytes(Image.new("RGB", (7000, 7000)), progressive=True)
    end = photo.rindex(b"\xff\xd9")
    last = photo[photo.rindex(b"\xff\xda") : end]
    return photo[:end] + number * last + photo[end:]


def test_a_photo_is_cleaned_to_what_its_codes_say():
    form = form_of(LABEL)
    assert form.is_valid()
    assert form.cleaned_data["photo"] == [f"https://shop.example/q/{CODE}"]


NO_PHOTOS = {
    "text": b"not a picture at all",
    "svg": b"<svg xmlns='http://www.w3.org/2000/svg'/>",
    "pdf": b"%PDF-1.7\n1 0 obj\n",
    "gif": as_bytes(Image.new("P", (20, 20)), "GIF"),
    "bmp": as_bytes(Image.new("RGB", (20, 20)), "BMP"),
    "tiff": as_bytes(Image.new("RGB", (20, 20)), "TIFF"),
    "icon": as_bytes(Image.new("RGB", (32, 32)), "ICO"),
    "head only": b"\xff\xd8\xff",
    "png head": b"\x89PNG\r\n\x1a\n",
    "script": b"<?php system('id'); ?>",
}


@pytest.mark.parametrize("photo", NO_PHOTOS.values(), ids=NO_PHOTOS)
def test_refuses_what_is_no_photo(photo):
    assert code_of(photo) == "photo-kind"


@pytest.mark.parametrize("brand", [b"heic", b"mif1", b"avif"])
def test_refuses_heic_by_name(brand):
    assert code_of(b"\x00\x00\x00\x18ftyp" + brand + bytes(40)) == "photo-heic"


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_refuses_a_moving_picture(kind):
    assert code_of(moving(kind)) == "photo-moving"


@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
@pytest.mark.parametrize("photo", [LABEL, LABEL_PNG], ids=["jpeg", "png"])
def test_refuses_a_photo_that_ends_too_soon(photo, share):
    assert code_of(photo[: int(share * len(photo))]) == "photo-broken"


def test_refuses_more_than_ten_megabytes():
    assert code_of(LABEL + bytes(10 * 1024 * 1024)) == "photo-large"


def test_refuses_an_empty_photo():
    assert code_of(b"") == "empty"


def test_refuses_no_photo():
    assert ScanPhotoForm({}, {}).refusal.code == "required"


def test_refuses_a_photo_without_a_code():
    assert code_of(as_bytes(Image.effect_noise((800, 600), 60))) == "no-code"


@pytest.mark.parametrize("side", [6_000, 12_000, 40_000, 2**31 - 1])
def test_refuses_a_small_file_that_would_be_a_huge_picture(side):
    assert code_of(png(side, side, chunk(b"IDAT", zlib.compress(bytes(100))))) in {
        "photo-pixels",
        "photo-kind",
    }


def test_refuses_a_jpeg_that_is_unpacked_again_and_again():
    """Unlike its size says: 1,000 scans of 75 bytes each took two minutes to unpack."""
    photo, started = many_scans(1000), monotonic()
    assert code_of(photo) == "photo-slow"
    assert monotonic() - started < 5


def test_texts_in_a_png_that_unpack_to_gigabytes_are_refused():
    bomb = chunk(b"zTXt", b"note\x00\x00" + zlib.compress(bytes(200_000_000)))
    assert code_of(png(10, 10, bomb)) in {"photo-kind", "photo-broken"}


def test_a_colour_profile_that_unpacks_to_gigabytes_is_not_unpacked():
    bomb = chunk(b"iCCP", b"note\x00\x00" + zlib.compress(bytes(200_000_000)))
    assert code_of(png(10, 10, bomb, chunk(b"IDAT", zlib.compress(bytes(310))))) in SENTENCES


def test_the_largest_photo_takes_bounded_memory():
    """Measured in a process of its own: 50 million pixels of JPEG, 25 million of PNG."""
    script = (
        "import resource, sys; from io import BytesIO; from PIL import Image;"
        "from workshop.calculations.scan_photos import texts_in;"
        "before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss;"
        "texts_in(Image.open(BytesIO(sys.stdin.buffer.read())));"
        "print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024)"
    )
    for photo in (many_scans(0), as_bytes(Image.new("RGBA", (5000, 5000)), "PNG")):
        ran = subprocess.run([sys.executable, "-c", script], input=photo, stdout=-1, check=True)
        assert int(ran.stdout) < 300  # MiB


@pytest.mark.parametrize("code", ["no-code", "photo-broken", "photo-large", "too-many", "required"])
def test_every_refusal_is_the_senders_affair(code):
    assert 400 <= status_of(code) < 500


def test_a_frame_without_a_code_is_no_refusal():
    form = form_of(as_bytes(Image.new("L", (640, 480))), ScanFrameForm)
    assert form.is_valid()
    assert form.cleaned_data["photo"] == []


def test_a_frame_is_small():
    assert code_of(as_bytes(Image.new("L", (3000, 2000))), ScanFrameForm) == "photo-pixels"
    assert code_of(LABEL + bytes(1024 * 1024), ScanFrameForm) == "photo-large"


HEADS = [b"", LABEL[:400], LABEL_PNG[:60], b"RIFF\x00\x10\x00\x00WEBPVP8L", b"\xff\xd8\xff\xe1"]


@given(st.sampled_from(HEADS), st.binary(min_size=1, max_size=3000))
@settings(max_examples=300)
def test_any_bytes_are_refused_and_never_a_fault(head, rest):
    assert 400 <= status_of(code_of(head + rest)) < 500


@given(st.data())
@settings(max_examples=60)
def test_a_photo_with_any_bytes_changed_is_read_or_refused(data):
    photo = bytearray(data.draw(st.sampled_from([LABEL, LABEL_PNG])))
    places = st.integers(0, min(len(photo) - 1, 3000))
    for place, byte in data.draw(st.lists(st.tuples(places, st.integers(0, 255)), max_size=8)):
        photo[place] = byte
    form = form_of(bytes(photo))
    assert form.is_valid() or 400 <= status_of(form.refusal.code) < 500


def test_a_picture_of_nothing_is_refused():
    assert code_of(png(0, 0)) == "photo-kind"


def test_pictures_that_only_look_hard_take_seconds_at_most():
    """Rows of the squares that mark a QR code's corners, which a reader tries to join in threes."""
    corner = Image.new("L", (16, 16), 255)
    for inset, shade in ((0, 0), (2, 255), (4, 0)):
        corner.paste(shade, (inset, inset, 14 - inset, 14 - inset))
    sheet = Image.new("L", (1600, 1600), 255)
    for place in range(100 * 100):
        sheet.paste(corner, (place % 100 * 16, place // 100 * 16))
    photo, started = BytesIO(), monotonic()
    sheet.save(photo, format="PNG")
    assert code_of(photo.getvalue()) == "no-code"
    assert monotonic() - started < 30
