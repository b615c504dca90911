"""Tables for spreadsheets: text that somebody typed must not be reckoned there."""

FORMULAS = (
    "=",
    "+",
    "-",
    "@",
    "\t",
    "\r",
    "\n",
)  # with these a cell is taken for a formula (common practice)


def plain(text: str) -> str:
    """Return text that a spreadsheet does not take for a formula.

    >>> plain("=1+1"), plain("Mill & sons")
    ("'=1+1", 'Mill & sons')
    """
    return f"'{text}" if text.startswith(FORMULAS) else text
