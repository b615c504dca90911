"""A nested plan kept as plain values comes back the same."""

import json

from products.calculations.cut_plans import Stock
from products.calculations.nesting_records import nested_of, nested_record, question_record
from products.calculations.nestings import Shape
from tests.factories.nestings import HOOK, by_hand, found, question


def test_a_plan_comes_back_the_same_from_json():
    for plan in (found(), by_hand((10, 10), (200, 10))):
        assert nested_of(json.loads(json.dumps(nested_record(plan)))) == plan


def test_a_question_names_its_stock_and_every_point():
    stock = (Stock(600_000, 400_000, 2, codes=("A", "B")),)
    record = question_record(question(Shape("hook", HOOK, 3, "half"), stock=stock))
    assert record["stock"][0]["codes"] == ["A", "B"]
    assert record["shapes"][0]["points"][1] == [200_000, 0]
    assert (record["kerf_um"], record["margin_um"]) == (3_000, 10_000)
