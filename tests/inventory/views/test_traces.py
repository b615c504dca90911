"""Traces: back to the deliveries, step by step, and forward."""

import re

import pytest
from django.urls import reverse

from inventory.actions.deliveries import refuse_delivery
from inventory.calculations.codes import group_code
from inventory.models import Lot
from inventory.queries import family_trees
from inventory.templatetags.quantities import code_groups
from inventory.views import traces
from products.models import Part
from tests.factories.inventory import (
    KG,
    BinFactory,
    make_act,
    make_delivery,
    make_full_bin,
    make_receipt,
)
from tests.factories.workshop import load, make_run, weigh_out
from tests.kept import kept
from workshop.models import Run

PAGE_QUERIES = 20


@pytest.fixture
@kept
def part(operator):
    """A sheet of 7 kg from 6 kg of one delivery and 2 kg of another; 1 kg became offcuts."""
    _bin, first = make_full_bin(operator, bin_fields={"name": "B-07"})
    second = make_delivery(operator, colour="red").lot
    run = make_run(operator)
    load(run, first, operator, 6 * KG)
    bin = BinFactory(colour=None)
    load(run, second, operator, 2 * KG)
    weigh_out(run, operator, "part", 7 * KG, pieces=1)
    weigh_out(run, operator, "offcut", KG, bin=bin)
    return Lot.objects.get(kind="part")


def trace(client, code, name="trace"):
    return client.get(reverse(f"inventory:{name}", args=[code]))


def test_a_part_leads_back_to_its_deliveries(floor, part):
    origins = trace(floor, part.code).context["origins"]
    assert [(row.share, row.mass_mg) for row in origins] == [(0.75, 5_250_000), (0.25, 1_750_000)]


def test_the_steps_go_from_the_part_back_to_the_deliveries(floor, part):
    steps = trace(floor, part.code).context["steps"]
    assert [step.lot.kind for step in steps] == ["part", "charge", "delivery", "delivery"]
    assert [row.mass_mg for row in steps[1].taken] == [6 * KG, 2 * KG]
    assert steps[1].taken[0].posting.reference.startswith("run R-")


def test_a_part_is_told_by_its_design_under_the_code_in_the_title(floor, part):
    seen = trace(floor, part.code).content.decode()
    assert f"<span>{Part.objects.get().design.name}</span>" in seen
    assert f'<span class="mono">{code_groups(part.code)}</span>' not in seen
    delivery = Lot.objects.filter(kind="delivery").last()
    seen = trace(floor, delivery.code).content.decode()
    assert f'<span class="mono">{code_groups(delivery.code)}</span>' in seen


def test_a_delivery_leads_forward_to_where_it_is(floor, part):
    answer = trace(floor, Lot.objects.filter(kind="delivery").last().code)
    uses = answer.context["uses"]
    assert sum(use.mass_mg for use in uses) == 10 * KG
    assert {use.lot.kind for use in uses} == {"delivery", "part", "fill"}


def test_the_strips_show_colours_and_melt_passes(floor, part):
    make_up = trace(floor, part.code).context["make_up"]
    assert [each.label for each in make_up.by_colour] == ["blue", "red"]
    assert [each.label for each in make_up.by_passes] == ["melted once"]


@pytest.mark.parametrize("name", ["B-07", "b-07"])
def test_a_bin_is_followed_by_its_name(floor, part, name):
    fill = Lot.objects.get(bin__name="B-07")
    answer = floor.get(reverse("inventory:trace-start"), {"code": name})
    assert answer.url == reverse("inventory:trace", args=[fill.code])


def test_a_delivery_is_followed_by_its_number(floor, part):
    delivery = make_delivery(part.filled_by.by)
    answer = trace(floor, delivery.number)
    assert answer.url == reverse("inventory:trace", args=[delivery.code])


def test_a_bin_code_leads_to_what_it_holds(floor, part):
    fill = Lot.objects.get(bin__name="B-07")
    assert trace(floor, fill.bin.code).url == reverse("inventory:trace", args=[fill.code])


@pytest.mark.parametrize("code", ["nothing", "ZZZZZZZZZZZZ", "D-9999"])
def test_an_unknown_code_is_answered_with_a_sentence(floor, code):
    answer = trace(floor, code)
    assert answer.status_code == 404
    assert f"Nothing to follow is called {code}" in answer.content.decode()


def test_a_refused_delivery_never_entered_the_ledger(floor, operator):
    refused = refuse_delivery(receipt=make_receipt(), act=make_act(operator, "wet"))
    answer = trace(floor, refused.code)
    assert answer.status_code == 404
    assert "was refused and never entered the ledger" in answer.content.decode()


def test_a_long_trace_is_shown_in_part_with_the_rest_on_its_own_page(floor, part, monkeypatch):
    monkeypatch.setattr(traces, "STEPS_SHOWN", 2)
    answer = trace(floor, part.code)
    assert len(answer.context["steps"]) == 2
    assert reverse("inventory:trace-steps", args=[part.code]) in answer.content.decode()
    assert len(trace(floor, part.code, "trace-steps").context["steps"]) == 4


@pytest.mark.parametrize("name", ["trace-origins", "trace-uses"])
def test_origins_and_uses_have_pages_of_their_own(floor, part, name):
    assert trace(floor, part.code, name).status_code == 200


def test_the_trace_keeps_to_its_queries(floor, part, django_assert_max_num_queries):
    with django_assert_max_num_queries(PAGE_QUERIES):
        trace(floor, part.code)


