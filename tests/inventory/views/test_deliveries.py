"""Deliveries: their list, the form at the gate, the page and the photo of each."""

from datetime import date
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from inventory.actions.lots import dispose_lot
from inventory.models import Delivery, Hold
from inventory.queries.lots import open_lot_in
from tests.factories.costs import set_euro
from tests.factories.inventory import (
    KG,
    BinFactory,
    ScaleFactory,
    SourceFactory,
    make_act,
    make_delivery,
    make_full_bin,
)

LIST_QUERIES = 10


def typed(key, **changes):
    """What the form sends for 10 kg of blue PE-HD flake, but for what is changed."""
    fields = {
        "key": key,
        "decision": "accept",
        "source": changes.pop("source", None) or SourceFactory(name="Harbour school").pk,
        "delivered_on": "2026-03-02",
        "net": "10",
        "polymer": "PE-HD",
        "identified_by": "mark",
        "colour": "blue",
        "form": "flake",
        "origin_class": "post-consumer",
        "condition": "clean",
    }
    return fields | changes


def send(client, fields):
    return client.post(reverse("inventory:delivery-create"), fields, follow=True)


def picture(kind="JPEG", size=(40, 20)) -> SimpleUploadedFile:
    out = BytesIO()
    Image.new("RGB", size, "teal").save(out, kind)
    return SimpleUploadedFile("photo.jpg", out.getvalue(), content_type="image/jpeg")


def test_an_accepted_delivery_becomes_a_lot_on_the_floor(floor, key):
    answer = send(floor, typed(key))
    delivery = Delivery.objects.get()
    assert answer.redirect_chain[0][0] == delivery.get_absolute_url()
    assert (delivery.lot.held_mg, delivery.lot.bin) == (10 * KG, None)
    assert f"10.000\xa0kg from Harbour school received as {delivery.number}." in (
        answer.content.decode()
    )


def test_a_delivery_goes_straight_into_a_bin(floor, key):
    bin = BinFactory(name="B-07")
    send(floor, typed(key, bin="b-07"))
    assert open_lot_in(bin).held_mg == 10 * KG


def test_gross_and_tare_give_the_net(floor, key):
    scale = ScaleFactory()
    send(floor, typed(key, net="", gross="12.5", tare="1.5", scale=scale.pk))
    delivery = Delivery.objects.get()
    assert (delivery.net_mg, delivery.gross_mg, delivery.tare_mg) == (
        11 * KG,
        12_500_000,
        1_500_000,
    )
    assert delivery.scale == scale


@pytest.mark.parametrize(
    ("masses", "field"),
    [({"net": ""}, "net"), ({"gross": "12"}, "tare"), ({"tare": "1"}, "gross")],
)
def test_incomplete_weighings_are_asked_for_again(floor, key, masses, field):
    answer = send(floor, typed(key, **masses))
    assert answer.status_code == 422
    assert answer.context["form"].has_error(field)
    assert not Delivery.objects.exists()


@pytest.mark.parametrize("tare", ["abc", "-1", "1e30"])
def test_a_tare_that_is_none_is_marked_and_what_was_typed_stays(floor, key, tare):
    answer = send(floor, typed(key, net="", gross="10", tare=tare, former_use="bottle caps"))
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {"tare"}
    assert 'value="bottle caps"' in answer.content.decode()
    assert not Delivery.objects.exists()


def test_a_tare_of_nothing_says_that_the_scale_was_tared(floor, key):
    send(floor, typed(key, net="", gross="10", tare="0"))
    delivery = Delivery.objects.get()
    assert (delivery.net_mg, delivery.gross_mg, delivery.tare_mg) == (10 * KG, 10 * KG, 0)


def test_the_bins_are_offered_with_what_they_hold(floor, operator):
    make_full_bin(operator, bin_fields={"name": "B-01", "capacity_mg": 60 * KG})
    text = floor.get(reverse("inventory:delivery-create")).content.decode()
    assert '<option value="B-01">PE-HD blue flake, 10.000 kg of 60.000 kg</option>' in text


def test_a_refused_bin_is_marked_and_those_that_fit_are_named(floor, operator, key):
    make_full_bin(operator, polymer="PP", bin_fields={"name": "B-01"})
    make_full_bin(operator, bin_fields={"name": "B-02", "capacity_mg": 60 * KG})
    answer = send(floor, typed(key, bin="B-01"))
    assert answer.status_code == 422
    assert answer.context["form"].has_error("bin", "polymer-mismatch")
    text = answer.content.decode()
    assert "<strong>B-02</strong>: PE-HD blue flake, 10.000 kg of 60.000 kg" in text
    assert "<strong>B-01</strong>" not in text


