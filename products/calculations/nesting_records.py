"""A nested plan as plain values, and back: what is kept of it, all lengths in whole um."""

from products.calculations.cut_plans import Saw, Stock
from products.calculations.nestings import Nested, NestedPart, NestedSheet, NestQuestion, Shape
from products.calculations.outlines import Outline


def question_record(question: NestQuestion) -> dict:
    """Return a question as plain values."""
    return {
        "stock": [vars(each) | {"codes": list(each.codes)} for each in question.stock],
        "shapes": [
            {
                "name": shape.name,
                "points": points_of(shape.outline),
                "count": shape.count,
                "turn": shape.turn,
            }
            for shape in question.shapes
        ],
        "kerf_um": question.saw.kerf_um,
        "margin_um": question.saw.margin_um,
        "least_length_um": question.least_length_um,
        "least_width_um": question.least_width_um,
    }


def points_of(outline: Outline) -> list[list[int]]:
    """Return the points of an outline as lists."""
    return [list(point) for point in outline.points]


def nested_record(nested: Nested) -> dict:
    """Return a plan as plain values."""
    stock = list(nested.question.stock)
    return {
        "question": question_record(nested.question),
        "sheets": [
            {
                "stock": stock.index(sheet.stock),
                "code": sheet.code,
                "placed": [
                    {
                        "shape": each.shape,
                        "angle_deg": each.angle_deg,
                        "points": points_of(each.outline),
                    }
                    for each in sheet.placed
                ],
            }
            for sheet in nested.sheets
        ],
        "missing": [list(pair) for pair in nested.missing],
    }


def nested_of(record: dict) -> Nested:
    """Return the plan of a record."""
    asked = record["question"]
    stock = tuple(Stock(**each | {"codes": tuple(each["codes"])}) for each in asked["stock"])
    shapes = tuple(
        Shape(each["name"], outline_of(each["points"]), each["count"], each["turn"])
        for each in asked["shapes"]
    )
    saw = Saw(asked["kerf_um"], asked["margin_um"])
    least = (asked["least_length_um"], asked["least_width_um"])
    sheets = tuple(
        NestedSheet(stock[each["stock"]], each["code"], parts_of(each["placed"]))
        for each in record["sheets"]
    )
    missing = tuple((at, count) for at, count in record["missing"])
    return Nested(NestQuestion(stock, shapes, saw, *least), sheets, missing)


def parts_of(placed: list[dict]) -> tuple[NestedPart, ...]:
    """Return the parts of a sheet in a record."""
    return tuple(
        NestedPart(each["shape"], each["angle_deg"], outline_of(each["points"])) for each in placed
    )


def outline_of(points: list[list[int]]) -> Outline:
    """Return an outline from lists."""
    return Outline(tuple((x, y) for x, y in points))
