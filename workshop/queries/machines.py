"""Questions about machines and tooling."""

from django.db.models import (
    Case,
    Count,
    Exists,
    F,
    OuterRef,
    Prefetch,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from products.models import Design
from workshop.calculations.operations import KINDS_OF_TOOLING, RULES
from workshop.models import Machine, Run, Tooling


def machine_list() -> QuerySet[Machine]:
    """Return machines with their last polymer and the number of their open runs; retired ones last."""
    opened = Run.objects.open().filter(machine=OuterRef("pk")).order_by().values("machine")
    opened = Subquery(opened.annotate(number=Count("pk")).values("number"))
    machines = Machine.objects.select_related("last_polymer")
    machines = machines.annotate(open_runs=Coalesce(opened, 0))
    return machines.order_by(F("retired_at").asc(nulls_first=True), "name")


def machines_for(operation: str) -> QuerySet[Machine]:
    """Return the machines in use that do an operation, each with its open runs as `open_now`."""
    kinds = RULES[operation].machines
    machines = Machine.objects.filter(kind__in=kinds, retired_at__isnull=True)
    now = Prefetch("runs", Run.objects.open().order_by("pk"), to_attr="open_now")
    return machines.select_related("last_polymer").prefetch_related(now)


def tooling_list(design: Design | None = None) -> list[Tooling]:
    """Return tooling with its designs; that of one design in the order of its route."""
    rows = Tooling.objects.prefetch_related("designs")
    if design is None:
        return list(rows)
    works = [line["work"] for line in design.route]
    place = {work: number for number, work in enumerate(works)}
    return sorted(rows.filter(designs=design), key=lambda tool: place.get(tool.work, len(works)))


def tooling_for(operation: str, design: Design | None = None) -> QuerySet[Tooling]:
    """Return the tooling of the kinds that an operation uses (common practice).

    What is meant for the design comes first, then what is for none, what is meant for others last;
    what is meant for none that is made this way is left out where an operation makes designs.
    """
    rows = Tooling.objects.filter(kind__in=KINDS_OF_TOOLING.get(operation, ()))
    links = Tooling.designs.through.objects.filter(tooling=OuterRef("pk"))
    if "part" in RULES[operation].yields:
        rows = rows.filter(~Exists(links) | Exists(links.filter(design__made_by=operation)))
    if design is None:
        return rows.prefetch_related("designs")
    order = Case(
        When(Exists(links.filter(design=design)), then=Value(0)),
        When(Exists(links), then=Value(2)),
        default=Value(1),
    )
    return rows.annotate(order=order).order_by("order", "name").prefetch_related("designs")
