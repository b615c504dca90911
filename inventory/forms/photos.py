"""Photos are read once, drawn anew and kept as plain JPEG.

What is stored is never the bytes that were sent: the picture is decoded, turned the
way its camera meant, made smaller and written again. Whatever else the file carried
(places, names, scripts, a second file glued on) stays behind.
"""

from io import BytesIO
from uuid import uuid4

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils.translation import gettext_lazy as _
from PIL import Image, ImageOps

from inventory.calculations.pictures import MOST_WORK, unpacking_work

LARGEST_BYTES = 10 * 1024 * 1024
MOST_PIXELS = 50_000_000
LONGEST_EDGE = 1600
QUALITY = 85
# A camera's JPEG that carries a preview beside the picture calls itself MPO.
KINDS = ("JPEG", "MPO", "PNG", "WEBP")
SENTENCES = {
    "photo-large": _("The photo is larger than 10 MB; take a smaller one."),
    "photo-kind": _("This is no photo that can be kept; choose a JPEG, PNG or WebP picture."),
    "photo-pixels": _("The photo has more than 50 million pixels; take a smaller one."),
    "photo-slow": _("The photo would take too long to unpack; save it as a plain JPEG."),
    "photo-moving": _("This is a moving picture; choose one that stands still."),
    "photo-broken": _("The photo arrived broken; take or choose it again."),
}


class PhotoField(forms.FileField):
    """A photo, cleaned to a fresh JPEG of at most 1600 pixels without anything but the picture."""

    widget = forms.FileInput

    def __init__(self, **options):
        super().__init__(**options)
        self.widget.attrs |= {"accept": "image/jpeg,image/png,image/webp"}

    def clean(self, data, initial=None):
        upload = super().clean(data, initial)
        return redrawn(upload) if upload else None


def refused(code: str) -> ValidationError:
    """Return the refusal of a photo."""
    return ValidationError(SENTENCES[code], code=code)


def redrawn(upload) -> SimpleUploadedFile:
    """Return the picture as a new JPEG file; refuses what is too large, no picture, or moves."""
    if upload.size > LARGEST_BYTES:
        raise refused("photo-large")
    picture = opened(upload)
    try:
        jpeg = written(picture)
    except Exception as error:  # decoders meet hostile bytes here and fail in many ways
        raise refused("photo-broken") from error
    return SimpleUploadedFile(f"{uuid4().hex}.jpg", jpeg, content_type="image/jpeg")


def opened(upload) -> Image.Image:
    """Return the picture with its head read and its pixels not yet decoded."""
    try:
        picture = Image.open(upload, formats=[kind for kind in KINDS if kind != "MPO"])
        width, height = picture.size
        frames = getattr(picture, "n_frames", 1)
    except Image.DecompressionBombError as error:
        raise refused("photo-pixels") from error
    except Exception as error:  # see above
        raise refused("photo-kind") from error
    if picture.format not in KINDS:
        raise refused("photo-kind")
    if width * height > MOST_PIXELS:
        raise refused("photo-pixels")
    if frames > 1 and picture.format != "MPO":
        raise refused("photo-moving")
    if picture.format in {"JPEG", "MPO"} and work_of(upload, picture) > MOST_WORK:
        raise refused("photo-slow")
    return picture


def work_of(upload, picture: Image.Image) -> int:
    """Return how many pixels are unpacked to read a JPEG."""
    at = upload.tell()
    upload.seek(0)
    work = unpacking_work(upload.read(), picture.width * picture.height)
    upload.seek(at)
    return work


def written(picture: Image.Image) -> bytes:
    """Return the picture turned upright, on white, made smaller, as JPEG bytes."""
    picture.draft("RGB", (LONGEST_EDGE, LONGEST_EDGE))
    picture = ImageOps.exif_transpose(picture)
    picture.thumbnail((LONGEST_EDGE, LONGEST_EDGE))
    layer = picture.convert("RGBA")
    paper = Image.new("RGB", layer.size, "white")
    paper.paste(layer, mask=layer)
    out = BytesIO()
    paper.save(out, format="JPEG", quality=QUALITY)
    return out.getvalue()
