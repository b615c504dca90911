"""A photo of a label, or one frame of a camera: read for its codes and forgotten."""

from io import BytesIO

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from rest_framework.throttling import SimpleRateThrottle

from inventory.forms.photos import opened
from workshop.calculations.scan_photos import texts_in, texts_in_frame

MIB = 1024 * 1024
HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif")
SENTENCES = {
    "photo-large": _("The photo is larger than 10 MB; take a smaller one, or type the code."),
    "photo-heic": _("This photo is HEIC, which is not read here; set the camera to JPEG."),
    "photo-kind": _("This is no photo that can be read; take a JPEG or PNG, or type the code."),
    "photo-pixels": _("The photo has too many pixels; take a smaller one, or type the code."),
    "photo-slow": _("The photo would take too long to unpack; save it as a plain JPEG."),
    "photo-moving": _("This is a moving picture; take one that stands still."),
    "photo-broken": _("The photo arrived broken; take it again, or type the code."),
    "no-code": _("No code is to be seen in the photo; go closer, hold still, or type the code."),
    "too-many": _("That was many photos in a minute; wait a little, or type the code."),
}
STATUSES = {"photo-large": 413, "photo-kind": 415, "photo-heic": 415, "too-many": 429}


def refused(code: str) -> ValidationError:
    """Return the refusal of a photo."""
    return ValidationError(SENTENCES[code], code=code)


def status_of(code: str) -> int:
    """Return the status with which a refused photo is answered."""
    return STATUSES.get(code, 422)


class PhotoRate(SimpleRateThrottle):
    """So many photos a minute from one person; each takes up to seconds to read."""

    scope = "scan-photo"
    rate = "20/min"

    def get_cache_key(self, request, view):
        return self.cache_format % {"scope": self.scope, "ident": request.user.pk}


class FrameRate(PhotoRate):
    """So many frames a minute from one person's camera, which sends three a second."""

    scope = "scan-frame"
    rate = "300/min"


class ScanPhotoForm(forms.Form):
    """One photo, cleaned to the texts of the codes in it."""

    largest_bytes = 10 * MIB
    most_pixels = {"JPEG": 50_000_000, "MPO": 50_000_000}
    most_plain_pixels = 25_000_000  # a PNG or WebP is unpacked whole, at 4 bytes a pixel

    photo = forms.FileField(
        label=_("Photo of a label"),
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
        error_messages={
            "required": _("Take or choose a photo first."),
            "missing": _("Take or choose a photo first."),
            "invalid": _("Take or choose a photo first."),
            "empty": _("The photo is empty; take it again."),
        },
    )

    def __init__(self, *args, is_too_often: bool = False, **options):
        super().__init__(*args, **options)
        self.is_too_often = is_too_often

    def clean_photo(self) -> list[str]:
        if self.is_too_often:
            raise refused("too-many")
        upload = self.cleaned_data["photo"]
        if upload.size > self.largest_bytes:
            raise refused("photo-large")
        picture = self.picture_in(upload.read())
        try:
            texts = self.read(picture)
        except Exception as error:  # decoders meet hostile bytes here and fail in many ways
            raise refused("photo-broken") from error
        if not texts:
            raise refused("no-code")
        return texts

    def picture_in(self, photo: bytes):
        """Return the picture with its pixels not yet unpacked; refuses what would take too much."""
        if photo[4:8] == b"ftyp" and photo[8:12] in HEIC_BRANDS:
            raise refused("photo-heic")
        try:
            picture = opened(BytesIO(photo))
        except ValidationError as refusal:
            raise refused(refusal.code) from refusal
        pixels = picture.width * picture.height
        if pixels > self.most_pixels.get(picture.format, self.most_plain_pixels):
            raise refused("photo-pixels")
        return picture

    def read(self, picture) -> list[str]:
        """Return the texts of the codes."""
        return texts_in(picture)

    @property
    def refusal(self) -> ValidationError:
        """The refusal of a form that is not valid."""
        return self.errors.as_data()["photo"][0]


class ScanFrameForm(ScanPhotoForm):
    """One frame of a camera; most show no code, which is no refusal."""

    largest_bytes = MIB
    most_pixels = {"JPEG": 4_000_000, "MPO": 4_000_000}
    most_plain_pixels = 4_000_000

    def clean_photo(self) -> list[str]:
        try:
            return super().clean_photo()
        except ValidationError as refusal:
            if refusal.code == "no-code":
                return []
            raise

    def read(self, picture) -> list[str]:
        return texts_in_frame(picture)
