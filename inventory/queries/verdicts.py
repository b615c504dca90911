"""The book verified while somebody waits: by a page or over the API, so only if it is not too large."""

from dataclasses import dataclass

from inventory.models import Transfer
from inventory.queries.check_words import SENTENCES
from inventory.queries.verification import CHECKS, figures, first_fault, one_moment

MOST_TRANSFERS = 5_000  # takes seconds


@dataclass(frozen=True)
class Verdict:
    """What the checks found in the book: the first kind of fault with the rows at fault, or nothing."""

    fault: str | None
    rows: list[str]
    figures: dict[str, int]

    @property
    def ok(self) -> bool:
        """Whether no check found anything."""
        return not self.rows

    @property
    def checks(self) -> list[str]:
        """The kinds of fault that were looked for, in order."""
        return list(CHECKS)

    @property
    def told(self) -> list[tuple[str, str]]:
        """The same with what each makes sure of, in a sentence."""
        return [(kind, SENTENCES[kind]) for kind in CHECKS]


def verdict() -> Verdict | None:
    """Return what the checks find in the book as of one moment, or None if it is too large to wait for."""
    with one_moment():
        if Transfer.objects.order_by("pk")[MOST_TRANSFERS:].exists():
            return None
        kind, rows = first_fault() or (None, [])
        return Verdict(fault=kind, rows=rows, figures=figures())
