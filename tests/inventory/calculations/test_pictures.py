"""The work of unpacking pictures."""

from io import BytesIO

import pytest
from PIL import Image

from inventory.calculations.pictures import MOST_WORK, unpacking_work


def drawn(**options) -> bytes:
    out = BytesIO()
    Image.new("RGB", (100, 100)).save(out, format="JPEG", **options)
    return out.getvalue()


def test_a_plain_jpeg_is_unpacked_once():
    assert unpacking_work(drawn(), 10_000) == 10_000


def test_each_scan_of_a_progressive_jpeg_counts():
    """Ten scans are what the Independent JPEG Group's library writes for a colour picture."""
    assert unpacking_work(drawn(progressive=True), 10_000) == 10 * 10_000


@pytest.mark.parametrize(("pixels", "scans"), [(50_000_000, 3), (12_500_000, 10), (12_500_000, 30)])
def test_what_cameras_and_telephones_write_is_within_bounds(pixels, scans):
    assert pixels * scans <= MOST_WORK
