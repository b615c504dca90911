"""Pages of designs."""

import pytest
from django.urls import reverse

from inventory.models import Polymer
from products.models import Design, Part
from products.queries.designs import design_list
from tests.factories.inventory import KG, make_full_bin, polymer
from tests.factories.workshop import DesignFactory, load, make_part, make_run

pytestmark = pytest.mark.django_db
LIST = reverse("products:product-list")
CREATE = reverse("products:design-create")


@pytest.fixture
def typed(key):
    return {
        "key": key,
        "name": "Clip",
        "made_by": "inject",
        "form": "part",
        "tracked": "bag",
        "nominal_mass_mg": "8 g",
        "pieces_per_cycle": "4",
        "polymers": [polymer("PP").pk],
    }


@pytest.fixture
def design(db):
    return DesignFactory(name="Sheet", thickness_mm=12)


def act_url(design, name):
    return reverse(f"products:design-{name}", args=[design.pk])


def test_the_list_filters_by_name_and_way_of_making(design, floor):
    DesignFactory(name="Clip", made_by="inject")
    answer = floor.get(LIST, {"q": "cl", "made_by": "inject"})
    assert [row.name for row in answer.context["page"]] == ["Clip"]


def test_the_list_filters_by_polymer(design, floor):
    design.polymers.set([polymer("PP")])
    DesignFactory(name="Clip")
    answer = floor.get(LIST, {"polymer": "PP"})
    assert list(answer.context["page"]) == [design]


def test_the_list_sorts_by_mass(design, floor):
    DesignFactory(name="Clip", nominal_mass_mg=8_000)
    answer = floor.get(LIST, {"sort": "mass"})
    assert [row.name for row in answer.context["page"]] == ["Clip", "Sheet"]


def test_the_list_asks_the_same_however_many_designs(floor, django_assert_max_num_queries):
    DesignFactory.create_batch(12)
    with django_assert_max_num_queries(9):
        floor.get(LIST)


def test_the_lead_adds_a_design(desk, typed):
    answer = desk.post(CREATE, typed)
    design = Design.objects.get()
    assert answer.headers["Location"] == design.get_absolute_url()
    assert (design.nominal_mass_mg, design.tracked) == (8_000, "bag")
    assert list(design.polymers.all()) == [polymer("PP")]


def test_a_design_without_mass_is_refused_as_typed(desk, typed):
    answer = desk.post(CREATE, typed | {"nominal_mass_mg": ""})
    assert answer.status_code == 422
    assert 'value="Clip"' in answer.content.decode()
    assert not Design.objects.exists()


def test_a_name_that_is_taken_is_refused(design, desk, typed):
    answer = desk.post(CREATE, typed | {"name": "sheet"})
    assert answer.status_code == 422
    assert "choose another name" in answer.content.decode()
    assert Design.objects.count() == 1


def test_the_form_of_a_design_shows_what_is_written(design, desk):
    page = desk.get(act_url(design, "edit")).content.decode()
    assert 'value="Sheet"' in page
    assert 'value="4"' in page


def test_the_lead_changes_a_design(design, desk, typed):
    desk.post(act_url(design, "edit"), typed)
    design.refresh_from_db()
    assert design.name == "Clip"


def test_an_unusually_thin_sheet_is_said_and_not_refused(desk, typed):
    sent = typed | {"made_by": "press", "form": "sheet", "thickness_mm": "4"}
    answer = desk.post(CREATE, sent, follow=True)
    assert Design.objects.exists()
    assert "usually 6 to 30 mm thick" in answer.content.decode()


def test_a_usual_sheet_passes_without_a_word(design, floor):
    assert "usually 6 to 30 mm" not in floor.get(design.get_absolute_url()).content.decode()


def test_a_polymer_that_is_never_worked_is_not_offered(desk):
    form = desk.get(CREATE).context["form"]
    rejected = Polymer.objects.filter(is_rejected=True)
    assert rejected
    assert not form.fields["polymers"].queryset & rejected


def test_the_lead_withdraws_a_design(design, desk, key):
    desk.post(act_url(design, "withdraw"), {"key": key})
    design.refresh_from_db()
    assert design.withdrawn_at


def test_an_operator_changes_no_design(design, floor, typed):
    assert floor.post(CREATE, typed).status_code == 403
    assert floor.post(act_url(design, "edit"), typed).status_code == 403
    assert floor.post(act_url(design, "withdraw"), typed).status_code == 403
    assert Design.objects.get().name == "Sheet"


def test_no_load_rating_is_promised(desk):
    assert "no load rating" in desk.get(CREATE).content.decode()


SHEET = {"made_by": "press", "form": "sheet", "length_mm": "600,5", "width_mm": "500"}


def test_a_sheet_has_a_usual_size_that_its_page_and_form_show(desk, typed):
    answer = desk.post(CREATE, typed | SHEET, follow=True)
    assert "600.5\xa0×\xa0500\xa0mm" in answer.content.decode()
    form = desk.get(act_url(Design.objects.get(), "edit")).content.decode()
    assert 'value="600.5"' in form


@pytest.mark.parametrize(
    ("wrong", "at"),
    [
        ({"width_mm": ""}, "width_mm"),
        ({"length_mm": "-1"}, "length_mm"),
        ({"form": "part"}, "length_mm"),
    ],
)
def test_half_a_size_or_one_of_no_sheet_is_refused_at_its_box(desk, typed, wrong, at):
    answer = desk.post(CREATE, typed | SHEET | wrong)
    assert answer.status_code == 422
    assert answer.context["form"].errors[at]
    assert not Design.objects.exists()


def test_bags_in_stock_are_told_with_their_pieces(floor, operator):
    """By hand: of a bag of 30 of 10 g, 100 g are gone: 20 are left, and 12 in the other."""
    lot = make_full_bin(operator)[1]
    hook = DesignFactory(name="Hook", tracked="bag")
    full, other = (make_part(operator, lot, mg, hook) for mg in (300_000, 120_000))
    Part.objects.filter(pk=full.pk).update(pieces=30)
    Part.objects.filter(pk=other.pk).update(pieces=12)
    load(make_run(operator, "granulate"), full.lot, operator, pieces=10)
    page = floor.get(hook.get_absolute_url()).content.decode()
    assert "Pieces in stock" in page
    assert "in 2 bags" in page
    assert design_list().get(pk=hook.pk).in_stock == 32


def test_what_is_tracked_by_piece_has_no_bags(floor, operator):
    sheet = DesignFactory()
    make_part(operator, make_full_bin(operator)[1], KG, sheet)
    assert floor.get(sheet.get_absolute_url()).context["bags"] == ""


def test_the_list_counts_the_pieces_of_a_bag_and_says_so(floor, operator):
    hook = DesignFactory(name="Hook", tracked="bag")
    make_part(operator, make_full_bin(operator)[1], KG, hook, pieces=40)
    answer = floor.get(reverse("products:product-list"))
    (row,) = answer.context["page"].object_list
    assert (row.in_stock, row.in_use) == (40, 0)
    assert "In stock and in use are pieces" in answer.content.decode()
