"""Questions about labels: which a thing has, what a printed code leads to, what was printed when."""

from collections.abc import Iterable, Mapping
from uuid import UUID

from django.db.models import Count, Model, QuerySet

from inventory.calculations.codes import normalise_code
from inventory.queries.codes import Sticker
from inventory.queries.statements import kept
from products.models import Label, LabelGrid, Printing
from products.queries.things import Thing, found_things


def label_called(text: str) -> Label | None:
    """Return the label of a code as typed or scanned, void ones included, or None."""
    code = normalise_code(text)
    return next(iter(labels_told(code)), None) if code else None


@kept
def labels_told(code: str) -> QuerySet[Label]:
    """The label of a code with who made it void and what replaced it."""
    return Label.objects.select_related("replaced_by", "voided_by").filter(code=code)


@kept
def labels_coded(code: str) -> QuerySet[Label]:
    """The label of a code, which no two have."""
    return Label.objects.filter(code=code)


def sticker_of_label(code: str) -> Sticker | None:
    """Return what the label of a code is on, for whoever follows codes, and what counts if it is void."""
    label = next(iter(labels_coded(code)), None)
    if label is None:
        return None
    thing, newest = thing_on(label), None
    if label.voided_at:
        newest = live_labels(labels_of([thing])).get(thing)
    return Sticker(label.thing_code, label.voided_at, newest.code if newest else "")


def thing_on(label: Label) -> Thing:
    """Return what a label is stuck on."""
    return Thing(label.thing, label.thing_code)


def row_of(thing: Thing) -> Model | None:
    """Return the bin, lot, delivery or part itself, or None when there is none."""
    return next(iter(found_things([thing]).values()), None)


def thing_of(text: str) -> Model | None:
    """Return the bin, lot, delivery or part that a label of this code is stuck on, or None.

    A void label still tells what it was stuck on; `label_called` tells that it is void.
    """
    label = label_called(text)
    return row_of(thing_on(label)) if label else None


def labels_of(things: Iterable[Thing]) -> dict[Thing, list[Label]]:
    """Return the labels of each thing, the newest first, with how often each was printed, in one query."""
    wanted = set(things)
    rows = Label.objects.filter(thing_code__in={thing.code for thing in wanted})
    labels = {thing: [] for thing in wanted}
    for label in rows.annotate(prints=Count("printings")).order_by("-pk"):
        if (thing := thing_on(label)) in labels:
            labels[thing].append(label)
    return labels


def live_labels(labels: Mapping[Thing, list[Label]]) -> dict[Thing, Label]:
    """Return the label that counts of each thing that has one: the newest that is not void."""
    live = {
        thing: next((each for each in found if not each.voided_at), None)
        for thing, found in labels.items()
    }
    return {thing: label for thing, label in live.items() if label}


def printed_before(things: Iterable[Thing]) -> list[Label]:
    """Return the labels that count and were printed, so that printing them again needs a reason."""
    live = live_labels(labels_of(things))
    return [label for label in live.values() if label.prints]


def label_list() -> QuerySet[Label]:
    """Return every label with how often it was printed, the newest first."""
    related = ("replaced_by", "voided_by")
    return (
        Label.objects.select_related(*related).annotate(prints=Count("printings")).order_by("-pk")
    )


def printing_list() -> QuerySet[Printing]:
    """Return every printing with how many labels it had, the newest first."""
    rows = Printing.objects.select_related("by", "grid").annotate(number=Count("labels"))
    return rows.order_by("-pk")


def labels_on(printing: Printing) -> list[Label]:
    """Return the labels of a printing in the order of the sheet."""
    rows = Printing.labels.through.objects.filter(printing=printing).select_related("label")
    return [row.label for row in rows.order_by("pk")]


def printed_labels(printing: Printing) -> list[Label]:
    """Return the labels of a printing in the order of the sheet, without those that are void now."""
    return [label for label in labels_on(printing) if not label.voided_at]


def printing_numbered(text: str) -> Printing | None:
    """Return the printing of a UUID as text, or None."""
    try:
        uuid = UUID(text)
    except ValueError:
        return None
    return Printing.objects.select_related("grid").filter(uuid=uuid).first()


def printings_of(label: Label) -> QuerySet[Printing]:
    """Return when a label was printed, the last time first."""
    return label.printings.select_related("by")


def grid_used_last() -> LabelGrid | None:
    """Return the grid of the newest printing, before the first one any grid, or None."""
    printing = Printing.objects.filter(grid__isnull=False).select_related("grid").first()
    return printing.grid if printing else LabelGrid.objects.first()
