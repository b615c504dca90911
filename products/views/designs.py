"""Pages of designs."""

from django.contrib import messages
from django.http import FileResponse, Http404
from django.shortcuts import get_object_or_404, redirect
from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from inventory.forms.fields import ActForm
from inventory.models import Change
from inventory.queries.access import may
from inventory.views.access import allows, attempt, page, reads
from inventory.views.listings import Column, listing
from products.actions.designs import save_design, withdraw_design
from products.calculations.pass_limits import PassLimit
from products.calculations.ranges import sheet_thickness_note
from products.calculations.uses import cautions_of
from products.forms.designs import DesignFilter, DesignForm, values_of
from products.forms.ranges import sentence_of
from products.models import Design, Operation
from products.queries.designs import bags_here, brought_of, design_list
from products.queries.marks import marking_of_design
from products.queries.parts import part_list
from products.queries.sentences import said
from products.views.assemblies import assembly_of
from products.views.parts import part_row
from products.views.passport_pages import SECTIONS
from products.views.routes import route_of

COLUMNS = (
    Column(gettext_lazy("Design"), "name"),
    Column(gettext_lazy("Made by")),
    Column(gettext_lazy("Polymers")),
    Column(gettext_lazy("Mass each"), "mass", numeric=True),
    Column(gettext_lazy("In stock"), "stock", numeric=True),
    Column(gettext_lazy("In use"), "use", numeric=True),
)
LATEST = 8
PUBLIC_TEXTS = SECTIONS | {"not_for": gettext_lazy("Not suitable for")}


@reads
def index(request):
    filters = DesignFilter(request.GET, queryset=design_list())
    context = listing(request, filters, COLUMNS, place="products")
    may_edit = may(request.user, "design.edit")
    return page(request, "products/designs/index.html", context | {"may_edit": may_edit})


@reads
def detail(request, pk):
    designs = design_list().prefetch_related("items__component", "joints", "windows")
    design = get_object_or_404(designs, pk=pk)
    latest = part_list().filter(design=design)[:LATEST]
    note = thickness_note(design)
    context = {
        "place": "products",
        "design": design,
        "bags": bags_said(design),
        "query": f"?design={design.pk}",
        "facts": facts_of(design),
        "saying": marking_of_design(design),
        "note": sentence_of(note) if note else "",
        "parts": [part_row(part) for part in latest],
        "assembly": assembly_of(design),
        "route": route_of(design),
        "cautions": [said(caution) for caution in cautions_of(design.uses)],
        "may_edit": may(request.user, "design.edit"),
    }
    return page(request, "products/designs/detail.html", context)


def bags_said(design: Design) -> str:
    """Return in how many bags the pieces in stock are; empty for what is tracked by piece."""
    if design.tracked != Design.Tracking.BAG or not design.in_stock:
        return ""
    bags = bags_here(design)
    return ngettext("in %(n)s bag", "in %(n)s bags", bags) % {"n": bags}


@reads
def photo(request, pk):
    design = get_object_or_404(Design, pk=pk)
    if not design.photo or not design.photo.storage.exists(design.photo.name):
        raise Http404
    return FileResponse(design.photo.open("rb"), content_type="image/jpeg")


def thickness_note(design: Design):
    """Return the range note of a pressed sheet's thickness, if there is one."""
    is_sheet = design.made_by == Operation.PRESS and design.thickness_mm
    return sheet_thickness_note(thickness_mm=float(design.thickness_mm)) if is_sheet else None


def facts_of(design: Design) -> list[tuple]:
    """Return what the page of a design says of it."""
    allowed = ", ".join(polymer.symbol for polymer in design.polymers.all())
    brought = brought_of(design)
    thickness = f"{design.thickness_mm.normalize():f} mm" if design.thickness_mm else None
    return [
        (_("Made by"), design.get_made_by_display()),
        (_("Brought in"), brought_said(brought) if brought else None),
        (_("It is a"), design.get_form_display()),
        (_("Tracked"), design.get_tracked_display()),
        (_("Polymers allowed"), allowed or _("every polymer the machine may work")),
        (_("Thickness"), thickness),
        (_("Usual size of a sheet"), str(design.size) if design.size else None),
        (_("Pieces made at once"), design.pieces_per_cycle),
        (_("Packaging"), _("yes") if design.is_packaging else _("no")),
        (_("Surface of one piece"), f"{design.surface_mm2} mm²" if design.surface_mm2 else None),
        *((title, getattr(design, name) or None) for name, title in PUBLIC_TEXTS.items()),
        *((capfirst(each.get_quantity_display()), each.in_words) for each in design.windows.all()),
        (_("Expected life"), design.life or None),
        (_("Inspection"), design.inspection or None),
        (_("Coated"), _("yes") if design.is_coated else _("no")),
        (_("Metal moulded in"), _("yes") if design.has_inserts else _("no")),
        (_("Melt passes"), limit_said(design.pass_limit)),
        (_("Note"), design.note or None),
    ]


def brought_said(brought: Change) -> str:
    """Return when a design was brought in from the file of another workshop, and by whom."""
    facts = {
        "on": date_format(brought.happened_at, "SHORT_DATE_FORMAT"),
        "who": brought.by.username,
    }
    return _("from a file of another workshop, on %(on)s by %(who)s") % facts


def limit_said(limit: PassLimit | None) -> str | None:
    """Return a limit of melt passes in words."""
    if limit is None:
        return None
    sentence = ngettext(
        "at most %(percent)s\u00a0%% of a charge melted before",
        "at most %(percent)s\u00a0%% of a charge melted %(times)s times or more before",
        limit.times,
    )
    return sentence % {"percent": limit.most_percent, "times": limit.times}


@allows("design.edit")
def create(request):
    return written(request, None, _("New design"))


@allows("design.edit")
def edit(request, pk):
    design = get_object_or_404(Design, pk=pk)
    return written(request, design, _("Change %(name)s") % {"name": design.name})


def written(request, design: Design | None, title: str):
    """Show the form of a design, and write the design when it was sent."""
    first = values_of(design) if design else {}
    form = DesignForm(request.POST or None, request.FILES or None, initial=first)
    if form.is_valid():
        polymers = form.cleaned_data["polymers"]
        fields, act = form.fields_of_design(), form.act(request.user)
        saved = attempt(form, save_design, fields=fields, polymers=polymers, act=act, design=design)
        if saved:
            messages.success(request, _("%(name)s is written down.") % {"name": saved.name})
            say_note(request, thickness_note(saved))
            return redirect(saved)
    context = {"place": "products", "title": title, "design": design}
    return page(request, "products/designs/edit.html", context, form)


def say_note(request, note) -> None:
    """Say a figure outside its usual range once, as a message."""
    if note:
        messages.warning(request, sentence_of(note))


@allows("design.edit")
def withdraw(request, pk):
    design = get_object_or_404(Design, pk=pk)
    form = ActForm(request.POST or None)
    if form.is_valid() and attempt(
        form, withdraw_design, design=design, act=form.act(request.user)
    ):
        messages.success(request, _("%(name)s is no longer offered.") % {"name": design.name})
        return redirect(design)
    context = {"place": "products", "design": design}
    return page(request, "products/designs/withdraw.html", context, form)
