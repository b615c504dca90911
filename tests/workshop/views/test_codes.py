"""Scanning."""

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.actions.postings import reverse_posting
from inventory.calculations.epcis_terms import lot_id, thing_id
from products.models import Label
from tests.factories.counts import make_round
from tests.factories.inventory import KG, BinFactory, make_act, make_delivery, make_full_bin
from tests.factories.passports import make_mixed_part
from tests.factories.workshop import load, make_run
from tests.kept import kept
from workshop.actions.runs import reopen_run
from workshop.models import Run

pytestmark = pytest.mark.django_db


@pytest.fixture
def bin(db):
    return BinFactory(name="B-07")


def test_a_code_in_the_address_opens_its_page(bin, floor):
    assert floor.get(f"/q/{bin.code}/").headers["Location"] == bin.get_absolute_url()


def test_a_typed_name_opens_its_page(bin, floor):
    assert floor.get("/q/", {"code": " b-07 "}).headers["Location"] == bin.get_absolute_url()


def test_a_scanned_address_opens_its_page(bin, floor):
    code = f"https://shop.example/q/{bin.code}"
    assert floor.get("/q/", {"code": code}).headers["Location"] == bin.get_absolute_url()


def test_an_unknown_code_is_kept_and_says_what_to_try(floor):
    answer = floor.get("/q/", {"code": "ABCDE-FG"})
    page = answer.content.decode()
    assert answer.status_code == 404
    assert 'value="ABCDE-FG"' in page
    assert "has 12 characters; this one has 7" in page


def test_markup_in_a_code_is_only_text(floor):
    page = floor.get("/q/", {"code": "<b>x</b>"}).content.decode()
    assert "<b>x</b>" not in page


def test_nothing_typed_asks_for_a_code(floor):
    assert floor.get("/q/").status_code == 200


def test_a_scan_asks_little(bin, floor, django_assert_max_num_queries):
    floor.get(f"/q/{bin.code}/")
    with django_assert_max_num_queries(5):
        floor.get(f"/q/{bin.code}/")


def test_a_new_scan_writes_only_that_it_was_the_last(bin, floor, django_assert_max_num_queries):
    with django_assert_max_num_queries(5 + 3):  # the session, within a savepoint
        floor.get(f"/q/{bin.code}/")


def test_a_bin_scanned_at_a_run_is_loaded_from(operator, floor):
    run, (bin, _lot) = make_run(operator), make_full_bin(operator)
    answer = floor.get("/q/", {"code": bin.code, "run": run.code, "stage": "load"})
    assert answer.headers["Location"] == f"/runs/{run.code}/load/?from={bin.code}"


