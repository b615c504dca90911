import pytest

from products.calculations.label_drawing import Line, Polygon, Qr, Rect, Text, moved

MATRIX = ((True,) * 33,) * 33


@pytest.mark.parametrize(
    ("item", "expected"),
    [
        (Rect(1, 2, 3, 4), Rect(11, 22, 3, 4)),
        (Line(1, 2, 3, 4), Line(11, 22, 13, 24)),
        (Polygon(((1, 2), (3, 4)), "#000000"), Polygon(((11, 22), (13, 24)), "#000000")),
        (Text(1, 2, "PP", "face", 3, 4), Text(11, 22, "PP", "face", 3, 4)),
        (Qr(1, 2, 0.5, MATRIX), Qr(11, 22, 0.5, MATRIX)),
    ],
)
def test_a_moved_figure_keeps_its_size(item, expected):
    assert moved(item, 10, 20) == expected


def test_a_square_code_has_four_modules_of_quiet_zone_on_each_side():
    """ISO/IEC 18004: a QR code's quiet zone is four modules wide."""
    assert Qr(0, 0, 0.5, MATRIX).side_mm == pytest.approx((4 + 33 + 4) * 0.5)
