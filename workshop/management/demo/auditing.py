"""The invented year's audit: a recall that was lifted again, checkpoints of the book, and one audit file."""

from inventory.actions.checkpoints import make_checkpoint
from inventory.actions.recalls import lift_recall, start_recall
from inventory.models import Delivery
from products.models import Part
from workshop.actions.audits import make_audit_file
from workshop.management.demo.floor import Floor
from workshop.models import AuditFile
from workshop.queries.audit_questions import Question


def look_after_the_book(floor: Floor) -> None:
    """Make a checkpoint, recall a delivery by mistake, lift that, make another one and an audit file."""
    make_checkpoint(key=floor.act("lead").key)
    suspect = Delivery.objects.filter(lot__isnull=False, refusal="").order_by("pk")[3]
    recall = start_recall(lots=[suspect.lot], act=floor.act("lead", "smelt of solvent (invented)"))
    lift_recall(recall=recall, act=floor.act("lead", "it was the floor cleaner"))
    make_checkpoint(key=floor.act("lead").key, by=floor.act("lead").by)
    part = Part.objects.made().filter(pieces=1).latest("pk")
    question = Question(AuditFile.Kind.LOT, part.code)
    make_audit_file(question=question, act=floor.act("auditor", "a buyer asked (invented)"))
