"""What may be asked of the book for an audit file, and what a typed or scanned text asks about."""

from dataclasses import dataclass
from datetime import date

from inventory.models import Bin, Delivery, Lot, Source
from inventory.queries.lots import lot_with_code, open_lot_in
from products.models import Design, Part
from workshop.models import AuditFile, Run
from workshop.queries.codes import thing_called

Kind = AuditFile.Kind
LONGEST_NAME = 120


@dataclass(frozen=True)
class Question:
    """A kind of thing, which one (code, number or name), and the days that count; of a period only days."""

    kind: str
    subject: str = ""
    since: date | None = None
    until: date | None = None

    def plain(self) -> dict:
        """Return what a fingerprint needs of it."""
        return {
            "kind": str(self.kind),
            "subject": self.subject,
            "since": self.since,
            "until": self.until,
        }


def question_of(made: AuditFile) -> Question:
    """Return what an audit file was asked."""
    return Question(made.kind, made.subject, made.since, made.until)


def subject_called(text: str, kind: str = "") -> tuple[str, str] | None:
    """Return the kind and subject that a text names, of one kind or of any, or None.

    Codes, numbers and names of bins go before names of designs and of sources.
    """
    for each in [kind] if kind else (Kind.RUN, Kind.LOT, Kind.DESIGN, Kind.SOURCE):
        if subject := NAMED[each](text):
            return each, subject
    return None


def run_subject(text: str) -> str:
    """Return the number of the run that a text names, or nothing."""
    thing = thing_called(text)
    return thing.number if isinstance(thing, Run) else ""


def lot_subject(text: str) -> str:
    """Return the code of the lot that a text names, itself, as a part's, a delivery's or what a bin holds."""
    thing = thing_called(text)
    if isinstance(thing, Run):  # the code of a charge leads to its run
        thing = lot_with_code(text)
    lot = open_lot_in(thing) if isinstance(thing, Bin) else thing
    lot = lot.lot if isinstance(lot, Part | Delivery) else lot
    return lot.code if isinstance(lot, Lot) else ""


def design_called(name: str) -> Design | None:
    """Return the design of a name, however it is capitalised."""
    return named(Design, name)


def source_called(name: str) -> Source | None:
    """Return the source of a name, however it is capitalised."""
    return named(Source, name)


def named(model, name: str):
    """Return the row of a name, spelt the same or but for capitals, or None."""
    plain = name.strip()
    if "\x00" in plain or len(plain) > LONGEST_NAME:
        return None
    rows = model.objects
    return rows.filter(name=plain).first() or rows.filter(name__iexact=plain).first()


def name_in(model):
    """Return the function that finds the name of a row by a text."""
    return lambda text: str(named(model, text) or "")


NAMED = {
    Kind.RUN: run_subject,
    Kind.LOT: lot_subject,
    Kind.DESIGN: name_in(Design),
    Kind.SOURCE: name_in(Source),
    Kind.PERIOD: lambda _text: "",
}
