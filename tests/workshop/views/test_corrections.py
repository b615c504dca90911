"""The pages of corrections: what was wrong, what would change, and what was written."""

import re

import pytest
from django.urls import reverse

from inventory.actions.lots import move_lot
from inventory.models import Mass, Posting
from inventory.queries.lots import open_lot_in
from tests.factories.inventory import KG, BinFactory, ScaleFactory, grams, make_act, make_full_bin
from tests.factories.workshop import load, load_weighed, make_run, weigh_out, weigh_out_on
from tests.kept import kept
from workshop.actions.runs import close_run
from workshop.models import Load

pytestmark = pytest.mark.django_db


def address(posting, name="posting-correct"):
    return reverse(f"workshop:{name}", args=[posting.uuid])


def body(page, **changes):
    """What the page would send: its fields as they are shown, but for what is changed."""
    sheet = page.context["sheet"]
    sent = {"key": str(sheet.form["key"].value()), "reason": "the scale was not at zero"}
    for fix in sheet.fixes:
        prepared = {name: fix[name].value() for name in fix.fields}
        sent |= {f"{fix.prefix}-{name}": text or "" for name, text in prepared.items()}
        sent.pop(f"{fix.prefix}-is_out", None)
    sent["posting"] = [str(fix.posting.uuid) for fix in sheet.fixes]
    first = sheet.fixes[0].prefix
    own = {
        f"{first}-{name}": text for name, text in changes.items() if name in sheet.fixes[0].fields
    }
    return (
        sent
        | own
        | {name: text for name, text in changes.items() if name not in sheet.fixes[0].fields}
    )


@pytest.fixture
def moved(operator):
    lot = make_full_bin(operator)[1]
    return move_lot(lot=lot, bin=BinFactory(name="B-55"), mass=grams(3000), act=make_act(operator))


@pytest.fixture
@kept
def loaded(operator):
    """Half post-consumer, half virgin; two parts of it with passports."""
    run = make_run(operator)
    for origin in ("post-consumer", "virgin"):
        load(run, make_full_bin(operator, origin_class=origin)[1], operator, KG)
    weigh_out(run, operator, "part", 2 * KG, pieces=2)
    close_run(run=run, act=make_act(operator))
    return Load.objects.order_by("pk").first().posting


def test_the_page_shows_what_was_booked(desk, moved):
    page = desk.get(address(moved))
    (fix,) = page.context["sheet"].fixes
    assert (fix["mass"].value(), fix["target"].value()) == ("3", "B-55")
    assert page.context["effect"] is None


@pytest.mark.parametrize("readings", [1, 2])
def test_a_misread_mass_stays_known_by_its_scale_as_well_as_before(desk, operator, readings):
    scale = ScaleFactory(is_in_use=False)
    mass = Mass.weighed(3 * KG, scale, readings=readings)
    lot = make_full_bin(operator)[1]
    moved = move_lot(lot=lot, bin=BinFactory(), mass=mass, act=make_act(operator))
    page = desk.get(address(moved))
    assert page.context["sheet"].fixes[0]["scale"].value() == scale.pk
    shown = desk.post(address(moved), body(page, mass="2.5", look="1"))
    token = shown.context["effect"].token
    desk.post(address(moved), body(shown, accept="1", shown=token))
    row = Posting.objects.get(kind="correct").transfers.exclude(role="remainder").get()
    assert (row.mass_mg, row.scale, row.uncertainty_ug) == (2_500_000, scale, mass.uncertainty_ug)


def test_the_effect_is_shown_and_nothing_is_written(desk, moved):
    answer = desk.post(address(moved), body(desk.get(address(moved)), mass="2.5", look="1"))
    effect = answer.context["effect"]
    assert (answer.status_code, Posting.objects.count()) == (200, 2)
    assert {(row.label, row.after_mg) for row in effect.held} >= {("B-55", 2_500_000)}


