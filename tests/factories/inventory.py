"""Valid things of the inventory; what is in the ledger is put there by the real actions."""

from datetime import date
from uuid import uuid4

import factory

from inventory.actions.acts import Act
from inventory.actions.deliveries import Receipt, receive_delivery
from inventory.models import Bin, Colour, Lot, Mass, Polymer, Scale, Source

KG = 1_000_000


class SourceFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Source

    name = factory.Sequence(lambda number: f"Source {number}")


class ScaleFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Scale

    name = factory.Sequence(lambda number: f"Scale {number}")
    capacity_mg = 60 * KG
    resolution_mg = 10_000


class BinFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Bin

    name = factory.Sequence(lambda number: f"T-{number:03d}")  # tests call theirs T-90 and the like
    place = "shelf 1"
    tare_mg = 1 * KG
    capacity_mg = 50 * KG


def polymer(symbol: str) -> Polymer:
    """Return a polymer of the reference data."""
    return Polymer.objects.get(symbol=symbol)


def colour(name: str) -> Colour:
    """Return a colour of the reference data."""
    return Colour.objects.get(name=name)


def make_act(by, reason: str = "", **more) -> Act:
    """Return an act with a fresh client id."""
    return Act(key=more.pop("key", uuid4()), by=by, reason=reason, **more)


def make_receipt(**changes) -> Receipt:
    """Return a receipt of 10 kg of blue PE-HD flake, but for what is changed."""
    fields = {
        "delivered_on": date(2026, 3, 2),
        "net_mg": 10 * KG,
        "identified_by": "mark",
        "form": "flake",
        "origin_class": "post-consumer",
        "source": changes.pop("source", None) or SourceFactory(),
        "colour": colour(changes.pop("colour", "blue")),
    }
    symbol = changes.pop("polymer", "PE-HD")
    fields["polymer"] = polymer(symbol) if symbol else None
    return Receipt(**(fields | changes))


def make_delivery(by, bin=None, act=None, **changes):
    """Return a delivery received through the real action."""
    is_confirmed = changes.pop("is_confirmed", True)
    sent = {"receipt": make_receipt(**changes), "act": act or make_act(by), "bin": bin}
    return receive_delivery(**sent, is_confirmed=is_confirmed)


def make_full_bin(by, **changes) -> tuple[Bin, Lot]:
    """Return a fresh bin and the delivery lot of 10 kg that stands in it."""
    bin = BinFactory(**changes.pop("bin_fields", {}))
    return bin, make_delivery(by, bin=bin, **changes).lot


def grams(number: int) -> Mass:
    """Return a typed mass."""
    return Mass(number * 1000)
