"""Load polymers, spellings, colours and roles from fixtures/reference_materials.json."""

from django.conf import settings
from django.core.management.base import BaseCommand

from inventory.actions.materials import load_reference


class Command(BaseCommand):
    help = __doc__

    def handle(self, **options):
        polymers, colours = load_reference(settings.ROOT / "fixtures" / "reference_materials.json")
        self.stdout.write(f"Loaded {polymers} polymers and {colours} colours.")
