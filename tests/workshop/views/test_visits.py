"""The pages of a visit: two taps a person, a label that keeps no name, one settlement."""

import re
from uuid import uuid4

import pytest
from django.apps import apps
from django.db import connection
from django.test import Client

from inventory.actions.lots import move_lot
from inventory.models import Bin, Lot
from inventory.queries.lots import open_lot_in
from inventory.templatetags.quantities import mass
from products.models import Part
from tests.factories.inventory import KG, BinFactory, make_act, make_full_bin
from tests.factories.visits import (
    drawn_of,
    make_token_design,
    make_visit,
    settle,
    visit_with_pieces,
)
from tests.factories.workshop import MachineFactory
from workshop.models import Piece, Visit

pytestmark = pytest.mark.django_db
NAME = "Quillon"


@pytest.fixture
def tablet(client, operator):
    client.force_login(operator)
    return client


def post(tablet, path, **fields):
    return tablet.post(path, {"key": str(uuid4()), **fields})


def everything_stored() -> str:
    with connection.cursor() as cursor:
        rows = []
        for table in connection.introspection.table_names():
            cursor.execute(f'SELECT * FROM "{table}"')  # noqa: S608
            rows += cursor.fetchall()
    return str(rows)


def test_a_visit_is_started_by_design_and_machine(tablet):
    design, machine = make_token_design(), MachineFactory(kind="injection")
    answer = post(tablet, "/visits/new/", design=design.pk, machine=machine.pk)
    assert answer.status_code == 302
    assert Visit.objects.get().design == design


def test_two_taps_make_a_piece_without_script(tablet, operator):
    _bin, lot = make_full_bin(operator)
    visit = make_visit(operator)
    post(tablet, f"/visits/{visit.pk}/pieces/", lot=lot.code)
    post(tablet, f"/visits/{visit.pk}/pieces/end/")
    assert Piece.objects.made().count() == 1


def test_a_refused_tap_is_answered_422_in_a_sentence(tablet, operator):
    visit = make_visit(operator)
    answer = post(tablet, f"/visits/{visit.pk}/pieces/end/")
    assert answer.status_code == 422
    assert "No piece is being made" in answer.content.decode()


def test_swatches_show_what_is_in_stock_and_what_needs_a_purge_first(tablet, operator):
    visit, lot = visit_with_pieces(operator, 1)
    _bin, other = make_full_bin(operator, polymer="PP", colour="white")
    text = tablet.get(f"/visits/{visit.pk}/").content.decode()
    assert f'value="{lot.code}"' in text
    assert f'value="{other.code}"' not in text
    assert "Purge PE-HD first" in text


@pytest.mark.parametrize("kind", ["pdf", "png"])
def test_a_name_goes_onto_the_label_and_into_no_table(tablet, operator, kind):
    visit, lot = visit_with_pieces(operator, 1)
    code = visit.pieces.get().code
    answer = tablet.post(f"/visits/{visit.pk}/pieces/{code}/label/", {"name": NAME, "as": kind})
    settle(visit, operator, drawn_of(lot, 20_000))
    assert answer.status_code == 200
    assert answer.content[:4] in {b"%PDF", b"\x89PNG"}
    assert answer["Cache-Control"] == "no-store"
    assert NAME not in everything_stored()
    assert apps.get_model("workshop", "Piece").objects.count() == 1


def test_a_name_changes_the_label(tablet, operator):
    visit, _lot = visit_with_pieces(operator, 1)
    url = f"/visits/{visit.pk}/pieces/{visit.pieces.get().code}/label/"
    named = tablet.post(url, {"name": NAME, "as": "png"}).content
    assert named != tablet.post(url, {"name": "", "as": "png"}).content


def test_a_name_is_never_part_of_an_address(tablet, operator):
    visit, _lot = visit_with_pieces(operator, 1)
    answer = tablet.get(f"/visits/{visit.pk}/pieces/{visit.pieces.get().code}/label/?name={NAME}")
    assert answer.status_code == 302


def test_staff_who_scan_a_piece_are_told_that_its_masses_are_not_settled(tablet, operator):
    visit, _lot = visit_with_pieces(operator, 1)
    answer = tablet.get(f"/q/{visit.pieces.get().code}/", follow=True)
    assert "its masses are not settled yet" in answer.content.decode()


def test_a_stranger_who_scans_a_piece_sees_a_plain_page(operator):
    visit, _lot = visit_with_pieces(operator, 1)
    answer = Client().get(f"/q/{visit.pieces.get().code}/")
    assert answer.status_code == 200
    assert "Scan again tomorrow" in answer.content.decode()
    assert visit.number not in answer.content.decode()


def test_after_settling_the_code_leads_to_the_passport(operator):
    visit, lot = visit_with_pieces(operator, 1)
    settle(visit, operator, drawn_of(lot, 20_000))
    answer = Client().get(f"/q/{visit.pieces.get().code}/")
    assert "PE-HD" in answer.content.decode()


def settle_fields(lot, mass, **more):
    fields = {"way": "afterwards", "mass": mass, "tare": "1 kg"} | more
    return {f"{lot.code}-{name}": value for name, value in fields.items()}


def test_masses_are_settled_from_the_bin_weighed_afterwards(tablet, operator):
    visit, lot = visit_with_pieces(operator, 3)
    answer = post(tablet, f"/visits/{visit.pk}/settle/", **settle_fields(lot, "10.94"))
    assert answer.status_code == 302
    assert sum(Part.objects.values_list("lot__in_mg", flat=True)) == 60_000


