"""What stands on a label, taken from the ledger."""

import pytest
from django.utils import timezone

from inventory.actions.lots import move_lot
from inventory.calculations.codes import group_code
from inventory.models import Lot
from products.models import Design, Part
from products.queries.label_texts import codes_to_print, label_texts
from products.queries.sheets import texts_to_print
from products.queries.things import Thing, found_things, parts_of_run
from tests.factories.inventory import KG, BinFactory, make_act, make_delivery, make_full_bin
from tests.factories.workshop import DesignFactory, load, make_run, weigh_out

pytestmark = pytest.mark.django_db


def text_of(kind, code):
    (text,) = texts_to_print([Thing(kind, code)])
    return text


def joined(text):
    return " | ".join(text.lines)


@pytest.fixture
def part(run):
    return Part.objects.earliest("pk")


def test_the_address_is_that_of_the_settings_and_the_code(part, settings):
    assert text_of("part", part.code).address == f"{settings.SITE_URL}/q/{part.code}"


def test_a_part_says_design_mark_mass_day_and_run(part, run):
    text = text_of("part", part.code)
    assert (text.kind, text.title, text.mark) == ("Sheet", part.design.name, ">PE-HD<")
    assert text.mass_text == "3\u00a0kg"
    assert text.run_text == f"Run {run.number}"
    assert str(part.made_at.year) in text.date_text


def test_a_kept_piece_says_its_own_size(part):
    before = text_of("part", part.code).lines
    Part.objects.filter(pk=part.pk).update(length_um=300_000, width_um=150_500)
    size = "Piece 300\u00a0×\u00a0150.5\u00a0mm"
    assert text_of("part", part.code).lines == (size, *before)


def test_the_strip_of_a_part_shows_its_colours(part):
    strip = text_of("part", part.code).strip
    assert [(each.label, round(each.share, 3)) for each in strip] == [
        ("blue", 0.667),
        ("red", 0.333),
    ]
    assert all(each.srgb.startswith("#") for each in strip)


def test_the_strip_of_one_colour_shows_its_origin(operator):
    bin, _lot = make_full_bin(operator)
    strip = text_of("bin", bin.code).strip
    assert [(each.label, each.share, each.is_claim) for each in strip] == [
        ("post-consumer", 1, True)
    ]


def test_a_part_that_is_no_packaging_has_no_triangle(part):
    text = text_of("part", part.code)
    assert (text.resin_number, text.resin_text) == ("", "")


def test_packaging_has_the_numbered_triangle(part):
    Design.objects.update(is_packaging=True)
    text = text_of("part", part.code)
    assert (text.resin_number, text.resin_text) == ("2", "HDPE")


def test_no_triangle_stands_beside_a_promise(part):
    Design.objects.update(is_packaging=True, name="Recyclable box")
    assert text_of("part", part.code).resin_number == ""


def test_a_bag_says_how_many_pieces(operator):
    design = DesignFactory(made_by="inject", form="part", tracked="bag", nominal_mass_mg=10_000)
    run = make_run(operator, "inject", design)
    load(run, make_full_bin(operator)[1], operator)
    weigh_out(run, operator, "part", 1 * KG, pieces=100)
    text = text_of("part", Part.objects.get().code)
    assert (text.kind, text.title) == ("Bag", f"{design.name} × 100")


def test_a_bin_says_what_it_holds_as_of_today(operator):
    bin, _lot = make_full_bin(operator)
    text = text_of("bin", bin.code)
    assert (text.title, text.place_text, text.mark) == (bin.name, bin.place, ">PE-HD<")
    assert text.mass_text == "10\u00a0kg"
    assert text.date_text.startswith("as of")
    assert joined(text) == "Resin code 2 HDPE · Tare 1\u00a0kg"


def test_an_empty_bin_says_what_it_is_kept_for():
    bin = BinFactory(tare_mg=0)
    text = text_of("bin", bin.code)
    assert (text.mark, text.mass_text, text.date_text, text.strip) == ("", "", "", ())


def test_a_delivery_says_its_number_and_not_who_brought_it(operator):
    delivery = make_delivery(operator)
    text = text_of("delivery", delivery.code)
    assert (text.title, text.mass_text) == (delivery.number, "10\u00a0kg")
    assert delivery.source.name not in repr(text)


def test_unknown_plastic_has_no_mark_and_is_never_heated(operator):
    delivery = make_delivery(operator, polymer=None, identified_by="unknown")
    text = text_of("delivery", delivery.code)
    assert text.mark == ""
    assert text.lines[0] == "Unknown plastic: never heat it"


def test_many_labels_ask_as_little_as_one(operator, run, django_assert_max_num_queries):
    bins = [Thing("bin", make_full_bin(operator)[0].code) for _number in range(6)]
    things = [*bins, *parts_of_run(run.number)]
    with django_assert_max_num_queries(8):
        assert len(texts_to_print(things)) == 9


def test_a_code_yet_to_be_made_is_all_zeros(part, stick, operator):
    label = stick("part", part.code).labels.get()
    label.voided_at, label.void_reason = timezone.now(), "torn"
    label.save()
    thing = Thing("part", part.code)
    assert codes_to_print([thing]) == {thing: "0" * 12}


def test_labels_carry_the_codes_they_are_given(part):
    rows = found_things([Thing("part", part.code)])
    (text,) = label_texts(rows, dict.fromkeys(rows, "ABCDEFGHJKMN"), on=timezone.now())
    assert text.address.endswith("/q/ABCDEFGHJKMN")


def test_a_lot_that_was_moved_says_from_where_in_groups(operator):
    delivery = make_delivery(operator)
    move_lot(lot=delivery.lot, bin=BinFactory(name="B-09"), act=make_act(operator))
    moved = Lot.objects.exclude(pk=delivery.lot_id).get()
    assert text_of("lot", moved.code).run_text == f"{group_code(delivery.lot.code)} > B-09"
