"""Photos: whatever is sent, what is kept is a plain JPEG or nothing."""

from io import BytesIO
from zlib import crc32

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from inventory.forms import photos
from inventory.forms.photos import PhotoField

ORIENTATION = 0x0112
COMMENT = 0x9286


def upload(content: bytes, name="photo.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, content_type="image/jpeg")


def drawn(kind="JPEG", size=(60, 30), mode="RGB", **options) -> bytes:
    out = BytesIO()
    Image.new(mode, size, "teal").save(out, kind, **options)
    return out.getvalue()


def kept(content: bytes) -> Image.Image:
    return Image.open(PhotoField().clean(upload(content)))


def refused(content: bytes) -> str:
    with pytest.raises(ValidationError) as refusal:
        PhotoField().clean(upload(content))
    return refusal.value.code


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_kept_as_jpeg(kind):
    assert kept(drawn(kind)).format == "JPEG"


def test_a_large_photo_is_made_smaller_and_keeps_its_shape():
    assert kept(drawn(size=(4000, 2000))).size == (1600, 800)


def test_a_small_photo_is_not_made_larger():
    assert kept(drawn(size=(60, 30))).size == (60, 30)


def test_the_orientation_is_applied_and_nothing_else_of_the_file_is_kept():
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    exif[COMMENT] = "by the back door"
    photo = kept(drawn(size=(60, 30), exif=exif))
    assert photo.size == (30, 60)
    assert dict(photo.getexif()) == {}


def test_bytes_glued_on_behind_the_picture_are_dropped():
    clean = PhotoField().clean(upload(drawn() + b"<?php system('id') ?>"))
    assert b"php" not in clean.read()


def test_what_is_see_through_is_laid_on_white():
    out = BytesIO()
    Image.new("RGBA", (10, 10), (0, 0, 0, 0)).save(out, "PNG")
    assert kept(out.getvalue()).getpixel((5, 5)) == (255, 255, 255)


def test_the_name_that_was_sent_is_not_kept():
    photo = PhotoField().clean(upload(drawn(), name="../../etc/passwd.php"))
    assert photo.name.endswith(".jpg")
    assert "passwd" not in photo.name


@pytest.mark.parametrize(
    "content",
    [
        b"not a picture",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"%PDF-1.7",
        drawn("GIF"),
        drawn("BMP"),
        drawn("TIFF"),
    ],
    ids=["text", "svg", "pdf", "gif", "bmp", "tiff"],
)
def test_refuses_what_is_no_photo(content):
    assert refused(content) == "photo-kind"


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_refuses_a_photo_that_was_cut_off(kind):
    whole = drawn(kind, size=(400, 400))
    assert refused(whole[: len(whole) // 2]) in {"photo-broken", "photo-kind"}


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_refuses_a_moving_picture(kind):
    frames = [Image.new("RGB", (20, 20), name) for name in ("red", "blue")]
    out = BytesIO()
    frames[0].save(out, kind, save_all=True, append_images=frames[1:], duration=100)
    assert refused(out.getvalue()) == "photo-moving"


def test_refuses_a_picture_of_too_many_pixels_before_decoding_it(monkeypatch):
    monkeypatch.setattr(photos, "written", None)
    assert refused(drawn("PNG", size=(10_000, 5_001), mode="1")) == "photo-pixels"


def test_refuses_a_picture_that_claims_to_be_enormous():
    head = bytearray(drawn("PNG", size=(10, 10)))
    head[16:24] = (60_000).to_bytes(4, "big") * 2
    head[29:33] = crc32(head[12:29]).to_bytes(4, "big")
    assert refused(bytes(head)) == "photo-pixels"


def test_refuses_more_than_ten_megabytes():
    assert refused(drawn() + b"0" * photos.LARGEST_BYTES) == "photo-large"


def test_a_missing_photo_is_none():
    assert PhotoField(required=False).clean(None) is None


def test_refuses_a_jpeg_that_is_unpacked_again_and_again():
    photo = drawn(size=(7000, 7000), progressive=True)
    end, scan = photo.rindex(b"\xff\xd9"), photo.rindex(b"\xff\xda")
    assert refused(photo[:end] + 1000 * photo[scan:end] + photo[end:]) == "photo-slow"