def test_where_no_bin_fits_the_floor_is_named(floor, operator, key):
    make_full_bin(operator, polymer="PP", bin_fields={"name": "B-01"})
    assert "it stays on the floor until" in send(floor, typed(key, bin="B-01")).content.decode()


def test_the_page_says_into_which_bin_it_went(floor, operator, key):
    bin, _lot = make_full_bin(operator, bin_fields={"name": "E-30", "capacity_mg": 60 * KG})
    text = " ".join(send(floor, typed(key, bin="E-30")).content.decode().split())
    link = f'<a href="{bin.get_absolute_url()}">E-30</a>'
    assert f"<p>10 kg in bin {link} since " in text
    assert "Nothing of it is left" not in text


def test_a_net_that_contradicts_gross_and_tare_is_refused(floor, key):
    answer = send(floor, typed(key, net="9", gross="12", tare="2"))
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "net")
    assert not Delivery.objects.exists()


def test_a_trade_spelling_is_corrected_and_said(floor, key):
    answer = send(floor, typed(key, polymer="HDPE"))
    assert Delivery.objects.get().polymer.symbol == "PE-HD"
    assert "HDPE is written PE-HD." in answer.content.decode()


def test_a_refused_form_keeps_what_was_typed_and_shows_the_correction(floor, key):
    answer = send(floor, typed(key, polymer="HDPE", net="", former_use="bottle caps"))
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "HDPE is written PE-HD." in text
    assert 'value="PE-HD"' in text
    assert 'value="bottle caps"' in text


def test_an_unheard_polymer_is_refused_with_a_sentence(floor, key):
    answer = send(floor, typed(key, polymer="wonderstuff"))
    assert answer.status_code == 422
    assert answer.context["form"].has_error("polymer", "no-polymer")
    assert "No polymer is called wonderstuff" in answer.content.decode()


def test_an_unknown_polymer_goes_on_hold(floor, key):
    send(floor, typed(key, polymer="", identified_by="unknown"))
    assert Hold.objects.get().lot == Delivery.objects.get().lot


def test_a_polymer_that_nobody_told_is_refused(floor, key):
    answer = send(floor, typed(key, identified_by="unknown"))
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "identity")
    assert not Delivery.objects.exists()


def test_a_bin_that_does_not_fit_refuses_the_whole_delivery(floor, operator, key):
    bin, lot = make_full_bin(operator, polymer="PP")
    answer = send(floor, typed(key, bin=bin.name))
    assert answer.status_code == 422
    assert answer.context["form"].has_error("bin", "polymer-mismatch")
    assert Delivery.objects.count() == 1
    assert open_lot_in(bin).held_mg == lot.held_mg


def test_a_delivery_is_refused_with_a_reason(floor, key):
    answer = send(floor, typed(key, decision="refuse", reason="smells of solvent"))
    delivery = Delivery.objects.get()
    assert (delivery.lot, delivery.refusal) == (None, "smells of solvent")
    assert "smells of solvent" in answer.content.decode()


def test_a_delivery_is_not_refused_without_a_reason(floor, key):
    answer = send(floor, typed(key, decision="refuse"))
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "reason")
    assert not Delivery.objects.exists()


def test_a_second_tap_receives_nothing_more(floor, key):
    source = SourceFactory().pk
    send(floor, typed(key, source=source))
    send(floor, typed(key, source=source))
    assert Delivery.objects.count() == 1


def test_an_auditor_receives_nothing(reader, key):
    assert send(reader, typed(key)).status_code == 403


def test_a_photo_is_kept_and_shown_to_people_with_a_login(floor, key):
    send(floor, typed(key, photo=picture()))
    address = reverse("inventory:delivery-photo", args=[Delivery.objects.get().code])
    answer = floor.get(address)
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer["Content-Security-Policy"]
    assert Image.open(BytesIO(b"".join(answer.streaming_content))).size == (40, 20)


def test_a_photo_is_not_shown_without_a_login(floor, key):
    send(floor, typed(key, photo=picture()))
    address = reverse("inventory:delivery-photo", args=[Delivery.objects.get().code])
    assert Client().get(address).url.startswith(reverse("login"))


def test_a_delivery_without_a_photo_has_none_to_show(floor, operator):
    delivery = make_delivery(operator)
    address = reverse("inventory:delivery-photo", args=[delivery.code])
    assert floor.get(address).status_code == 404


def test_a_bad_photo_refuses_the_form_and_loses_nothing_typed(floor, key):
    fake = SimpleUploadedFile("photo.jpg", b"<script>alert(1)</script>", "image/jpeg")
    answer = send(floor, typed(key, former_use="crates", photo=fake))
    assert answer.status_code == 422
    assert answer.context["form"].has_error("photo", "photo-kind")
    assert 'value="crates"' in answer.content.decode()
    assert not Delivery.objects.exists()


