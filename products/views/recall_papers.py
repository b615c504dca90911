"""A recall as a table for other programs and as a paper to hang up or to send."""

from django.utils.translation import gettext as _

from inventory.calculations.codes import group_code
from inventory.calculations.spreadsheets import line_writer
from inventory.models import Recall
from inventory.queries.lots import lot_label
from inventory.queries.masses import exact_mass_said
from inventory.queries.percentages import percent_said
from inventory.queries.recalls import whereabouts
from inventory.templatetags.quantities import moment
from products.calculations.papers import Heading, Table, Text, paper_pdf
from products.queries.recalls import HeldRow, held_in_batches, held_rows, holds_of, rows_of

HEADING = [
    *("recall", "lot", "kind", "name", "polymer", "colour"),
    *("held_mg", "placed", "lifted", "why lifted"),
]


class Passed:
    """A file that hands each line on in place of keeping it."""

    def write(self, text: str) -> str:
        return text


def recall_csv(recall: Recall):
    """Yield the lines of a table of every lot that the recall stopped."""
    line = line_writer(Passed())
    yield line(HEADING)
    for row in held_in_batches(recall):
        yield line(cells_of(recall, row))


def cells_of(recall: Recall, row: HeldRow) -> list:
    """Return the cells of one hold."""
    hold, lot = row.hold, row.hold.lot
    return [
        recall.number,
        lot.code,
        lot.kind,
        row.name,
        lot.polymer.symbol if lot.polymer else "",
        lot.colour.name,
        lot.held_mg,
        hold.placed_at.isoformat(),
        hold.lifted_at.isoformat() if hold.lifted_at else "",
        hold.lift_reason,
    ]


def recall_pdf(recall: Recall) -> bytes:
    """Return the recall as a paper: what is bad, where all of it is now, and what is on hold."""
    lots = list(recall.lots.select_related("bin", "delivery"))
    found = whereabouts(lots, least_permille=recall.least_permille)
    blocks = [
        Text(recall.reason),
        Text(
            _("Started %(when)s by %(who)s.")
            % {"when": moment(recall.happened_at), "who": recall.by}
        ),
        Heading(_("What is looked for")),
        Table([_("Name"), _("Code")], [[lot_label(lot), group_code(lot.code)] for lot in lots]),
        Heading(_("Where it is now")),
        Table(
            [_("Where"), _("What"), _("Code"), _("Of it") + "|", _("Of the lot") + "|"],
            [written(row) for row in rows_of(found)],
            [0.17, 0.35, 0.2, 0.16, 0.12],
        ),
        Heading(_("What left the workshop")),
        Table(
            [_("To"), _("Of it") + "|"],
            [[each.label, exact_mass_said(each.mass_mg)] for each in found.gone],
        )
        if found.gone
        else Text(_("None of it left.")),
        Heading(_("What was stopped")),
        Table(
            [_("What"), _("Code"), _("Stopped"), _("Lifted"), _("Why")],
            [stopped(row) for row in held_rows(list(holds_of(recall)))],
            [0.3, 0.2, 0.16, 0.16, 0.18],
        ),
    ]
    return paper_pdf(f"{_('Recall')} {recall.number}", blocks)


def written(row) -> list[str]:
    """Return one holder as the cells of a row."""
    holder = row.holder
    return [
        row.place,
        row.name,
        group_code(holder.lot.code),
        exact_mass_said(holder.mass_mg),
        percent_said(holder.share, 2),
    ]


def stopped(row) -> list[str]:
    """Return one hold as the cells of a row."""
    hold = row.hold
    code = group_code(hold.lot.code)
    return [row.name, code, moment(hold.placed_at), moment(hold.lifted_at), hold.lift_reason]
