"""Machines and tooling are added and changed; a purge clears what a machine last worked."""

from collections.abc import Iterable

from django.db import models, transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.locks import fresh
from inventory.actions.refusals import refusal
from inventory.models import Polymer
from products.models import Design
from workshop.calculations.operations import GRINDING, HEATED, RETAINING, kinds_of_tooling
from workshop.models import Machine, Purge, Tooling
from workshop.queries.purges import PURGE_FIRST, purge_needed


@transaction.atomic
def save_machine(*, fields: dict, act: Act, machine: Machine | None = None) -> Machine:
    """Add a machine, or change one; refuses `name-taken`. A repeated UUID changes nothing."""
    return save_named(Machine, "machine", fields, act, machine)


@transaction.atomic
def save_tooling(
    *, fields: dict, act: Act, tooling: Tooling | None = None, designs: Iterable[Design] = ()
) -> Tooling:
    """Add tooling, or change it, with the designs it serves.

    Refuses `name-taken`, and `wrong-tooling` for a design on whose way nothing uses such tooling. A
    repeated UUID changes nothing.
    """
    return save_named(Tooling, "tooling", fields, act, tooling, {"designs": list(designs)})


def save_named(
    model: type[models.Model], verb: str, fields: dict, act: Act, thing, links: dict | None = None
):
    """Write a thing that is told from others by its name; `links` are rows it has many of."""
    keys = {name: sorted(row.pk for row in rows) for name, rows in (links or {}).items()}
    request = act.request(verb, fields=fields | keys, thing=thing.pk if thing else None)
    if done := earlier(act, request):
        return outcome_of(done, model)
    guard_designs(fields, (links or {}).get("designs", ()))
    others = model.objects.exclude(pk=thing.pk) if thing else model.objects.all()
    if others.filter(name__iexact=fields["name"]).exists():
        raise refusal("name-taken", _("This name is taken; choose another name."))
    thing = fresh(thing) if thing else model()
    for name, value in fields.items():
        setattr(thing, name, value)
    thing.save()
    for name, rows in (links or {}).items():
        getattr(thing, name).set(rows)
    record_change(act=act, subject=str(thing), request=request, row=thing)
    return thing


def guard_designs(fields: dict, designs: Iterable[Design]) -> None:
    """Refuse `wrong-tooling` for a design that no work on its route makes with tooling of such a kind."""
    for design in designs:
        if fields["kind"] in kinds_of_tooling(works_of(design)):
            continue
        raise refusal(
            "wrong-tooling",
            _(
                "%(tooling)s is a %(kind)s, and nothing on the way to %(design)s uses one; leave that "
                "design out, or set its route first."
            ),
            tooling=fields["name"],
            kind=Tooling.Kind(fields["kind"]).label,
            design=design.name,
        )


def works_of(design: Design) -> set[str]:
    """Return by what a design is made: its operation, and all that is on its route."""
    return {design.made_by, *(line["work"] for line in design.route)}


@transaction.atomic
def log_purge(*, machine: Machine, act: Act) -> Purge:
    """Write down that a machine was purged or cleaned out, and how; it forgets its last polymer.

    Refuses `reason` when nothing is said about how, and `rejected-polymer` after reject material: no purge
    makes PVC safe beside POM. A repeated UUID changes nothing.
    """
    request = act.request("purge", machine=machine.pk)
    if done := earlier(act, request):
        return outcome_of(done, Purge)
    need_reason(act)
    machine = fresh(machine)
    guard_purge(machine)
    purge = Purge.objects.create(
        machine=machine,
        polymer=machine.last_polymer,
        happened_at=act.at,
        by=act.by,
        note=act.reason,
    )
    machine.last_polymer = None
    machine.save(update_fields=["last_polymer"])
    record_change(act=act, subject=str(machine), request=request, row=purge)
    return purge


def guard_purge(machine: Machine) -> None:
    """Refuse to take a machine for clean that last worked reject material."""
    last = machine.last_polymer
    if last is not None and last.is_rejected:
        raise refusal(
            "rejected-polymer",
            _(
                "%(machine)s last worked %(last)s, and no purge makes that safe; retire the machine."
            ),
            machine=machine.name,
            last=last.symbol,
        )


def guard_machine(
    machine: Machine, polymer: Polymer | None, working: Polymer | None = None
) -> None:
    """Refuse what must not go into a machine; `working` is what its open charge holds already.

    Refuses `unknown-material`, `rejected-polymer` at granulators and heated machines,
    and `needs-purge` when the machine last worked another polymer. Whether a polymer goes with
    the one in the same charge is for the rules of mixing. A granulator refuses unknown
    material too: nobody could say that it is not PVC.
    """
    guard_what_enters(machine, polymer)
    if need := purge_needed(machine, polymer, working):
        raise refusal("needs-purge", PURGE_FIRST[need.last.is_rejected], **need.facts)


def guard_what_enters(machine: Machine, polymer: Polymer | None) -> None:
    """Refuse `unknown-material` and `rejected-polymer`: what never goes into such a machine."""
    guarded = machine.kind in HEATED | GRINDING
    if polymer is None and (guarded or machine.kind in RETAINING):
        raise refusal(
            "unknown-material",
            _("Nobody knows what this is; it enters no machine before it is identified."),
        )
    if polymer is not None and polymer.is_rejected and machine.kind in HEATED | RETAINING:
        raise refusal(
            "rejected-polymer",
            _("%(polymer)s is never worked on %(machine)s: %(why)s"),
            polymer=polymer.symbol,
            machine=machine.name,
            why=polymer.reject_reason,
        )


def remember_polymer(machine: Machine, polymer: Polymer) -> None:
    """Let a machine that keeps material inside remember what it works now."""
    if machine.kind in RETAINING and machine.last_polymer_id != polymer.pk:
        machine.last_polymer = polymer
        machine.save(update_fields=["last_polymer"])
