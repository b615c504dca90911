"""The admin reads the book and writes nothing: every change goes through an action."""

from django.contrib import admin

from inventory.models import (
    Bin,
    Blend,
    Branch,
    Change,
    Checkpoint,
    Colour,
    Count,
    Currency,
    Delivery,
    ForeignEvent,
    ForeignOrigin,
    ForeignPasses,
    Hold,
    Leaf,
    Lineage,
    Lot,
    OwnFigure,
    Polymer,
    Posting,
    Price,
    Recall,
    Round,
    Scale,
    Source,
    Spelling,
    Stop,
    Transfer,
)


class ReadOnlyAdmin(admin.ModelAdmin):
    """Pages to look at; nothing can be added, changed or deleted, and no action is offered."""

    actions = None
    list_per_page = 50
    show_full_result_count = False

    def has_add_permission(self, request):
        return False

    def has_change_permission(self, request, obj=None):
        return False

    def has_delete_permission(self, request, obj=None):
        return False


@admin.register(Posting)
class PostingAdmin(ReadOnlyAdmin):
    list_display = ("number", "kind", "reference", "happened_at", "by")
    list_filter = ("kind",)
    list_select_related = ("by",)
    search_fields = ("reference", "reason", "uuid")


@admin.register(Transfer)
class TransferAdmin(ReadOnlyAdmin):
    list_display = ("posting", "source", "target", "mass_mg", "role", "melted")
    list_select_related = ("posting", "source", "target")
    search_fields = ("source__code", "target__code")


@admin.register(Change)
class ChangeAdmin(ReadOnlyAdmin):
    list_display = ("verb", "subject", "happened_at", "by", "role")
    list_select_related = ("by",)
    search_fields = ("verb", "subject", "reason")


@admin.register(Count)
class CountAdmin(ReadOnlyAdmin):
    list_display = ("bin", "book_mg", "net_mg", "happened_at", "by", "posting")
    list_select_related = ("bin", "by", "posting")
    search_fields = ("bin__name", "reason")


@admin.register(Round)
class RoundAdmin(ReadOnlyAdmin):
    list_display = ("number", "place", "started_at", "started_by", "finished_at")
    list_select_related = ("started_by",)


@admin.register(Stop)
class StopAdmin(ReadOnlyAdmin):
    list_display = ("round", "position", "bin", "skipped_at", "skipped_by", "skip_reason")
    list_select_related = ("round", "bin", "skipped_by")
    search_fields = ("bin__name", "skip_reason")


@admin.register(Recall)
class RecallAdmin(ReadOnlyAdmin):
    list_display = ("number", "reason", "least_permille", "happened_at", "by")
    list_select_related = ("by",)
    search_fields = ("reason", "lots__code")


@admin.register(Checkpoint)
class CheckpointAdmin(ReadOnlyAdmin):
    list_display = ("number", "size", "root", "made_at", "made_by")
    list_select_related = ("made_by",)
    search_fields = ("root",)


@admin.register(Leaf)
class LeafAdmin(ReadOnlyAdmin):
    list_display = ("number", "kind", "uuid", "hash")
    list_filter = ("kind",)
    search_fields = ("uuid", "hash")


@admin.register(Branch)
class BranchAdmin(ReadOnlyAdmin):
    list_display = ("number", "root")
    search_fields = ("root",)


@admin.register(Lot)
class LotAdmin(ReadOnlyAdmin):
    list_display = ("code", "kind", "polymer", "colour", "form", "bin", "in_mg", "out_mg")
    list_filter = ("kind",)
    list_select_related = ("polymer", "colour", "bin")
    search_fields = ("code",)


@admin.register(Hold)
class HoldAdmin(ReadOnlyAdmin):
    list_display = ("lot", "reason", "placed_at", "placed_by", "lifted_at", "lifted_by")
    list_select_related = ("lot", "placed_by", "lifted_by")
    search_fields = ("lot__code", "reason")


@admin.register(Delivery)
class DeliveryAdmin(ReadOnlyAdmin):
    list_display = ("number", "source", "delivered_on", "net_mg", "polymer", "refusal")
    list_select_related = ("source", "polymer")
    search_fields = ("code", "source__name", "supplier_lot")


@admin.register(Bin)
class BinAdmin(ReadOnlyAdmin):
    list_display = ("name", "code", "place", "polymer", "colour", "retired_at")
    list_select_related = ("polymer", "colour")
    search_fields = ("name", "code", "place")


@admin.register(Polymer)
class PolymerAdmin(ReadOnlyAdmin):
    list_display = ("symbol", "name", "resin_code", "is_rejected")
    search_fields = ("symbol", "name")


@admin.register(Spelling)
class SpellingAdmin(ReadOnlyAdmin):
    list_display = ("text", "polymer")
    list_select_related = ("polymer",)
    search_fields = ("text",)


@admin.register(Blend)
class BlendAdmin(ReadOnlyAdmin):
    list_display = ("result", "main", "added", "is_on")
    list_select_related = ("result", "main", "added")


@admin.register(Source)
class SourceAdmin(ReadOnlyAdmin):
    list_display = ("name", "role", "is_active")
    search_fields = ("name",)


admin.site.register([Colour, Scale], ReadOnlyAdmin)


@admin.register(Lineage)
class LineageAdmin(ReadOnlyAdmin):
    list_display = ("lot", "foreign_id", "workshop", "lots_behind", "digest")
    list_select_related = ("lot",)
    search_fields = ("lot__code", "foreign_id", "workshop")
    exclude = ("document",)


@admin.register(ForeignOrigin)
class ForeignOriginAdmin(ReadOnlyAdmin):
    list_display = ("lineage", "foreign_id", "origin_class", "polymer", "numerator", "denominator")
    list_select_related = ("lineage", "polymer")
    search_fields = ("foreign_id", "source")


@admin.register(ForeignPasses)
class ForeignPassesAdmin(ReadOnlyAdmin):
    list_display = ("lineage", "count", "numerator", "denominator")
    list_select_related = ("lineage",)


@admin.register(ForeignEvent)
class ForeignEventAdmin(ReadOnlyAdmin):
    list_display = ("event_id", "is_declaration", "lineage")
    list_select_related = ("lineage",)
    search_fields = ("event_id",)


@admin.register(OwnFigure)
class OwnFigureAdmin(ReadOnlyAdmin):
    list_display = ("polymer", "name", "low", "typical", "high", "happened_at", "by")
    list_select_related = ("polymer", "by")
    search_fields = ("polymer__symbol", "name")


@admin.register(Currency)
class CurrencyAdmin(ReadOnlyAdmin):
    list_display = ("code", "holds_from", "happened_at", "by")
    list_select_related = ("by",)


@admin.register(Price)
class PriceAdmin(ReadOnlyAdmin):
    list_display = ("delivery", "per_kg", "currency", "happened_at", "by")
    list_select_related = ("delivery", "by")
    search_fields = ("delivery__code",)