def test_the_start_page_offers_the_newest_deliveries_and_parts(floor, part):
    context = floor.get(reverse("inventory:trace-start")).context
    assert (part, Part.objects.get(lot=part).design.name) in context["parts"]
    assert len(context["deliveries"]) == 2


def test_the_picture_has_a_box_for_every_lot_behind(floor, part):
    shown = trace(floor, part.code, "trace-picture").content.decode()
    assert shown.count('class="tree-box"') == 4
    assert shown.count("<path") == 3
    assert reverse("inventory:trace", args=[part.code]) in shown


def test_the_picture_cuts_no_code_of_a_part_or_charge(floor, part):
    shown = trace(floor, part.code, "trace-picture").content.decode()
    charge = part.taken.first().source
    names = re.findall(r"<text[^>]*>((?:part|charge) [^<]+)</text>", shown)
    assert set(names) == {f"{lot.kind} {group_code(lot.code)}" for lot in (part, charge)}


def test_a_group_of_the_picture_opens_by_its_link(floor, part):
    address = reverse("inventory:trace-picture", args=[part.code])
    closed = floor.get(address, {"together": "month"}).context
    group = next(each.group for each in closed["picture"].boxes if each.group)
    opened = floor.get(address, {"together": "month", "open": group}).context
    assert len(opened["picture"].boxes) > len(closed["picture"].boxes)


@pytest.mark.parametrize("query", [{"together": "x"}, {"open": "\x00<b>"}])
def test_a_strange_wish_for_the_picture_is_passed_over(floor, part, query):
    address = reverse("inventory:trace-picture", args=[part.code])
    assert floor.get(address, query).status_code == 200


def test_what_is_too_much_for_a_picture_is_said_so(floor, part, monkeypatch):
    monkeypatch.setattr(family_trees, "MOST_BOXES", 1)
    assert "Too many boxes" in trace(floor, part.code, "trace-picture").content.decode()


def test_the_picture_goes_forward_too(floor, part):
    delivery = Lot.objects.filter(kind="delivery").earliest("pk")
    shown = trace(floor, delivery.code, "trace-picture-forward").content.decode()
    assert shown.count('class="tree-box"') == 4
    assert "From this on the left" in shown


def test_a_picture_keeps_its_moment_in_every_link(floor, part):
    address = reverse("inventory:trace-picture", args=[part.code])
    shown = floor.get(address, {"known_at": "2099-01-01", "together": "month"}).content.decode()
    assert "together=bin&amp;known_at=2099-01-01" in shown
    assert "As known on" in shown


@pytest.mark.parametrize(("name", "count"), [("trace-postings", 5), ("trace-postings-forward", 0)])
def test_the_postings_of_a_trace_are_listed(floor, part, name, count):
    """Behind the part: two receipts, two loads and the weighing out, which alone filled it."""
    assert len(trace(floor, part.code, name).context["postings"]) == count


def test_the_postings_ahead_of_a_delivery_are_its_load_and_what_came_of_it(floor, part):
    delivery = Lot.objects.filter(kind="delivery").earliest("pk")
    found = trace(floor, delivery.code, "trace-postings-forward").context["postings"]
    assert sorted(each.kind for each in found) == ["load", "yield", "yield"]


def test_a_run_leads_to_the_trace_of_its_only_charge(floor, part):
    charge = Lot.objects.get(kind="charge")
    number = charge.filled_by.reference.removeprefix("run ")
    answer = floor.get(reverse("inventory:trace-start"), {"code": number.lower()})
    assert answer.url == reverse("inventory:trace", args=[charge.code])


def test_a_run_of_several_charges_asks_which(floor, operator, part):
    run = Part.objects.get(lot=part).run_number
    lot = make_delivery(operator).lot
    load(Run.objects.get(pk=int(run.removeprefix("R-"))), lot, operator, KG)
    answer = floor.get(reverse("inventory:trace-start"), {"code": run})
    assert [each.kind for each in answer.context["charges"]] == ["charge", "charge"]
    assert "Charge 2" in answer.content.decode()


@pytest.mark.parametrize(
    "name",
    ["trace-picture", "trace-picture-forward", "trace-postings", "trace-postings-forward"],
)
def test_pictures_and_postings_keep_to_their_queries(
    floor, part, name, django_assert_max_num_queries
):
    delivery = Lot.objects.filter(kind="delivery").earliest("pk")
    with django_assert_max_num_queries(PAGE_QUERIES):
        trace(floor, delivery.code, name)


def test_of_a_moment_before_a_lot_was_nothing_is_said_of_what_was_not_there(floor, part):
    answer = floor.get(
        reverse("inventory:trace", args=[part.code]), {"happened_at": "2001-02-03T04:05"}
    )
    said = answer.content.decode()
    assert "Nothing was in this lot at that moment" in said
    for wrong in (
        "was reversed",
        "Chain of custody",
        "Not melted here",
        "Step by step",
        "transfers",
    ):
        assert wrong not in said


def test_how_the_polymer_was_told_stands_with_the_material_and_not_with_the_origin(floor, part):
    said = trace(floor, part.code).content.decode()
    row = said[said.index("<tbody>") : said.index("</tr>", said.index("<tbody>"))]
    material, origin = row.split("<td>")[-2:]
    assert "told by " in material
    delivery = Lot.objects.filter(kind="delivery").first().delivery
    assert delivery.get_identified_by_display() not in origin
