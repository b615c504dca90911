"""Verify the whole book; see inventory/queries/verification.py."""

import json

from django.core.management.base import BaseCommand, CommandError

from inventory.calculations.masses import format_mass
from inventory.queries.sealed_entries import disagreement
from inventory.queries.verification import CHECKS, figures, first_fault, one_moment


class Command(BaseCommand):
    help = (
        "Recompute every lot, sum, ring, fingerprint and digest; exit 1 on the first kind of fault."
    )

    def add_arguments(self, parser):
        parser.add_argument(
            "--checkpoint", metavar="SIZE:ROOT", help="hold the book against a copy kept elsewhere"
        )
        parser.add_argument("--json", action="store_true", help="print figures and faults as JSON")

    def handle(self, *args, **options):
        with one_moment():
            found, sums = first_fault(), figures()
            found = found or self.against(options["checkpoint"])
        kind, rows = found or (None, [])
        if options["json"]:
            answer = {"ok": not rows, "fault": kind, "rows": rows, "figures": sums}
            self.stdout.write(json.dumps(answer | {"checks": list(CHECKS)}, indent=2))
        else:
            self.print_figures(sums)
        if rows:
            raise CommandError("\n".join([f"Fault in {kind}:", *rows]))

    def against(self, copy: str | None):
        """Return the fault that a printed checkpoint shows, or None."""
        if not copy:
            return None
        size, _colon, root = copy.partition(":")
        if not size.isdecimal() or not root:
            raise CommandError("Write the checkpoint as SIZE:ROOT, as the audit file prints it.")
        why = disagreement(int(size), root)
        return ("checkpoint", [why]) if why else None

    def print_figures(self, sums):
        for name, value in sums.items():
            shown = format_mass(value, "kg") if name.endswith("_mg") else f"{value:,}"
            self.stdout.write(f"{name.removesuffix('_mg'):<12}{shown:>20}")
        self.stdout.write(f"checks: {', '.join(CHECKS)}")
