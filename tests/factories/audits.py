"""Audit files made through the real action, about a small book with every kind of thing in it."""

from dataclasses import dataclass

from inventory.actions.lots import hold_lot, move_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Lot
from inventory.queries.lots import open_lot_in
from products.models import Part
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    SourceFactory,
    make_act,
    make_delivery,
    make_full_bin,
)
from tests.factories.workshop import DesignFactory, load_weighed, make_run, weigh_out, weigh_out_on
from tests.kept import kept
from workshop.actions.audits import make_audit_file
from workshop.actions.runs import close_run
from workshop.models import AuditFile, Run
from workshop.queries.audit_questions import Question


@dataclass(frozen=True)
class Story:
    """Two deliveries in one bin, a part and offcuts made of them, one posting reversed, one hold."""

    first: Lot
    second: Lot
    part: Part
    run: Run


@kept
def make_story(operator, lead) -> Story:
    """Return a book in which 6 kg of 10 kg and 10 kg from two sources became a part of 5 kg."""
    bin, first = make_full_bin(operator, source=SourceFactory(name="Hill school"))
    second = make_delivery(operator, source=SourceFactory(name="Market hall")).lot
    wrong = move_lot(lot=second, bin=BinFactory(), act=make_act(operator))
    reverse_posting(posting=wrong, act=make_act(lead, "the wrong bin was scanned"))
    move_lot(lot=second, bin=bin, act=make_act(operator))
    scale = ScaleFactory(name="Bench scale", resolution_mg=1_000)
    run = make_run(operator, design=DesignFactory(name="Board 600"))
    load_weighed(run, open_lot_in(bin), operator, 6 * KG, scale)
    weigh_out_on(scale, run, operator, "part", 5 * KG, pieces=1)
    weigh_out(run, operator, "offcut", KG, bin=BinFactory())
    close_run(run=run, act=make_act(operator))
    part = Part.objects.get()
    hold_lot(lot=part.lot, act=make_act(operator, "smelt of oil"))
    return Story(first, second, part, run)


def make_audit(by, kind: str = "period", subject: str = "", since=None, until=None) -> AuditFile:
    """Make an audit file."""
    question = Question(kind, subject, since, until)
    return make_audit_file(question=question, act=make_act(by))
