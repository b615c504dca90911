"""The desk's view of machines and runs: to look things up; what changes them are the pages."""

from django.contrib import admin

from inventory.admin import ReadOnlyAdmin
from workshop.models import (
    AuditFile,
    Badge,
    Charge,
    ChosenSetting,
    Cycle,
    Guesses,
    Load,
    Machine,
    Metering,
    Pause,
    Photo,
    Piece,
    Plan,
    PlannedSheet,
    Purge,
    Rate,
    Reading,
    Run,
    Step,
    Tooling,
    Turn,
    Visit,
    Yield,
)


@admin.register(AuditFile)
class AuditFileAdmin(ReadOnlyAdmin):
    list_display = ("number", "question", "checkpoint", "made_at", "by")
    list_select_related = ("checkpoint", "by")
    list_filter = ("kind",)
    search_fields = ("question", "subject")
    exclude = ("content",)


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


@admin.register(PlannedSheet)
class PlannedSheetAdmin(ReadOnlyAdmin):
    list_display = ("run", "part", "pieces")
    list_select_related = ("run", "part")


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


class MomentAdmin(ReadOnlyAdmin):
    """What happened at a moment of a run, newest first."""

    list_select_related = ("run", "by")
    ordering = ("-happened_at",)
    search_fields = ("run__code",)


@admin.register(Cycle)
class CycleAdmin(MomentAdmin):
    list_display = ("run", "pieces", "happened_at", "by", "undoes")
    list_select_related = ("run", "by", "undoes__run")


@admin.register(Step)
class StepAdmin(MomentAdmin):
    list_display = ("run", "name", "happened_at", "by")


@admin.register(Reading)
class ReadingAdmin(MomentAdmin):
    list_display = ("run", "quantity", "value", "low", "high", "polymer", "happened_at", "by")
    list_filter = ("quantity", "is_above_fume")
    list_select_related = ("run", "polymer", "by")


@admin.register(Pause)
class PauseAdmin(MomentAdmin):
    list_display = ("run", "reason", "note", "happened_at", "by", "ends")
    list_select_related = ("run", "by", "ends__run")


@admin.register(Photo)
class PhotoAdmin(MomentAdmin):
    """When a picture was taken and of what; the picture itself is shown on the run's page."""

    fields = ("run", "note", "happened_at", "recorded_at", "by")
    list_display = ("run", "note", "happened_at", "by")


@admin.register(Visit)
class VisitAdmin(ReadOnlyAdmin):
    list_display = ("number", "design", "machine", "started_at", "started_by", "ended_at", "run")
    list_select_related = ("design", "machine", "started_by", "run")
    search_fields = ("design__name", "machine__name")


@admin.register(Plan)
class PlanAdmin(ReadOnlyAdmin):
    list_display = ("run", "charge_mg", "made_at", "by")
    list_select_related = ("run", "by")
    search_fields = ("uuid",)


@admin.register(Piece)
class PieceAdmin(ReadOnlyAdmin):
    list_display = ("code", "visit", "lot", "started_at", "ended_at", "undone_at", "part")
    list_select_related = ("visit", "lot", "part")
    search_fields = ("code", "lot__code")


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


@admin.register(Rate)
class RateAdmin(ReadOnlyAdmin):
    list_display = ("name", "machine", "tooling", "amount", "currency", "holds_from", "by")
    list_select_related = ("machine", "tooling", "by")
    list_filter = ("name",)


@admin.register(Metering)
class MeteringAdmin(ReadOnlyAdmin):
    list_display = ("run", "what", "kwh", "happened_at", "by")
    list_select_related = ("run", "by")
    list_filter = ("what",)


@admin.register(ChosenSetting)
class ChosenSettingAdmin(ReadOnlyAdmin):
    list_display = ("design", "polymer", "machine", "name", "value", "happened_at", "by")
    list_select_related = ("design", "polymer", "machine", "by")
    search_fields = ("name", "design__name")