def test_a_surplus_that_is_taken_out_is_told_once(desk, operator):
    """8 g more than the book came from outside into a gain, and out of that into the part: that is 8 g."""
    run, scale = make_run(operator), ScaleFactory(resolution_mg=10_000)
    load_weighed(run, make_full_bin(operator)[1], operator, 6 * KG, scale)
    weigh_out_on(scale, run, operator, "part", 6 * KG + 8_000, pieces=1)
    posting = Load.objects.get().posting
    answer = desk.post(address(posting), body(desk.get(address(posting)), mass="6.1", look="1"))
    changed = {
        line.role: (line.before_mg, line.after_mg)
        for step in answer.context["effect"].steps
        for line in step.lines
    }
    assert changed["difference"] == (8_000, None)


def test_bins_are_offered_with_place_and_what_they_hold(
    desk, operator, moved, django_assert_max_num_queries
):
    other, _lot = make_full_bin(operator, polymer="PP", colour="red")
    other.place = "window"
    other.save()
    BinFactory.create_batch(5)
    with django_assert_max_num_queries(22):
        page = desk.get(address(moved)).content.decode()
    offer = re.search(rf'<option value="{other.name}">([^<]*)<', page)[1].replace("\xa0", " ")
    assert offer.startswith("window: PP red flake, 10")


def test_what_was_shown_is_accepted(desk, moved):
    shown = desk.post(address(moved), body(desk.get(address(moved)), mass="2.5", look="1"))
    token = shown.context["effect"].token
    answer = desk.post(address(moved), body(shown, accept="1", shown=token))
    head = Posting.objects.filter(kind="correct").get()
    assert answer.url == address(head, "correction-detail")
    assert (head.replaces, open_lot_in(moved.transfers.get().target.bin).held_mg) == (
        moved,
        2_500_000,
    )


def test_when_the_book_moved_the_new_effect_is_shown_and_asked_again(desk, operator, moved):
    shown = desk.post(address(moved), body(desk.get(address(moved)), mass="2.5", look="1"))
    token, fill = shown.context["effect"].token, moved.transfers.get().target
    move_lot(lot=fill, bin=BinFactory(), mass=grams(1000), act=make_act(operator))
    answer = desk.post(address(moved), body(shown, accept="1", shown=token))
    assert (answer.status_code, "book moved" in answer.content.decode()) == (422, True)
    assert answer.context["effect"].token != token
    again = desk.post(
        address(moved), body(answer, accept="1", shown=answer.context["effect"].token)
    )
    assert again.status_code == 302


def test_a_refusal_offers_the_posting_to_correct_too(desk, operator, moved):
    fill = moved.transfers.get().target
    on = move_lot(lot=fill, bin=BinFactory(), act=make_act(operator))
    answer = desk.post(address(moved), body(desk.get(address(moved)), mass="2.5", look="1"))
    assert (answer.status_code, answer.context["more"]) == (422, on)
    added = desk.post(address(moved), body(answer, add=str(on.uuid)))
    fixes = added.context["sheet"].fixes
    assert ([fix.posting for fix in fixes], fixes[1]["mass"].value()) == ([moved, on], "3")
    assert added.status_code == 200


def test_what_was_typed_stays_when_a_posting_is_added(desk, operator, moved):
    on = move_lot(lot=moved.transfers.get().target, bin=BinFactory(), act=make_act(operator))
    added = desk.post(address(moved), body(desk.get(address(moved)), mass="2.5", add=str(on.uuid)))
    assert added.context["sheet"].fixes[0]["mass"].value() == "2.5"


def test_parts_whose_claim_changes_are_shown_old_and_new(desk, loaded):
    answer = desk.post(address(loaded), body(desk.get(address(loaded)), mass="1.5", look="1"))
    effect = answer.context["effect"]
    assert {(row.before.recycled, row.after.recycled) for row in effect.parts} == {(0.5, 0.6)}
    assert (effect.claim_count, effect.passport_count) == (2, 2)
    assert "60.0" in answer.content.decode()


