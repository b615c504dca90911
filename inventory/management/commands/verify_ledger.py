"""Verify the whole book; see inventory/queries/verification.py."""

import json

from django.core.management.base import BaseCommand, CommandError

from inventory.calculations.masses import format_mass
from inventory.queries.verification import CHECKS, figures, first_fault, one_moment


class Command(BaseCommand):
    help = (
        "Recompute every lot, sum, ring, fingerprint and digest; exit 1 on the first kind of fault."
    )

    def add_arguments(self, parser):
        parser.add_argument("--json", action="store_true", help="print figures and faults as JSON")

    def handle(self, *args, **options):
        with one_moment():
            found, sums = first_fault(), figures()
        kind, rows = found or (None, [])
        if options["json"]:
            answer = {"ok": not rows, "fault": kind, "rows": rows, "figures": sums}
            self.stdout.write(json.dumps(answer | {"checks": list(CHECKS)}, indent=2))
        else:
            self.print_figures(sums)
        if rows:
            raise CommandError("\n".join([f"Fault in {kind}:", *rows]))

    def print_figures(self, sums):
        for name, value in sums.items():
            shown = format_mass(value, "kg") if name.endswith("_mg") else f"{value:,}"
            self.stdout.write(f"{name.removesuffix('_mg'):<12}{shown:>20}")
        self.stdout.write(f"checks: {', '.join(CHECKS)}")
