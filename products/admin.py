"""The desk's view of designs, parts, labels and passports: to look things up; what changes them are the pages."""

from django.contrib import admin
from django.db.models import URLField

from inventory.admin import ReadOnlyAdmin
from products.models import (
    Design,
    Fixing,
    ForeignSheet,
    Handover,
    Item,
    Joint,
    Label,
    LabelGrid,
    NestedPlan,
    Part,
    Passport,
    PrintedAddress,
    Printing,
    Window,
)


@admin.register(Design)
class DesignAdmin(ReadOnlyAdmin):
    list_display = ("name", "made_by", "form", "tracked", "withdrawn_at")
    list_filter = ("made_by", "form", "tracked")
    search_fields = ("name",)


@admin.register(Window)
class WindowAdmin(ReadOnlyAdmin):
    list_display = ("design", "quantity", "low", "high")
    list_filter = ("quantity",)
    list_select_related = ("design",)
    search_fields = ("design__name",)


@admin.register(Item)
class ItemAdmin(ReadOnlyAdmin):
    list_display = ("design", "line", "count", "component", "bought", "bought_name")
    list_filter = ("bought",)
    list_select_related = ("design", "component")
    search_fields = ("design__name", "component__name", "bought_name")


@admin.register(Joint)
class JointAdmin(ReadOnlyAdmin):
    list_display = ("design", "turn", "kind", "first_line", "second_line", "tool", "minutes")
    list_filter = ("kind",)
    list_select_related = ("design",)
    search_fields = ("design__name",)


@admin.register(ForeignSheet)
class ForeignSheetAdmin(ReadOnlyAdmin):
    list_display = ("design", "polymer", "machine_kind", "runs", "happened_at")
    list_select_related = ("design", "polymer")


@admin.register(NestedPlan)
class NestedPlanAdmin(ReadOnlyAdmin):
    list_display = ("number", "polymer", "sheets_mg", "parts_mg", "made_at", "by")
    list_select_related = ("by",)


@admin.register(Part)
class PartAdmin(ReadOnlyAdmin):
    list_display = ("code", "design", "lot", "pieces", "made_at")
    list_select_related = ("design", "lot")
    search_fields = ("code", "design__name")


@admin.register(Handover)
class HandoverAdmin(ReadOnlyAdmin):
    list_display = ("part", "out_at", "out_by", "back_at", "back_by")
    list_select_related = ("part", "out_by", "back_by")
    search_fields = ("part__code",)


@admin.register(Fixing)
class FixingAdmin(ReadOnlyAdmin):
    list_display = ("holder", "line", "part", "put_in_at", "taken_out_at")
    list_select_related = ("holder", "part")
    search_fields = ("holder__code", "part__code")


@admin.register(LabelGrid)
class LabelGridAdmin(ReadOnlyAdmin):
    list_display = ("name", "columns", "rows", "label_width_mm", "label_height_mm")
    search_fields = ("name",)


@admin.register(Label)
class LabelAdmin(ReadOnlyAdmin):
    list_display = ("code", "thing", "thing_code", "made_at", "voided_at", "replaced_by")
    list_filter = ("thing",)
    list_select_related = ("replaced_by",)
    search_fields = ("code", "thing_code")


@admin.register(Printing)
class PrintingAdmin(ReadOnlyAdmin):
    list_display = ("printed_at", "by", "grid_name", "start", "reason")
    list_select_related = ("by",)
    search_fields = ("grid_name", "reason", "labels__code")


@admin.register(PrintedAddress)
class PrintedAddressAdmin(ReadOnlyAdmin):
    formfield_overrides = {URLField: {"assume_scheme": "https"}}
    list_display = ("site_url", "frozen_at", "by", "reason")
    list_select_related = ("by",)


@admin.register(Passport)
class PassportAdmin(ReadOnlyAdmin):
    list_display = ("part", "version", "issued_at", "issued_by", "reason")
    list_select_related = ("part", "issued_by")
    search_fields = ("part__code",)
