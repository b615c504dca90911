"""Every field that chain-of-custody standards ask of a record has a home.

Source of the list: EN 15343:2007 (input control, traceability of recycled plastics), ISO 22095:2020
and ISO 14021:2016, as summed up in the project's notes on standards, section 6.
"""

import pytest
from django.apps import apps
from django.core.exceptions import FieldDoesNotExist
from django.utils.module_loading import import_string

HOMES = {
    "party": {
        "stable id": "inventory.Source.id",
        "name": "inventory.Source.name",
        "role": "inventory.Source.role",
        "evidence or certificate": "inventory.Source.evidence",
    },
    "delivery": {
        "our lot id": "inventory.Delivery.code",
        "supplier": "inventory.Delivery.source",
        "supplier's lot number": "inventory.Delivery.supplier_lot",
        "date": "inventory.Delivery.delivered_on",
        "gross": "inventory.Delivery.gross_mg",
        "tare": "inventory.Delivery.tare_mg",
        "net": "inventory.Delivery.net_mg",
        "scale": "inventory.Delivery.scale",
        "polymer": "inventory.Delivery.polymer",
        "how identified": "inventory.Delivery.identified_by",
        "colour": "inventory.Delivery.colour",
        "form": "inventory.Delivery.form",
        "origin class": "inventory.Delivery.origin_class",
        "product it came from": "inventory.Delivery.former_use",
        "delivery note": "inventory.Delivery.note",
        "moisture or contamination": "inventory.Delivery.condition",
        "tests done": "inventory.Delivery.tests",
        "accepted": "inventory.Delivery.lot",
        "refused": "inventory.Delivery.refusal",
        "collection route": "inventory.Source.collection_route",
    },
    "fill": {
        "id": "inventory.Lot.code",
        "bin": "inventory.Lot.bin",
        "parents": "inventory.Transfer.source",
        "mass of each parent": "inventory.Transfer.mass_mg",
        "opened": "inventory.Lot.opened_at",
        "composition": "inventory.queries.traces.origins_of",
    },
    "run": {
        "id": "workshop.Run.code",
        "machine": "workshop.Run.machine",
        "operator": "workshop.Run.operator",
        "start": "workshop.Run.opened_at",
        "end": "workshop.Run.closed_at",
        "inputs": "workshop.Load.mass_mg",
        "outputs": "workshop.Yield.mass_mg",
        "offcuts, purging, loss": "inventory.Transfer.role",
        "tolerance": "workshop.queries.runs.charge_balance",
        "settings": "workshop.Run.settings_note",
        "deviation": "workshop.Run.note",
    },
    "additive": {"origin class": "inventory.Lot.origin_class"},
    "part": {
        "id": "products.Part.code",
        "posting of its run": "products.Part.made_in",
        "mass": "inventory.Lot.in_mg",
        "polymer mark": "inventory.Polymer.mark",
    },
    "offcut or return": {
        "as a lot": "inventory.Transfer.target",
        "own process": "inventory.Transfer.role",
        "parent run": "inventory.Posting.reference",
        "parent part": "workshop.Load.part",
        "came back": "products.Handover.back_at",
        "state on return": "products.Handover.state_on_return",
    },
    "scrap": {
        "destination": "inventory.Posting.reason",
        "mass": "inventory.Transfer.mass_mg",
    },
    "correction": {
        "reason": "inventory.Posting.reason",
        "who": "inventory.Posting.by",
        "when": "inventory.Posting.recorded_at",
        "refers to": "inventory.Posting.reverses",
        "replaces": "inventory.Posting.replaces",
    },
    "hold": {
        "reason": "inventory.Hold.reason",
        "placed by": "inventory.Hold.placed_by",
        "role of who placed it": "inventory.Hold.placed_role",
        "lifted by": "inventory.Hold.lifted_by",
        "role of who lifted it": "inventory.Hold.lifted_role",
    },
    "process control": {
        "scale's step": "inventory.Scale.resolution_mg",
        "uncertainty of a mass": "inventory.Transfer.uncertainty_ug",
        "how a mass became known": "inventory.Transfer.basis",
        "purge of a machine": "workshop.Purge.note",
    },
}
PLACES = [
    pytest.param(home, id=f"{record}: {field}")
    for record, fields in HOMES.items()
    for field, home in fields.items()
]


def exists(home: str) -> bool:
    """Whether a field, a property or a query of this name is there."""
    app, model, *field = home.split(".")
    if model == "queries":
        return callable(import_string(home))
    owner = apps.get_model(app, model)
    try:
        return bool(owner._meta.get_field(field[0]))
    except FieldDoesNotExist:
        return isinstance(getattr(owner, field[0], None), property)


@pytest.mark.parametrize("home", PLACES)
def test_has_a_home(home):
    assert exists(home)


def test_a_field_that_is_not_there_is_noticed():
    assert not exists("inventory.Delivery.smell")
