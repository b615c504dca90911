"""Text in a table: nothing that somebody typed is reckoned by the spreadsheet that opens it."""

import pytest

from inventory.calculations.spreadsheets import plain


# What begins a formula in the usual spreadsheets, and the white space before one (common practice).
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n"])
def test_a_formula_becomes_text(start):
    assert plain(f"{start}1+1") == f"'{start}1+1"


@pytest.mark.parametrize("text", ["", "Mill & sons", "1-1", " =1", "'=1", "a=b"])
def test_other_text_stays_as_it_is(text):
    assert plain(text) == text
