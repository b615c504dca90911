"""Wide tables of a flow, cut into parts that fit an upright tablet."""

import pytest

from products.queries.flow_tables import Row
from products.queries.flow_themes import MOST_COLUMNS, evenly, step_themes


@pytest.mark.parametrize("count", range(0, 20))
def test_parts_are_as_few_as_fit_and_nearly_even_and_lose_nothing(count):
    parts = evenly(list(range(count)))
    assert sum(parts, []) == list(range(count))
    assert len(parts) == -(-count // MOST_COLUMNS)
    assert max(map(len, parts), default=0) - min(map(len, parts), default=0) <= len(parts)


def test_a_theme_of_more_lines_than_fit_goes_on_in_a_second_table_that_says_so():
    lines = [Row("between", str(number), [number, number]) for number in range(9)]
    first, second = step_themes(lines, ["June"])
    assert [line.label for line in first.columns] == ["0", "1", "2", "3", "4"]
    assert str(second.title) == f"{first.title}, continued"
    assert second.rows == [
        ("June", [("between", number) for number in range(5, 9)]),
        (None, [("between", number) for number in range(5, 9)]),
    ]
