"""Tables for spreadsheets: text that somebody typed must not be reckoned there."""

import csv
import re
from collections.abc import Callable, Iterable

FORMULAS = (
    "=",
    "+",
    "-",
    "@",
    "\t",
    "\r",
    "\n",
)  # with these a cell is taken for a formula (common practice)
NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?(e[+-]?[0-9]+)?")  # as our tables write one


def plain(text: str) -> str:
    """Return text that a spreadsheet does not take for a formula.

    >>> plain("=1+1"), plain("Mill & sons")
    ("'=1+1", 'Mill & sons')
    """
    return f"'{text}" if text.startswith(FORMULAS) else text


def line_writer(file) -> Callable[[Iterable], object]:
    r"""Return what writes a line of cells into a file, every text plain and every number as it is.

    It returns what the file's `write` returns.

    >>> from io import StringIO
    >>> table = StringIO()
    >>> write = line_writer(table)
    >>> _ = write(["=1+1", "-0.5", -2, "-2 kg", "Mill"])
    >>> table.getvalue()
    "'=1+1,-0.5,-2,'-2 kg,Mill\r\n"
    """
    write = csv.writer(file).writerow
    return lambda cells: write([safe(cell) for cell in cells])


def safe(cell):
    """Return a cell as it goes into a table: a text that is no number is made plain."""
    return plain(cell) if isinstance(cell, str) and not NUMBER.fullmatch(cell) else cell
