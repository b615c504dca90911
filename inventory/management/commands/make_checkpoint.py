"""Make a checkpoint of the book; run it once a day (cron, systemd timer)."""

from uuid import uuid4

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from inventory.actions.checkpoints import make_checkpoint


class Command(BaseCommand):
    help = __doc__

    def handle(self, *args, **options):
        try:
            made = make_checkpoint(key=uuid4())
        except ValidationError as refusal:
            raise CommandError(refusal.messages[0]) from None
        self.stdout.write(
            f"{made.number} {made.made_at:%Y-%m-%dT%H:%M:%SZ} {made.size}:{made.root}"
        )
