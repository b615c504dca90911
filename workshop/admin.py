"""The desk's view of machines and runs: to look things up; what changes them are the pages."""

from django.contrib import admin

from products.admin import ReadOnlyAdmin
from workshop.models import (
    Badge,
    Charge,
    Guesses,
    Load,
    Machine,
    Purge,
    Run,
    Tooling,
    Turn,
    Yield,
)


@admin.register(Machine)
class MachineAdmin(ReadOnlyAdmin):
    list_display = ("name", "kind", "place", "last_polymer", "retired_at")
    list_select_related = ("last_polymer",)
    list_filter = ("kind",)
    search_fields = ("name",)


@admin.register(Tooling)
class ToolingAdmin(ReadOnlyAdmin):
    list_display = ("name", "kind", "cavities")
    list_filter = ("kind",)
    search_fields = ("name",)


@admin.register(Purge)
class PurgeAdmin(ReadOnlyAdmin):
    list_display = ("machine", "polymer", "happened_at", "by", "note")
    list_select_related = ("machine", "polymer", "by")


@admin.register(Run)
class RunAdmin(ReadOnlyAdmin):
    list_display = ("number", "operation", "machine", "design", "operator", "opened_at", "state")
    list_select_related = ("machine", "design", "operator")
    list_filter = ("operation", "is_abandoned")
    search_fields = ("code", "note")


@admin.register(Charge)
class ChargeAdmin(ReadOnlyAdmin):
    list_display = ("run", "number", "lot")
    list_select_related = ("run", "lot")


@admin.register(Load)
class LoadAdmin(ReadOnlyAdmin):
    list_display = ("charge", "source", "mass_mg", "pieces", "posting")
    list_select_related = ("charge__run", "source", "posting")


@admin.register(Yield)
class YieldAdmin(ReadOnlyAdmin):
    list_display = ("charge", "kind", "mass_mg", "pieces", "bin", "posting")
    list_select_related = ("charge__run", "bin", "posting")


@admin.register(Badge)
class BadgeAdmin(ReadOnlyAdmin):
    """Who has a PIN, and since when; not even its hash is shown."""

    fields = ("user", "set_at")
    list_display = ("user", "set_at")
    list_select_related = ("user",)


@admin.register(Turn)
class TurnAdmin(ReadOnlyAdmin):
    list_display = ("person", "bench", "began_at", "last_seen_at", "ended_at")
    list_select_related = ("person", "bench")


@admin.register(Guesses)
class GuessesAdmin(ReadOnlyAdmin):
    list_display = ("user", "count", "last_at", "locked_until")
    list_select_related = ("user",)
