"""What the schemas of our files are put together from."""

from decimal import Decimal

import pytest
from jsonschema import Draft202012Validator

from products.calculations.file_schemas import (
    LINE,
    LINES,
    LONGEST_POINTER,
    decimal,
    length,
    many,
    one_of,
    or_null,
    pointer_to,
    record,
    text,
    whole,
)


def fits(schema, value):
    return Draft202012Validator(schema).is_valid(value)


@pytest.mark.parametrize("schema", [text(5), whole(0, 9), decimal(3, 2), length(), one_of("a")])
def test_each_piece_is_a_schema(schema):
    Draft202012Validator.check_schema(record(("a",), a=many(3, schema)))


@pytest.mark.parametrize("said", ["0", "190", "190.5", "-3.25", "999"])
def test_a_decimal_number_is_one_that_decimal_reads(said):
    assert fits(decimal(3, 2, "-?"), said)
    assert Decimal(said).is_finite()


@pytest.mark.parametrize(
    "said", ["", ".5", "1.", "1.234", "1000", "1e2", "+1", "NaN", "١", " 1", 1]
)
def test_what_is_no_decimal_number_of_so_many_digits_is_refused(said):
    assert not fits(decimal(3, 2, "-?"), said)


def test_a_line_has_no_line_break_and_a_text_may():
    assert not fits(text(9, LINE), "a\nb")
    assert fits(text(9, LINES), "a\nb")
    assert not fits(text(9, LINES), "a\x07b")


def test_null_stands_only_where_it_may():
    assert fits(or_null(whole(1, 2)), None)
    assert not fits(whole(1, 2), None)


# RFC 6901, section 5: the examples "/a~1b", "/m~0n" and the empty pointer of the whole document.
@pytest.mark.parametrize(
    ("path", "pointer"), [(["foo", 0], "/foo/0"), (["a/b"], "/a~1b"), (["m~n"], "/m~0n"), ([], "")]
)
def test_a_pointer_is_written_as_the_standard_says(path, pointer):
    assert pointer_to(path) == pointer


def test_a_pointer_can_be_shown_whatever_a_field_is_called():
    assert pointer_to(["\u202e", "\n"]) == "/?/?"
    assert len(pointer_to(["x" * 5000])) == LONGEST_POINTER