def test_a_refusal_begins_with_a_capital_letter(desk, loaded):
    answer = desk.post(address(loaded), body(desk.get(address(loaded)), mass="0.5", look="1"))
    (said,) = answer.context["sheet"].form.non_field_errors()
    assert said.startswith("The charge of run R-")


def test_a_new_gap_is_named_on_the_page(desk, loaded):
    shown = desk.post(address(loaded), body(desk.get(address(loaded)), mass="1.5", look="1"))
    token = shown.context["effect"].token
    assert 'name="loss"' in shown.content.decode()
    unnamed = desk.post(address(loaded), body(shown, accept="1", shown=token))
    assert (unnamed.status_code, list(unnamed.context["form"].errors)) == (422, ["loss"])
    (said,) = unnamed.context["form"].errors["loss"]
    assert said.startswith("The charge of run R-")
    assert "would miss 500 g and the scales explain only 0 mg" in said
    answer = desk.post(address(loaded), body(shown, accept="1", shown=token, loss="burnt"))
    assert answer.status_code == 302


def test_after_it_the_stale_passports_are_issued_anew_in_one_act(desk, loaded):
    shown = desk.post(address(loaded), body(desk.get(address(loaded)), mass="1.5", look="1"))
    token = shown.context["effect"].token
    answer = desk.post(address(loaded), body(shown, accept="1", shown=token, loss="burnt"))
    page = desk.get(answer.url)
    assert page.context["stale_count"] == 2
    anew = reverse("products:passport-reissue")
    form = desk.get(anew, {"after": page.context["head"].number}).context
    codes = [row.part.code for row in form["rows"]]
    key = str(form["form"]["key"].value())
    desk.post(anew, {"part": codes, "key": key, "reason": "a load was corrected"})
    assert desk.get(answer.url).context["stale_count"] == 0


@pytest.mark.parametrize(
    "change",
    [{"mass": "much"}, {"mass": "-1"}, {"target": "nowhere"}, {"key": "x"}, {"scale": "x"}],
)
def test_what_cannot_be_read_is_asked_back(desk, moved, change):
    answer = desk.post(
        address(moved), body(desk.get(address(moved)), look="1") | sent(moved, change)
    )
    assert (answer.status_code, Posting.objects.count()) == (422, 2)


def sent(posting, change):
    return {
        name if name == "key" else f"p{posting.pk}-{name}": text for name, text in change.items()
    }


def test_strange_postings_in_the_form_are_passed_over(desk, moved):
    answer = desk.post(
        address(moved), body(desk.get(address(moved)), look="1") | {"posting": ["x", "\x00"]}
    )
    assert answer.status_code == 422


def test_a_posting_that_only_follows_says_so(desk, loaded):
    closing = desk.post(address(loaded), body(desk.get(address(loaded)), mass="1.5", look="1"))
    token = closing.context["effect"].token
    desk.post(address(loaded), body(closing, accept="1", shown=token, loss="burnt"))
    page = desk.get(address(Posting.objects.get(kind="close")))
    assert "follows from other postings" in page.content.decode()


def test_the_posting_leads_to_its_correction_and_back(desk, moved):
    shown = desk.post(address(moved), body(desk.get(address(moved)), mass="2.5", look="1"))
    desk.post(address(moved), body(shown, accept="1", shown=shown.context["effect"].token))
    head = Posting.objects.get(kind="correct")
    old, new = (desk.get(posting.get_absolute_url()).content.decode() for posting in (moved, head))
    assert head.number in old
    assert (moved.number in new, address(head, "correction-detail") in new) == (True, True)


def test_only_the_lead_is_offered_a_correction(desk, floor, moved):
    page = moved.get_absolute_url()
    offered = [address(moved) in client.get(page).content.decode() for client in (desk, floor)]
    assert offered == [True, False]