def test_a_good_photo_is_asked_for_again_when_the_rest_is_refused(floor, key):
    answer = send(floor, typed(key, bin="", decision="refuse", photo=picture()))
    assert answer.status_code == 422
    assert answer.context["form"].has_error("__all__", "reason")
    assert answer.context["form"].has_error("photo")


@pytest.mark.parametrize(
    ("query", "count"),
    [
        ({}, 2),
        ({"source": "Mill"}, 1),
        ({"polymer": "PP"}, 1),
        ({"colour": "blue"}, 1),
        ({"origin_class": "virgin"}, 1),
        ({"condition": "contaminated"}, 1),
        ({"state": "accepted"}, 2),
        ({"state": "refused"}, 0),
        ({"state": "floor"}, 2),
        ({"since": "2026-04-01"}, 1),
        ({"until": "2026-04-01"}, 1),
        ({"q": "L-77"}, 1),
        ({"sort": "-net"}, 2),
    ],
)
def test_deliveries_are_found(floor, operator, query, count):
    make_delivery(operator)
    make_delivery(
        operator,
        source=SourceFactory(name="Mill"),
        polymer="PP",
        colour="red",
        origin_class="virgin",
        condition="contaminated",
        delivered_on=date(2026, 5, 1),
        supplier_lot="L-77",
    )
    page = floor.get(reverse("inventory:delivery-list"), query).context["page"]
    assert len(page) == count


def test_a_delivery_is_found_by_its_number(floor, operator):
    make_delivery(operator)
    wanted = make_delivery(operator)
    page = floor.get(reverse("inventory:delivery-list"), {"q": wanted.number}).context["page"]
    assert list(page) == [wanted]


def test_the_list_keeps_to_its_queries(floor, operator, django_assert_max_num_queries):
    fresh = [make_delivery(operator) for _ in range(5)]
    with django_assert_max_num_queries(LIST_QUERIES):
        answer = floor.get(reverse("inventory:delivery-list"))
    assert len(answer.context["page"]) == len(fresh)


def test_a_contaminated_delivery_warns_on_its_page(floor, operator):
    delivery = make_delivery(operator, condition="contaminated")
    assert "wear gloves" in floor.get(delivery.get_absolute_url()).content.decode()


def test_a_price_comes_with_the_form(floor, lead, key):
    set_euro(lead)
    assert "EUR" in floor.get(reverse("inventory:delivery-create")).content.decode()
    send(floor, typed(key, per_kg="0,35"))
    assert str(Delivery.objects.get().prices.get()) == f"{Delivery.objects.get()}: 0.3500 EUR"


def test_without_a_currency_no_price_is_asked_and_one_that_is_sent_is_refused(floor, key):
    assert "per_kg" not in floor.get(reverse("inventory:delivery-create")).content.decode()
    answer = send(floor, typed(key, per_kg="0.35"))
    assert answer.status_code == 422
    assert 'value="0.35"' in answer.content.decode()
    assert not Delivery.objects.exists()


def test_grams_where_the_source_brings_kilograms_are_asked_back_and_accepted_by_one_tap(
    floor, operator, key
):
    source = SourceFactory(name="Cap round")
    for _number in range(3):
        make_delivery(operator, source=source)
    fields = typed(key, source=source.pk, net="10 g", note="in a jar")
    asked = floor.post(reverse("inventory:delivery-create"), fields)
    form = asked.context["form"]
    assert (asked.status_code, Delivery.objects.count()) == (422, 3)
    assert form.has_error("__all__", "surprising")
    assert (form["net"].value(), form["note"].value()) == ("10 g", "in a jar")
    page = asked.content.decode().replace("\xa0", " ")
    assert "usually brings (10 kg) is about 1000 times that" in page
    assert "Yes, 10 g is right" in page
    del fields["decision"]
    other = fields | {"net": "11 g", "confirmed": form.asked_token}
    assert send(floor, other).status_code == 422  # it is confirmed for that figure only
    send(floor, fields | {"confirmed": form.asked_token})
    assert Delivery.objects.latest("pk").net_mg == 10_000


def test_what_is_turned_away_is_not_asked_back(desk, operator, key):
    source = SourceFactory()
    for _number in range(3):
        make_delivery(operator, source=source)
    fields = typed(key, source=source.pk, net="10 g", decision="refuse", reason="one cap")
    send(desk, fields)
    assert Delivery.objects.latest("pk").refusal == "one cap"


def test_a_delivery_that_was_used_up_says_so_and_names_no_bin(floor, operator):
    bin, lot = make_full_bin(operator)
    dispose_lot(lot=lot, act=make_act(operator, "spoilt"))
    page = floor.get(lot.delivery.get_absolute_url()).content.decode()
    assert "Nothing of it is left as it came." in page
    assert "of it are left" not in page
