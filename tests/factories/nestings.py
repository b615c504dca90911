"""Nested plans found by hand and by the search."""

from functools import lru_cache

from products.calculations.cut_plans import Saw, Stock
from products.calculations.nesting import nest
from products.calculations.nestings import Nested, NestedPart, NestedSheet, NestQuestion, Shape
from products.calculations.outlines import Outline, rectangle

HOOK = Outline(
    ((0, 0), (200_000, 0), (200_000, 60_000), (60_000, 60_000), (60_000, 160_000), (0, 160_000))
)
SHEETS = (Stock(600_000, 400_000, 3),)


def question(*shapes: Shape, stock=SHEETS, kerf_um=3_000, margin_um=10_000) -> NestQuestion:
    """Three sheets of 600 x 400 mm, cut with a kerf of 3 mm and a margin of 10 mm."""
    return NestQuestion(tuple(stock), shapes, Saw(kerf_um, margin_um))


def by_hand(*places: tuple[float, float], angle: float = 0, asked=None) -> Nested:
    """Squares of 100 mm, or the shape asked, at places in mm on one sheet of 600 x 400 mm."""
    asked = asked or question(Shape("square", rectangle(100_000, 100_000), len(places)))
    outline = asked.shapes[0].outline
    placed = [NestedPart(0, angle, outline.placed(angle, x * 1000, y * 1000)) for x, y in places]
    return Nested(asked, (NestedSheet(asked.stock[0], "", tuple(placed)),), ())


@lru_cache(maxsize=1)
def found() -> Nested:
    """A plan that the search found: hooks by quarter turns, kites any way, boards as drawn."""
    kite = Outline(((0, 40_000), (60_000, 0), (150_000, 40_000), (60_000, 80_000)))
    shapes = (
        Shape("hook", HOOK, 8, "quarter"),
        Shape("kite", kite, 6, "free"),
        Shape("board", rectangle(250_000, 60_000), 4, "none"),
        Shape("slat", rectangle(180_000, 50_000), 3, "half"),
    )
    return nest(question(*shapes), 3)
