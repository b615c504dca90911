"""Text in a table: nothing that somebody typed is reckoned by the spreadsheet that opens it."""

import csv
from io import StringIO

import pytest

from inventory.calculations.spreadsheets import line_writer, plain


# What begins a formula in the usual spreadsheets, and the white space before one (common practice).
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n"])
def test_a_formula_becomes_text(start):
    assert plain(f"{start}1+1") == f"'{start}1+1"


@pytest.mark.parametrize("text", ["", "Mill & sons", "1-1", " =1", "'=1", "a=b"])
def test_other_text_stays_as_it_is(text):
    assert plain(text) == text


@pytest.mark.parametrize("number", ["-0.5", "+1", "12", "-1e-05", "1.25e+10", -2, 0.1])
def test_a_number_is_written_as_it_is(number):
    assert written([number]) == [str(number)]


@pytest.mark.parametrize(
    "text", ["-1 kg", "-", "-1-1", "+1+1", "-1e", "=1", "@x", "-.5", "\u2212=1", "-1\n"]
)
def test_no_text_in_a_line_is_a_formula(text):
    (cell,) = written([text])
    assert cell == plain(text)


def written(cells):
    """Return the cells of a line as a reader of tables finds them."""
    table = StringIO(newline="")
    line_writer(table)(cells)
    return next(csv.reader(StringIO(table.getvalue(), newline="")))
