"""The desk's view of designs and parts: to look things up; what changes them are the pages."""

from django.contrib import admin

from products.models import Design, Handover, Part


class ReadOnlyAdmin(admin.ModelAdmin):
    """Rows to look at; nothing is added, changed or deleted here."""

    def has_add_permission(self, request):
        return False

    def has_change_permission(self, request, obj=None):
        return False

    def has_delete_permission(self, request, obj=None):
        return False


@admin.register(Design)
class DesignAdmin(ReadOnlyAdmin):
    list_display = ("name", "made_by", "form", "tracked", "withdrawn_at")
    list_filter = ("made_by", "form", "tracked")
    search_fields = ("name",)


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
