"""What has to be purged before a polymer goes in, as loading will ask."""

import pytest

from tests.factories.book import refused, sentence
from tests.factories.inventory import make_full_bin, polymer
from tests.factories.plans import make_question, start
from tests.factories.workshop import MachineFactory
from workshop.actions.machines import guard_machine
from workshop.queries.plans import plan_for
from workshop.queries.purges import purge_needed

pytestmark = pytest.mark.django_db


def need(last, following, kind="press"):
    machine = MachineFactory(kind=kind, last_polymer=polymer(last) if last else None)
    return purge_needed(machine, polymer(following))


@pytest.mark.parametrize(
    ("last", "kind"), [("", "press"), ("PP", "press"), ("PS", "cutter"), ("PS", "oven")]
)
def test_a_clean_machine_and_one_that_keeps_nothing_need_none(last, kind):
    assert need(last, "PP", kind) is None


# The chart is from memory of a usual handbook, VDI 2243; see inventory/calculations/compatibilities.py.
@pytest.mark.parametrize(
    ("last", "following", "word"),
    [("PP", "PE-HD", "limited"), ("PS", "PP", "apart"), ("PE-LD", "PE-HD", "usable")],
)
def test_it_says_what_a_rest_would_do(last, following, word):
    found = need(last, following)
    assert (found.is_possible, found.compatibility) == (True, word)
    assert last in found.remains_said
    assert following in found.remains_said


def test_loading_refuses_with_the_sentence_that_the_plan_said():
    machine = MachineFactory(last_polymer=polymer("PS"))
    with refused("needs-purge") as refusal:
        guard_machine(machine, polymer("PP"))
    assert sentence(refusal) == purge_needed(machine, polymer("PP")).said


def test_after_reject_material_nothing_can_be_started(operator):
    make_full_bin(operator)
    question = make_question(machine=MachineFactory(name="Old", last_polymer=polymer("PVC-U")))
    planned = plan_for(question)
    assert (planned.can_start, planned.purge.is_possible) == (False, False)
    assert "retire the machine" in planned.purge.said
    with refused("rejected-polymer"):
        start(operator, question)
