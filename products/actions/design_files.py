"""A design is made from the file of another one."""

from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.refusals import refusal
from products.actions.assemblies import ItemPlan, JointPlan, set_assembly
from products.actions.designs import save_design
from products.actions.pass_limits import set_pass_limit
from products.actions.routes import set_route
from products.actions.windows import WindowPlan, set_windows
from products.calculations.design_files import TEXTS, FileFault, faults_in
from products.calculations.foreign_sheets import LIMITS, unit_of
from products.calculations.pass_limits import PassLimit
from products.calculations.sheet_sizes import Size, size_fields, size_mm
from products.models import Design, ForeignSheet, Use
from products.queries.design_files import (
    design_named,
    polymer_of,
    polymers_of,
    told,
    unknown_in,
)
from products.queries.designs import BROUGHT

DEFAULTS = {
    "form": "part",
    "tracked": "piece",
    "pieces_per_cycle": 1,
    "is_packaging": False,
    "is_coated": False,
    "has_inserts": False,
    "surface_mm2": None,
    "note": "",
} | dict.fromkeys(TEXTS, "")


@transaction.atomic
def bring_design(*, document: dict, act: Act, name: str = "") -> Design:
    """Make a new design as a file says, under its own name or another; nothing is overwritten.

    Refuses `file` for a document with faults, and whatever the single acts refuse, such as
    `name-taken`, `parts-list` or `window`. A repeated UUID changes nothing.
    """
    guard_file(faults_in(document))
    request = act.request(BROUGHT, document=document, name=name)
    if done := earlier(act, request):
        return outcome_of(done, Design)
    guard_file(unknown_in(document))
    fields = fields_of(document) | {"name": name.strip() or document["name"].strip()}
    if not fields["name"]:
        raise refusal("name", _("Give the design a name."))
    design = save_design(
        fields=fields, polymers=polymers_of(document), act=act.followed_by("design")
    )
    add_more(design, document, act)
    record_change(act=act, subject=str(design), request=request, row=design)
    return design


def guard_file(faults: list[FileFault]) -> None:
    """Refuse a document with its first fault."""
    for fault in told(faults[:1]):
        raise refusal(
            "file",
            _("This file cannot be brought in. %(pointer)s: %(sentence)s"),
            **vars(fault),
        )


def fields_of(document: dict) -> dict:
    """Return the fields of the design that a document without faults describes."""
    fields = {name: document.get(name, default) for name, default in DEFAULTS.items()}
    thickness, uses = document.get("thickness_mm"), document.get("uses", ())
    return fields | {
        "made_by": document["made_by"],
        "nominal_mass_mg": int(document["nominal_mass_mg"]),
        "pieces_per_cycle": int(fields["pieces_per_cycle"]),
        "surface_mm2": int(fields["surface_mm2"]) if fields["surface_mm2"] else None,
        **size_fields(size_of(document)),
        "thickness_mm": Decimal(thickness) if thickness and Decimal(thickness) else None,
        "uses": [use.value for use in Use if use in uses],
    }


def size_of(document: dict) -> Size | None:
    """Return the usual size of a sheet that a document has; the first version knew none."""
    size = document.get("size_mm")
    return size_mm(Decimal(size["length"]), Decimal(size["width"])) if size else None


def add_more(design: Design, document: dict, act: Act) -> None:
    """Add the windows, limit, route and parts list that a document has."""
    if windows := document.get("windows"):
        plans = [window_of(each) for each in windows]
        set_windows(design=design, windows=plans, act=act.followed_by("windows"))
    if limit := document.get("pass_limit"):
        plan = PassLimit(int(limit["times"]), int(limit["most_percent"]))
        set_pass_limit(design=design, limit=plan, act=act.followed_by("pass limit"))
    if route := document.get("route"):
        pairs = [(line["work"], line.get("note", "")) for line in route]
        set_route(design=design, route=pairs, act=act.followed_by("route"))
    if document.get("items") or document.get("joints"):
        items = [item_of(each) for each in document.get("items", ())]
        joints = [joint_of(each) for each in document.get("joints", ())]
        set_assembly(design=design, items=items, joints=joints, act=act.followed_by("parts list"))
    ForeignSheet.objects.bulk_create(
        foreign_sheet(design, sheet, act) for sheet in document.get("process_sheets", ())
    )


def window_of(row: dict) -> WindowPlan:
    """Return the window of a row of a document."""
    low, high = (row.get(end) for end in ("low", "high"))
    return WindowPlan(row["quantity"], low and Decimal(low), high and Decimal(high))


def item_of(row: dict) -> ItemPlan:
    """Return the line of a parts list of a row of a document."""
    component = design_named(row["design"]) if row.get("design") else None
    return ItemPlan(int(row["count"]), component, row.get("bought", ""), row.get("bought_name", ""))


def joint_of(row: dict) -> JointPlan:
    """Return the joint of a row of a document."""
    ends = int(row["first_line"]), int(row["second_line"])
    return JointPlan(row["kind"], *ends, row.get("tool", ""), Decimal(row.get("minutes", "0")))


def foreign_sheet(design: Design, sheet: dict, act: Act) -> ForeignSheet:
    """Return a process sheet of a document as it is kept: beside what is learned here, never as a choice."""
    machine = sheet["machine"]
    return ForeignSheet(
        design=design,
        polymer=polymer_of(sheet),
        machine_kind=machine["kind"],
        limits={name: machine[name] for name in LIMITS if name in machine},
        runs=int(sheet.get("runs", 0)),
        is_second_hand=sheet.get("is_second_hand", False),
        settings=[setting_of(each) for each in sheet["settings"]],
        happened_at=act.at,
    )


def setting_of(row: dict) -> dict:
    """Return one setting of a sheet with all its fields; a known quantity has its own unit."""
    name = row["name"].strip()
    return {
        "name": name,
        "value": row["value"],
        "unit": unit_of(name) or row.get("unit", "").strip(),
        "is_chosen": row.get("is_chosen", False),
        "runs": int(row.get("runs", 0)),
        "low": row.get("low"),
        "high": row.get("high"),
    }
