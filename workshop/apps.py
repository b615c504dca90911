from importlib import import_module

from django.apps import AppConfig
from django.core.checks import Tags, register

from workshop.checks import debug_stays_at_the_desk, secret_key_is_its_own


class WorkshopConfig(AppConfig):
    name = "workshop"

    def ready(self):
        register(secret_key_is_its_own, Tags.security)
        register(debug_stays_at_the_desk, Tags.security)
        verification = import_module("inventory.queries.verification")
        design_files = import_module("products.queries.design_files")
        design_files.tell_sheets_by(import_module("workshop.queries.foreign_sheets").told_sheets)
        spoken_sheets = import_module("products.queries.spoken_sheets")
        sheets = import_module("workshop.queries.planned_sheets")
        spoken_sheets.know_claims_by(sheets.open_claims, sheets.claims_before)
        pieces = import_module("workshop.queries.piece_verification")
        verification.also_check(pieces.CHECKS, pieces.SENTENCES)
