"""The invented workshop itself: its people, places and machines, and how it acts and weighs."""

import json
import random
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from uuid import NAMESPACE_OID, UUID, uuid5

from django.conf import settings
from django.contrib.auth.models import User
from django.db.models import QuerySet

from inventory.actions.acts import Act
from inventory.actions.bins import BinPlan, create_bin
from inventory.actions.scales import save_scale
from inventory.actions.sources import save_source
from inventory.models import Bin, Colour, Lot, Mass, Polymer, Scale, Source
from inventory.queries.statements import kept
from products.actions.assemblies import ItemPlan, JointPlan, set_assembly
from products.actions.designs import save_design
from products.actions.routes import set_route
from products.models import Design
from workshop.actions.machines import log_purge, save_machine, save_tooling
from workshop.actions.people import add_bench, add_person, set_pin
from workshop.models import Machine, Tooling

KG = 1_000_000
SEED = 20_260_301
NO_FIELDS = {"grams", "polymers", "items", "joints", "route"}


@dataclass
class Floor:
    """Everything that the story needs at hand; chance is seeded, so that each build is alike."""

    plan: dict
    now: datetime
    rng: random.Random = field(default_factory=lambda: random.Random(SEED))  # noqa: S311
    people: dict[str, User] = field(default_factory=dict)
    tool_of: dict[str, Tooling] = field(default_factory=dict)

    def act(self, who: str = "operator", reason: str = "") -> Act:
        """Return an act at the story's present moment."""
        key = UUID(int=self.rng.getrandbits(128), version=4)
        return Act(key=key, by=self.people[who], happened_at=self.now, reason=reason)

    def operator(self) -> str:
        """Return one of the two operators."""
        return self.rng.choice(["operator", "operator", "operator-two"])

    def weighed(self, mass_mg: int, scale: str = "", count: int = 1) -> Mass:
        """Return a mass as a scale of the workshop would show it."""
        scale = Scale.objects.get(
            name=scale or ("bench scale" if mass_mg < 15 * KG else "floor scale")
        )
        step = scale.resolution_mg
        return Mass.weighed(max(step, round(mass_mg / step) * step), scale, count=count)

    def bins(self, place: str, polymer: Polymer | None = None) -> list[Bin]:
        """Return the bins of a place, of one polymer if that is said."""
        bins = Bin.objects.in_use().filter(place=place).select_related("polymer", "colour")
        return list(bins.filter(polymer=polymer) if polymer else bins)

    def fills(self, place: str) -> dict[int, Lot]:
        """Return what the bins of a place hold now, by bin."""
        return {lot.bin_id: lot for lot in fills_at(place)}

    def bin_for(self, place: str, lot: Lot, mass_mg: int) -> Bin | None:
        """Return the bin of a place that takes material like this lot's: its colour, else mixed."""
        fills = self.fills(place)
        fitting = [
            bin
            for bin in self.bins(place, lot.polymer)
            if (bin.colour == lot.colour or bin.colour.is_mixed)
            and has_room(bin, fills.get(bin.pk), mass_mg)
        ]
        return min(fitting, key=lambda bin: bin.colour.is_mixed, default=None)

    def machine(self, kind: str) -> Machine:
        """Return a machine of a kind."""
        return self.rng.choice(list(Machine.objects.filter(kind=kind).order_by("pk")))

    def purge_for(self, machine: Machine, polymer: Polymer) -> None:
        """Purge a machine that last worked another polymer."""
        machine.refresh_from_db()
        if machine.last_polymer_id not in {None, polymer.pk}:
            log_purge(machine=machine, act=self.act(reason=f"run clear with {polymer.symbol}"))


@kept
def fills_at(place: str) -> QuerySet[Lot]:
    """What the bins of a place hold now."""
    lots = Lot.objects.open().with_hold().filter(bin__place=place)
    return lots.select_related("polymer", "colour", "bin__colour")


def has_room(bin: Bin, fill: Lot | None, mass_mg: int) -> bool:
    """Return whether a bin takes that much more: it has room and no hold."""
    if fill is None:
        return bin.capacity_mg >= mass_mg
    return not fill.is_held and bin.capacity_mg - fill.held_mg >= mass_mg


def set_up(now: datetime) -> Floor:
    """Write the people, scales, sources, bins, machines, tooling and designs of the demo."""
    plan = json.loads((settings.ROOT / "fixtures" / "demo.json").read_text())
    floor = Floor(plan=plan, now=now)
    set_up_people(floor)
    for row in plan["scales"]:
        save_scale(fields=row, act=floor.act("lead"))
    for row in plan["sources"]:
        save_source(fields={k: v for k, v in row.items() if k != "brings"}, act=floor.act("lead"))
    set_up_bins(floor)
    for row in plan["machines"]:
        save_machine(fields=row, act=floor.act("lead"))
    set_up_designs(floor)
    return floor


def set_up_people(floor: Floor) -> None:
    """Write the people with their PINs, and the bench where they show them."""
    plan = floor.plan
    for row in plan["people"]:
        name, role = row["username"], row["role"]
        person = add_person(username=name, role=role, password=plan["password"])
        floor.people[name] = person
        if "pin" in row:
            act = Act(key=uuid5(NAMESPACE_OID, name), by=person, happened_at=floor.now)
            set_pin(person=person, pin=row["pin"], act=act)
    add_bench(username=plan["bench"], password=plan["password"])


def set_up_bins(floor: Floor) -> None:
    """Write the bins, numbered through."""
    number = 0
    for row in floor.plan["bins"]:
        for colour in row["colours"]:
            number += 1
            plan = BinPlan(
                name=f"{row['prefix']}-{number:02d}",
                place=row["place"],
                polymer=Polymer.objects.filter(symbol=row["polymer"]).first(),
                colour=Colour.objects.filter(name=colour).first(),
                capacity_mg=row["capacity_kg"] * KG,
                tare_mg=1_450_000,
            )
            create_bin(plan=plan, act=floor.act("lead"))


def set_up_designs(floor: Floor) -> None:
    """Write the designs and their tooling."""
    for row in floor.plan["designs"]:
        fields = {k: v for k, v in row.items() if k not in NO_FIELDS}
        fields["nominal_mass_mg"] = row["grams"] * 1000
        polymers = Polymer.objects.filter(symbol__in=row["polymers"])
        save_design(fields=fields, polymers=polymers, act=floor.act("lead"))
    for row in floor.plan["designs"]:
        if "items" in row:
            set_up_assembly(floor, design(row["name"]), row)
    for row in floor.plan["tooling"]:
        fields = {k: v for k, v in row.items() if k != "for"}
        served = design(row["for"])
        fields["work"] = served.made_by
        floor.tool_of[row["for"]] = save_tooling(
            fields=fields, act=floor.act("lead"), designs=[served]
        )


def set_up_assembly(floor: Floor, made: Design, row: dict) -> None:
    """Write the parts list of a design, its joints and its route."""
    items = [ItemPlan(**named_component(item)) for item in row["items"]]
    joints = [JointPlan(**joint, minutes=Decimal(4)) for joint in row["joints"]]
    set_assembly(design=made, items=items, joints=joints, act=floor.act("lead"))
    set_route(design=made, route=row["route"], act=floor.act("lead"))


def named_component(item: dict) -> dict:
    """Return a line of a parts list with the design that it names."""
    return item | ({"component": design(item["component"])} if "component" in item else {})


def design(name: str) -> Design:
    """Return a design of the demo."""
    return Design.objects.get(name=name)


def source(name: str) -> Source:
    """Return a source of the demo."""
    return Source.objects.get(name=name)
