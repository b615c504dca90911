"""The invented year's audit: a false alarm that was recalled and lifted, and checkpoints of the book."""

from inventory.actions.checkpoints import make_checkpoint
from inventory.actions.recalls import lift_recall, start_recall
from inventory.models import Delivery
from workshop.management.demo.floor import Floor


def look_after_the_book(floor: Floor) -> None:
    """Make a checkpoint, recall a delivery by mistake, lift that, and make another one."""
    make_checkpoint(key=floor.act("lead").key)
    suspect = Delivery.objects.filter(lot__isnull=False, refusal="").order_by("pk")[3]
    recall = start_recall(lots=[suspect.lot], act=floor.act("lead", "smelt of solvent (invented)"))
    lift_recall(recall=recall, act=floor.act("lead", "it was the floor cleaner"))
    make_checkpoint(key=floor.act("lead").key, by=floor.act("lead").by)