def test_the_unit_is_chosen_beside_the_mass_and_remembered(tablet, operator):
    visit, lot = visit_with_pieces(operator, 3)
    later, other = visit_with_pieces(operator, 1)
    (form, _count), *_more = tablet.get(f"/visits/{visit.pk}/settle/").context["bins"]
    assert form["unit"].value() == "kg"
    typed = settle_fields(lot, "10940", unit="g")
    assert post(tablet, f"/visits/{visit.pk}/settle/", **typed).status_code == 302
    assert sum(Part.objects.values_list("lot__in_mg", flat=True)) == 60_000
    (form, _count), *_more = tablet.get(f"/visits/{later.pk}/settle/").context["bins"]
    assert (form["unit"].value(), form["tare"].value()) == ("g", "1 kg")


@pytest.mark.parametrize("what", ["settle", "abandon"])
def test_a_visit_that_is_over_asks_for_nothing_more(tablet, operator, what):
    visit, lot = visit_with_pieces(operator, 1)
    settle(visit, operator, drawn_of(lot, 20_000))
    answer = tablet.get(f"/visits/{visit.pk}/{what}/")
    assert answer.headers["Location"] == f"/visits/{visit.pk}/"


def test_each_bin_is_named_with_its_place_and_what_it_holds(
    tablet, operator, django_assert_max_num_queries
):
    visit, lot = visit_with_pieces(operator, 1)
    Bin.objects.filter(pk=lot.bin_id).update(place="rack 3")
    other, _lot = make_full_bin(operator, polymer="PP", colour="red")
    other.place = "window"
    other.save()
    with django_assert_max_num_queries(24):
        text = tablet.get(f"/visits/{visit.pk}/settle/").content.decode()
    (card,) = re.findall(r'<section class="card">.*?</section>', text, re.DOTALL)[:1]
    assert all(said in card for said in (lot.bin.name, "rack 3", "PE-HD", "blue"))
    offer = re.search(rf'<option value="{other.name}">([^<]*)<', text)[1].replace("\xa0", " ")
    assert offer.startswith("window: PP red flake, 10")


def test_an_impossible_reading_is_refused_and_keeps_what_was_typed(tablet, operator):
    visit, lot = visit_with_pieces(operator, 3)
    answer = post(tablet, f"/visits/{visit.pk}/settle/", **settle_fields(lot, "12.5"))
    text = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="12.5"' in text
    assert lot.bin.name in text
    assert lot.held_mg == 10 * KG


def test_an_empty_form_settles_nothing(tablet, operator):
    visit, _lot = visit_with_pieces(operator)
    assert tablet.post(f"/visits/{visit.pk}/settle/").status_code == 422
    visit.refresh_from_db()
    assert visit.ended_at is None


def test_the_bin_that_holds_such_offcuts_already_is_suggested(tablet, operator):
    visit, _lot = visit_with_pieces(operator, 1)
    kept, _offcuts = make_full_bin(operator, form="offcut", bin_fields={"name": "C-07"})
    make_full_bin(operator, polymer="PP", form="offcut", bin_fields={"name": "C-08"})
    (form, _count), *_more = tablet.get(f"/visits/{visit.pk}/settle/").context["bins"]
    assert form["offcut_bin"].value() == kept.name


def test_a_suggested_bin_takes_nothing_where_no_offcuts_were_weighed(tablet, operator):
    visit, lot = visit_with_pieces(operator, 3)
    kept, _offcuts = make_full_bin(operator, form="offcut", bin_fields={"name": "C-07"})
    typed = settle_fields(lot, "10.94", offcut_bin=kept.name)
    assert post(tablet, f"/visits/{visit.pk}/settle/", **typed).status_code == 302
    assert open_lot_in(kept).held_mg == 10 * KG


def test_offcuts_go_into_the_suggested_bin(tablet, operator):
    visit, lot = visit_with_pieces(operator, 3)
    kept, _offcuts = make_full_bin(operator, form="offcut", bin_fields={"name": "C-07"})
    typed = settle_fields(lot, "10.92", offcut="20", offcut_bin=kept.name)
    assert post(tablet, f"/visits/{visit.pk}/settle/", **typed).status_code == 302
    assert open_lot_in(kept).held_mg == 10 * KG + 20_000


def test_a_bin_that_was_emptied_meanwhile_says_so_before_anybody_weighs(tablet, operator):
    visit, lot = visit_with_pieces(operator, 1)
    Lot.objects.update(spoken_for_mg=None)  # as in visits begun before bins kept mass for pieces
    move_lot(lot=lot, bin=BinFactory(), act=make_act(operator))
    assert "was moved since" in tablet.get(f"/visits/{visit.pk}/settle/").content.decode()


def test_a_visit_that_is_over_lists_every_piece_and_its_mass(tablet, operator):
    visit, lot = visit_with_pieces(operator, 8)
    settle(visit, operator, drawn_of(lot, 160_000))
    text = tablet.get(f"/visits/{visit.pk}/").content.decode()
    assert text.count(mass(20_000)) == 8
    assert "This piece" not in text


def test_a_visit_is_abandoned_from_its_page(tablet, operator):
    visit, _lot = visit_with_pieces(operator, 1)
    post(tablet, f"/visits/{visit.pk}/abandon/", reason="power cut")
    assert Visit.objects.get().state == "abandoned"


@pytest.mark.parametrize("path", ["", "new/", "{pk}/", "{pk}/settle/", "{pk}/abandon/"])
def test_every_page_opens(tablet, operator, path):
    visit, _lot = visit_with_pieces(operator, 2)
    assert tablet.get("/visits/" + path.format(pk=visit.pk)).status_code == 200
