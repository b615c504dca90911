"""Load polymers, spellings, colours, roles and sample grids of labels from fixtures."""

from django.conf import settings
from django.core.management.base import BaseCommand

from inventory.actions.materials import load_reference
from products.actions.grids import load_grids


class Command(BaseCommand):
    help = __doc__

    def handle(self, **options):
        fixtures = settings.ROOT / "fixtures"
        polymers, colours = load_reference(fixtures / "reference_materials.json")
        grids = load_grids(fixtures / "label_grids.json")
        self.stdout.write(
            f"Loaded {polymers} polymers, {colours} colours, {grids} grids of labels."
        )
