"""Photos of printed labels: drawn by the project's own label functions, laid on a bench, and spoilt."""

from functools import cache
from io import BytesIO

import pypdfium2
from PIL import Image, ImageFilter

from products.calculations.label_geometry import roll
from products.calculations.label_sheets import sheet_pdf
from tests.factories.labels import make_label

ROLL = roll("Roll", 57, 32)
WOOD = "#7b5a36"


@cache
def printed(code: str, title: str = "White flake 3") -> Image.Image:
    """Return the label of a code as a printer of 300 dpi prints it."""
    label = make_label(code, title=title, kind="Bin")
    page = pypdfium2.PdfDocument(sheet_pdf([label], ROLL))[0]
    return page.render(scale=300 / 72).to_pil().convert("RGB")


def on_bench(*labels: Image.Image, size=(2000, 1500), turn: float = 0, wide: int = 900):
    """Return a photo of labels that lie under each other on a wooden bench, turned by some degrees."""
    photo = Image.new("RGB", size, WOOD)
    for number, label in enumerate(labels):
        small = label.resize((wide, wide * label.height // label.width))
        cover = Image.new("L", small.size, 255)
        turned, cover = (each.rotate(turn, expand=True) for each in (small, cover))
        photo.paste(turned, (120 + 40 * number, 60 + number * (turned.height + 60)), cover)
    return photo


def label_photo(code: str, **options) -> Image.Image:
    """Return a photo of one label."""
    return on_bench(printed(code), **options)


def blurred(photo: Image.Image, radius: float) -> Image.Image:
    """Return the photo out of focus."""
    return photo.filter(ImageFilter.GaussianBlur(radius))


def as_bytes(photo: Image.Image, kind: str = "JPEG", **options) -> bytes:
    """Return the photo as a file."""
    out = BytesIO()
    photo.save(out, format=kind, **options)
    return out.getvalue()


def turned_by_exif(photo: Image.Image, orientation: int) -> bytes:
    """Return the photo as a JPEG whose EXIF says how the camera was held (1 to 8)."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    return as_bytes(photo, exif=exif)
