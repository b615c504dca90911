"""Machines and tooling are kept, and a purge clears what a machine last worked."""

import pytest

from tests.factories.book import refused, sentence, written
from tests.factories.inventory import make_act, polymer
from tests.factories.workshop import DesignFactory, MachineFactory
from workshop.actions.machines import guard_machine, log_purge, save_machine, save_tooling
from workshop.models import Machine, Purge, Tooling

pytestmark = pytest.mark.django_db

PRESS = {"name": "Press 1", "kind": "press"}
FRAME = {"name": "Frame 500 x 500", "kind": "frame", "cavities": 1}


def test_adds_a_machine(lead):
    assert save_machine(fields=PRESS, act=make_act(lead)).kind == "press"


def test_adds_tooling(lead):
    assert save_tooling(fields=FRAME, act=make_act(lead)).kind == "frame"


def test_refuses_a_machine_of_a_name_that_is_taken(lead):
    save_machine(fields=PRESS, act=make_act(lead))
    with refused("name-taken"):
        save_machine(fields=PRESS | {"name": "PRESS 1"}, act=make_act(lead))


def test_refuses_tooling_of_a_name_that_is_taken(lead):
    save_tooling(fields=FRAME, act=make_act(lead))
    with refused("name-taken"):
        save_tooling(fields=FRAME, act=make_act(lead))


@pytest.mark.parametrize(
    ("kind", "made_by", "route"),
    [("mould", "form", []), ("jig", "inject", ["inject", "finish"]), ("blade", "press", ["cut"])],
)
def test_tooling_serves_a_design_on_whose_route_such_a_kind_is_used(lead, kind, made_by, route):
    design = DesignFactory(made_by=made_by, route=[{"work": work, "note": ""} for work in route])
    saved = save_tooling(fields=FRAME | {"kind": kind}, act=make_act(lead), designs=[design])
    assert saved.designs.get() == design


@pytest.mark.parametrize(
    ("kind", "made_by"),
    [("frame", "inject"), ("mould", "cut"), ("jig", "inject"), ("die", "press")],
)
def test_refuses_to_link_tooling_to_a_design_that_is_made_without_such(lead, kind, made_by):
    design = DesignFactory(name="Hook", made_by=made_by)
    with refused("wrong-tooling") as refusal:
        save_tooling(fields=FRAME | {"kind": kind}, act=make_act(lead), designs=[design])
    assert "Hook" in sentence(refusal)
    assert not Tooling.objects.exists()


def test_refuses_to_make_another_kind_of_tooling_that_is_linked(lead):
    design = DesignFactory(made_by="press")
    frame = save_tooling(fields=FRAME, act=make_act(lead), designs=[design])
    with refused("wrong-tooling"):
        changed = FRAME | {"kind": "die"}
        save_tooling(fields=changed, act=make_act(lead), tooling=frame, designs=[design])
    assert Tooling.objects.get().kind == "frame"


def test_editing_a_machine_does_not_make_it_forget_its_polymer(lead):
    stale = save_machine(fields=PRESS, act=make_act(lead))
    Machine.objects.update(last_polymer=polymer("PP"))
    save_machine(fields={"place": "hall 2"} | PRESS, machine=stale, act=make_act(lead))
    assert Machine.objects.get().last_polymer == polymer("PP")


def test_a_repeat_finds_the_machine_under_its_new_name(lead):
    act = make_act(lead)
    machine = save_machine(fields=PRESS, act=act)
    save_machine(fields=PRESS | {"name": "Old press"}, machine=machine, act=make_act(lead))
    before = written()
    assert save_machine(fields=PRESS, act=act) == machine
    assert written() == before


def test_a_repeat_finds_tooling_again(lead):
    act = make_act(lead)
    first = save_tooling(fields=FRAME, act=act)
    assert save_tooling(fields=FRAME, act=act) == first
    assert Tooling.objects.count() == 1


def test_a_purge_is_logged_and_clears_the_machine(operator):
    machine = MachineFactory(last_polymer=polymer("PP"))
    purge = log_purge(machine=machine, act=make_act(operator, "two shots of PE-HD"))
    machine.refresh_from_db()
    assert (purge.polymer, purge.note, purge.by) == (polymer("PP"), "two shots of PE-HD", operator)
    assert machine.last_polymer is None


def test_refuses_a_purge_that_does_not_say_how(operator):
    machine = MachineFactory(last_polymer=polymer("PP"))
    with refused("reason"):
        log_purge(machine=machine, act=make_act(operator))


@pytest.mark.parametrize("symbol", ["PVC-U", "POM"])
@pytest.mark.parametrize("kind", ["blender", "press", "injection", "extruder", "granulator"])
def test_no_purge_unblocks_a_machine_after_reject_material(operator, kind, symbol):
    """Training notes on PVC and acetal: the two react violently and no purge makes it safe."""
    machine = MachineFactory(kind=kind, last_polymer=polymer(symbol))
    with refused("rejected-polymer"):
        log_purge(machine=machine, act=make_act(operator, "two shots of PE-HD"))
    assert Machine.objects.get(pk=machine.pk).last_polymer == polymer(symbol)
    with refused("needs-purge"):
        guard_machine(machine, polymer("PP"))


@pytest.mark.parametrize("symbol", ["PVC-U", "POM"])
@pytest.mark.parametrize(
    "kind", ["blender", "granulator", "press", "injection", "extruder", "forming", "oven"]
)
def test_reject_material_enters_no_machine_that_grinds_heats_or_keeps_it(kind, symbol):
    machine = MachineFactory(kind=kind)
    with refused("rejected-polymer"):
        guard_machine(machine, polymer(symbol))


def test_a_repeated_purge_is_answered_with_its_own_entry(operator):
    machine, act = MachineFactory(), make_act(operator, "scraped out")
    first = log_purge(machine=machine, act=act)
    log_purge(machine=machine, act=make_act(operator, "scraped out again"))
    assert log_purge(machine=machine, act=act) == first
    assert Purge.objects.count() == 2


@pytest.mark.parametrize(
    "kind", ["granulator", "press", "injection", "extruder", "forming", "oven"]
)
def test_reject_material_enters_no_granulator_and_no_heated_machine(kind):
    machine, bad = MachineFactory(kind=kind), polymer("PVC-U")
    with refused("rejected-polymer"):
        guard_machine(machine, bad)


@pytest.mark.parametrize(
    "kind", ["granulator", "press", "injection", "extruder", "forming", "oven"]
)
def test_unknown_material_enters_no_granulator_and_no_heated_machine(kind):
    machine = MachineFactory(kind=kind)
    with refused("unknown-material"):
        guard_machine(machine, None)


@pytest.mark.parametrize("kind", ["cutter", "forming", "oven"])
def test_a_machine_that_keeps_nothing_inside_asks_for_no_purge(kind):
    guard_machine(MachineFactory(kind=kind, last_polymer=polymer("PP")), polymer("PE-HD"))
