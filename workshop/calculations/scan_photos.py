"""The square and bar codes in a photo, read by the library zxing-cpp.

A square code is read in any turn, mirrored too, so what EXIF says of the turn is of no concern.
Time and memory are bounded by what is read: at most 2400 pixels along an edge, three tries, and
one photo at a time in each process, for a large PNG takes 4 bytes a pixel while it is made smaller.
On 48 hard pictures of one label (4000 x 3000, blurred, turned, dark, noisy) 1600 pixels found 21,
2400 found 23, and sharpened 2400 two others; the full size found 22 and took five times as long.
"""

from threading import Lock

from PIL import Image, ImageFilter
from zxingcpp import BarcodeFormat, read_barcodes

EDGES = (1600, 2400)  # pixels; a small one first, since most photos are close and sharp
FRAME_EDGE = 1280
SHARPER = ImageFilter.UnsharpMask(radius=3, percent=200, threshold=0)
FORMATS = (
    BarcodeFormat.QRCode,
    BarcodeFormat.DataMatrix,
    BarcodeFormat.Code128,
    BarcodeFormat.EAN13,
    BarcodeFormat.EAN8,
    BarcodeFormat.UPCA,
)
MOST_TEXTS = 12
LONGEST_TEXT = 500

_one_at_a_time = Lock()


def texts_in(picture: Image.Image) -> list[str]:
    """Return what the codes in a photo say, each once, from the top down; none when there are none.

    Raises what Pillow raises when the picture cannot be unpacked.
    """
    with _one_at_a_time:
        large = greyed(picture, EDGES[-1])
    small = large.copy()
    small.thumbnail((EDGES[0], EDGES[0]))
    found = read(small)
    if not found and small.size != large.size:
        found = read(large)
    return found or read(large.filter(SHARPER))


def texts_in_frame(picture: Image.Image) -> list[str]:
    """Return what the codes in one frame of a camera say; one try, since the next frame comes soon."""
    return read(greyed(picture, FRAME_EDGE))


def greyed(picture: Image.Image, edge: int) -> Image.Image:
    """Return the picture in shades of grey on white, no longer than `edge` pixels."""
    picture.draft("L", (edge, edge))
    if picture.has_transparency_data:
        layer = picture.convert("LA")
        layer.thumbnail((edge, edge))
        paper = Image.new("L", layer.size, "white")
        paper.paste(layer.getchannel("L"), mask=layer.getchannel("A"))
        return paper
    grey = picture.convert("L")
    grey.thumbnail((edge, edge))
    return grey


def read(grey: Image.Image) -> list[str]:
    """Return what the codes say, each once, from the top down."""
    found = [each for each in read_barcodes(grey, formats=FORMATS) if each.valid]
    found.sort(key=lambda each: (each.position.top_left.y, each.position.top_left.x))
    return list(dict.fromkeys(each.text[:LONGEST_TEXT] for each in found))[:MOST_TEXTS]