def test_what_cannot_be_used_at_a_run_is_told(bin, operator, floor):
    run = make_run(operator)
    answer = floor.get("/q/", {"code": "B-07", "run": run.code, "stage": "load"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert f"B-07 is empty; load {run.number} from another bin." in page
    assert bin.get_absolute_url() in page
    assert run.get_absolute_url() in page


@pytest.mark.parametrize("missed", ["B-07", "no-such-bin"])
def test_after_a_scan_that_missed_the_next_one_is_for_the_same_run(missed, bin, operator, floor):
    run = make_run(operator)
    page = floor.get("/q/", {"code": missed, "run": run.code, "stage": "load"}).content.decode()
    top_bar = page.split("<main")[0]
    assert f'<input type="hidden" name="run" value="{run.code}">' in top_bar
    assert '<input type="hidden" name="stage" value="load">' in top_bar


def test_the_page_of_a_run_says_where_it_is(operator, floor):
    run = make_run(operator)
    page = floor.get(f"/runs/{run.code}/").content.decode()
    assert f'<input type="hidden" name="run" value="{run.code}">' in page
    assert '<input type="hidden" name="stage" value="load">' in page


def test_a_page_that_weighs_out_says_which_kind(operator, floor):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, KG)
    page = floor.get(f"/runs/{run.code}/yield/?kind=dust").content.decode()
    assert '<input type="hidden" name="stage" value="weigh">' in page
    assert '<input type="hidden" name="kind" value="dust">' in page


def test_a_bin_scanned_on_a_round_is_counted_on_it(bin, operator, floor):
    walk = make_round(operator)
    page = floor.get(walk.get_absolute_url()).content.decode()
    assert f'<input type="hidden" name="round" value="{walk.pk}">' in page.split("<main")[0]
    answer = floor.get("/q/", {"code": "B-07", "round": walk.pk}, follow=True)
    assert answer.redirect_chain[-1][0] == f"/bins/{bin.code}/count/?round={walk.pk}"
    assert answer.status_code == 200


def test_a_bin_scanned_among_the_counts_is_counted(bin, floor):
    page = floor.get("/counts/").content.decode()
    assert '<input type="hidden" name="task" value="count">' in page
    answer = floor.get("/q/", {"code": "B-07", "task": "count"}, follow=True)
    assert answer.redirect_chain[-1][0] == f"/bins/{bin.code}/count/"
    assert answer.status_code == 200


def test_a_foreign_address_is_told_and_never_followed(floor):
    answer = floor.get("/q/", {"code": "https://elsewhere.example/offer"})
    page = answer.content.decode()
    assert answer.status_code == 404
    assert "leads to elsewhere.example" in page
    assert 'href="https://elsewhere' not in page


def test_the_password_in_a_code_is_not_shown_again(floor):
    answer = floor.get("/q/", {"code": "WIFI:S:shed;T:WPA;P:secret;;"})
    assert answer.status_code == 404
    assert "signs a telephone in" in answer.content.decode()
    assert "secret" not in answer.content.decode()


@pytest.mark.parametrize("text", ["\x00", "\ud800", "%00", "x" * 5000, "http://[", "\u202e"])
def test_no_text_is_a_fault(text, floor, client):
    for each in (floor, client):
        assert each.get("/q/", {"code": text.encode("utf-8", "replace")}).status_code in {200, 404}


def make_label(thing, kind, by=None, **fields):
    """Return a label of a thing, void when somebody voided it."""
    if by:
        fields |= {"voided_at": timezone.now(), "voided_by": by, "void_reason": "scratched"}
    return Label.objects.create(
        **({"code": thing.code} | fields), thing=kind, thing_code=thing.code, made_at=timezone.now()
    )


@pytest.fixture
@kept
def part(operator):
    return make_mixed_part(operator)


def test_anyone_reads_the_passport_of_a_part_where_it_is_scanned(part, client):
    answer = client.get(f"/q/{part.code}", follow=True)
    assert answer.status_code == 200
    assert part.design.name in answer.content.decode()
    assert "70 % recycled material" in answer.content.decode()


def test_staff_are_led_to_the_working_page_of_a_part(part, floor):
    assert floor.get(f"/q/{part.code}/").headers["Location"] == part.get_absolute_url()


def test_staff_read_the_passport_when_they_ask_for_a_version(part, floor):
    assert "70 % recycled material" in floor.get(f"/q/{part.code}/?version=1").content.decode()


def test_a_login_without_a_role_is_a_stranger(part, client, django_user_model):
    client.force_login(
        django_user_model.objects.create_user("roleless"),
        backend="workshop.backends.PasswordBackend",
    )
    assert "70 % recycled material" in client.get(f"/q/{part.code}/").content.decode()


def test_anyone_learns_of_a_bin_only_that_it_is_one(bin, client):
    answer = client.get(f"/q/{bin.code}/")
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "the label of a bin" in page
    assert f"{reverse('login')}?next=" in page
    assert "B-07" not in page


def test_anyone_learns_of_a_delivery_only_that_it_is_plastic(operator, client):
    delivery = make_delivery(operator)
    page = client.get(f"/q/{delivery.code}/").content.decode()
    assert "the label of a lot of plastic" in page
    assert delivery.source.name not in page


def test_anyone_learns_of_a_run_only_that_it_is_one(operator, client):
    run = make_run(operator)
    page = client.get(f"/q/{run.code}/").content.decode()
    assert "the label of a run" in page
    assert run.number not in page


@pytest.mark.parametrize("guess", ["B-07", "b07", "R-0001", "D-0001", "P-00001", "0" * 12, "x"])
def test_names_and_numbers_tell_a_stranger_nothing(guess, bin, part, client):
    answer = client.get(f"/q/{guess}/")
    assert answer.status_code == 404
    assert "Nothing here has this code" in answer.content.decode()


def test_a_stranger_who_types_nothing_may_type(client):
    answer = client.get("/q/")
    assert answer.status_code == 200
    assert 'name="code"' in answer.content.decode()


def test_a_stranger_may_type_a_code_in_groups(part, client):
    typed = f"{part.code[:4]} {part.code[4:8]}-{part.code[8:].lower()}"
    assert part.design.name in client.get("/q/", {"code": typed}).content.decode()


def test_markup_in_a_strangers_code_is_only_text(client):
    assert "<b>x</b>" not in client.get("/q/", {"code": "<b>x</b>"}).content.decode()


def test_a_void_label_says_so_to_anyone(part, operator, client):
    make_label(part, "part", operator)
    answer = client.get(f"/q/{part.code}/")
    assert answer.status_code == 410
    assert "scratched" not in answer.content.decode()
    assert part.design.name not in answer.content.decode()


def test_a_void_label_leads_staff_to_its_thing_and_its_new_label(part, operator, floor):
    newer = make_label(part, "part", code="ABCD10GHJKMN")
    make_label(part, "part", operator, replaced_by=newer)
    answer = floor.get(f"/q/{part.code}/")
    page = answer.content.decode()
    assert answer.status_code == 410
    assert part.get_absolute_url() in page
    assert reverse("scan-code", args=[newer.code]) in page
    assert "scratched" in page


def test_a_new_label_leads_where_the_old_one_led(part, operator, floor, client):
    make_label(part, "part", operator)
    newer = make_label(part, "part", code="ABCD10GHJKMN")
    assert floor.get(f"/q/{newer.code}/").headers["Location"] == part.get_absolute_url()
    assert "70 % recycled material" in client.get(f"/q/{newer.code}/").content.decode()


def test_a_part_whose_making_was_undone_is_gone(part, lead, client):
    reopen_run(run=Run.objects.get(), act=make_act(lead, "miscounted"))
    reverse_posting(posting=part.made_in, act=make_act(lead, "miscounted"))
    assert client.get(f"/q/{part.code}/").status_code == 410


@pytest.mark.parametrize("guess", ["", "0000"])
def test_nothing_a_stranger_missed_may_be_kept(guess, client):
    assert client.get("/q/", {"code": guess}).headers["Cache-Control"] == "no-store"


def test_where_staff_are_led_may_not_be_kept(part, floor):
    assert floor.get(f"/q/{part.code}/").headers["Cache-Control"] == "no-store"


def test_a_code_is_read_and_nothing_else(part, client):
    assert client.post(f"/q/{part.code}/").status_code == 405


def test_the_id_that_an_export_gives_leads_to_what_it_is_of(
    floor, client, part, operator, settings
):
    _bin, lot = make_full_bin(operator)
    for made in (lot_id(settings.SITE_URL, lot.code), thing_id(settings.SITE_URL, part.code)):
        answer = floor.get(made.removeprefix(settings.SITE_URL), follow=True)
        assert answer.status_code == 200
        assert made[-12:] in answer.redirect_chain[-1][0]
    public = client.get(f"/obj/{part.code}", follow=True)
    assert f"/q/{part.code}/?version=1" in public.content.decode()


def test_an_id_of_nothing_is_nothing(floor):
    assert floor.get("/class/000000000000", follow=True).status_code == 404
