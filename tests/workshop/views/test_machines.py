"""Pages of machines."""

import pytest
from django.urls import reverse

from tests.factories.inventory import KG, make_full_bin, polymer
from tests.factories.workshop import MachineFactory, load, make_run
from workshop.models import Machine

pytestmark = pytest.mark.django_db
CREATE = reverse("workshop:machine-create")


@pytest.fixture
def machine(db):
    return MachineFactory(name="Sheet press", kind="press", last_polymer=polymer("PP"))


def act_url(machine, name):
    return reverse(f"workshop:machine-{name}", args=[machine.pk])


def test_the_list_tells_what_each_last_worked(machine, floor):
    page = floor.get(reverse("workshop:machine-list")).content.decode()
    assert "Sheet press" in page
    assert "&gt;PP&lt;" in page


def test_the_page_shows_its_runs(floor, operator):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, KG)
    assert run.number in floor.get(run.machine.get_absolute_url()).content.decode()


def test_the_lead_adds_a_machine(desk, key):
    sent = {"key": key, "name": "Band saw", "kind": "cutter", "place": "hall"}
    answer = desk.post(CREATE, sent)
    assert answer.headers["Location"] == Machine.objects.get().get_absolute_url()


def test_a_name_that_is_taken_is_refused_as_typed(machine, desk, key):
    answer = desk.post(CREATE, {"key": key, "name": "sheet press", "kind": "press"})
    assert answer.status_code == 422
    assert 'value="sheet press"' in answer.content.decode()
    assert Machine.objects.count() == 1


def test_the_lead_changes_a_machine(machine, desk, key):
    sent = {"key": key, "name": "Press 2", "kind": "press", "place": "yard", "capacity_mg": "12,5"}
    desk.post(act_url(machine, "edit"), sent)
    machine.refresh_from_db()
    assert (machine.name, machine.place, machine.capacity_mg) == ("Press 2", "yard", 12_500_000)
    assert "takes 12.5\u00a0kg at once" in desk.get(machine.get_absolute_url()).content.decode()


def test_a_machine_that_has_run_stays_what_it_is(desk, operator, key):
    machine = make_run(operator).machine
    desk.post(act_url(machine, "edit"), {"key": key, "name": "x", "kind": "cutter"})
    machine.refresh_from_db()
    assert (machine.name, machine.kind) == ("x", "press")


def test_an_operator_changes_no_machine(machine, floor, key):
    assert floor.post(CREATE, {"key": key, "name": "x", "kind": "press"}).status_code == 403
    assert floor.get(act_url(machine, "edit")).status_code == 403
    assert Machine.objects.count() == 1


def test_a_purge_is_written_down_and_frees_the_machine(machine, floor, key):
    sent = {"key": key, "reason": "run empty, then 1 kg of clean PP"}
    answer = floor.post(act_url(machine, "purge"), sent, follow=True)
    machine.refresh_from_db()
    assert machine.last_polymer is None
    assert "1 kg of clean PP" in answer.content.decode()


def test_a_purge_goes_back_to_the_run_that_asked_for_it_and_says_what_is_inside(
    floor, operator, key
):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, KG)
    where = f"{act_url(run.machine, 'purge')}?next={run.get_absolute_url()}"
    said = f"{run.number} is open and has 1\u00a0kg in {run.machine.name} by the book"
    asked = floor.get(where).content.decode()
    assert said in asked.replace(f'<a href="{run.get_absolute_url()}">{run.number}</a>', run.number)
    answer = floor.post(where, {"key": key, "reason": "run empty"}, follow=True)
    assert answer.redirect_chain == [(run.get_absolute_url(), 302)]
    text = answer.content.decode()
    assert said in text
    assert "free for any polymer" not in text


def test_a_purge_of_an_empty_machine_goes_nowhere_else(machine, floor, key):
    sent = {"key": key, "reason": "run empty"}
    answer = floor.post(f"{act_url(machine, 'purge')}?next=//elsewhere.example/", sent, follow=True)
    assert answer.redirect_chain == [(machine.get_absolute_url(), 302)]
    assert "it is free for any polymer" in answer.content.decode()


def test_a_purge_says_how(machine, floor, key):
    answer = floor.post(act_url(machine, "purge"), {"key": key, "reason": ""})
    machine.refresh_from_db()
    assert answer.status_code == 422
    assert machine.last_polymer


def test_an_auditor_purges_nothing(machine, reader, key):
    sent = {"key": key, "reason": "x"}
    assert reader.post(act_url(machine, "purge"), sent).status_code == 403


LIMITS = {
    "force_kn": "1200",
    "platen_length_mm": "700",
    "platen_width_mm": "650",
    "shot_cm3": "60,5",
    "barrel_cm3": "150",
}


def test_what_a_machine_can_do_is_kept_and_shown(desk, floor, key):
    desk.post(CREATE, {"key": key, "name": "Big press", "kind": "press"} | LIMITS)
    made = Machine.objects.get()
    kept = (made.force_kn, made.platen_length_mm, made.platen_width_mm, made.shot_mm3)
    assert kept == (1200, 700, 650, 60_500)
    assert made.barrel_mm3 == 150_000
    page = floor.get(made.get_absolute_url()).content.decode()
    assert "1200 kN, platen 700 × 650 mm, shot of 60.5 cm³, barrel of 150 cm³" in page.replace(
        "1,200", "1200"
    )
    assert 'name="shot_cm3" value="60.5"' in desk.get(act_url(made, "edit")).content.decode()


def test_a_platen_with_one_side_is_refused_as_typed(desk, key):
    sent = {"key": key, "name": "Big press", "kind": "press"} | LIMITS | {"platen_width_mm": ""}
    answer = desk.post(CREATE, sent)
    assert (answer.status_code, Machine.objects.count()) == (422, 0)
    assert "Fill all of these boxes, or none." in answer.content.decode()


def test_a_barrel_that_holds_less_than_a_shot_is_refused_as_typed(desk, key):
    sent = {"key": key, "name": "Big press", "kind": "press"} | LIMITS | {"barrel_cm3": "60"}
    answer = desk.post(CREATE, sent)
    assert (answer.status_code, Machine.objects.count()) == (422, 0)
    assert "A barrel holds at least one shot" in answer.content.decode()


def test_the_volumes_of_a_machine_lead_into_the_calculators(floor):
    machine = MachineFactory(
        kind="injection", shot_mm3=60_500, barrel_mm3=150_000, last_polymer=polymer("PP")
    )
    page = floor.get(machine.get_absolute_url()).content.decode()
    for address in (
        "/desk/shot-capacity/?polymer=PP&amp;machine_cm3=60.5",
        "/desk/residence/?polymer=PP&amp;barrel_cm3=150",
    ):
        assert f'href="{address}"' in page
        assert floor.get(address.replace("&amp;", "&")).status_code == 200
