"""Compiles the translations under locale/, without gettext's own programs."""

from pathlib import Path

import polib
from django.conf import settings
from django.core.management.base import BaseCommand


class Command(BaseCommand):
    """Turn every django.po into the django.mo beside it."""

    help = __doc__

    def handle(self, **options):
        folders = [Path(folder) for folder in settings.LOCALE_PATHS]
        catalogues = sorted(p for folder in folders for p in folder.glob("*/LC_MESSAGES/*.po"))
        for path in catalogues:
            catalogue = polib.pofile(str(path))
            catalogue.save_as_mofile(str(path.with_suffix(".mo")))
            self.stdout.write(f"{path.parent.parent.name}: {catalogue.percent_translated()} %")
