"""The form of a design: what passports say, and its photo."""

from io import BytesIO
from uuid import uuid4

import pytest
from PIL import Image

from products.actions.designs import save_design
from products.forms.designs import MOST_LETTERS, PHOTO_EDGE, DesignForm, values_of
from tests.factories.inventory import make_act
from tests.factories.passports import make_photo
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db
STOOL = {
    "name": "Stool",
    "made_by": "press",
    "form": "part",
    "tracked": "piece",
    "nominal_mass_mg": "2.5",
    "pieces_per_cycle": "1",
    "is_packaging": "on",
    "surface_mm2": "5000",
    "care": "Wipe it.",
}


def form_of(photo=None, **changes):
    files = {"photo": photo} if photo else None
    return DesignForm(STOOL | {"key": str(uuid4())} | changes, files)


def test_it_takes_what_passports_say():
    form = form_of()
    assert form.is_valid()
    fields = form.fields_of_design()
    assert (fields["is_packaging"], fields["surface_mm2"]) == (True, 5000)
    assert fields["care"] == "Wipe it."


@pytest.mark.parametrize("name", ["care", "repair", "spare_parts", "taking_apart", "not_for"])
def test_a_public_text_has_an_end(name):
    assert name in form_of(**{name: "x" * (MOST_LETTERS + 1)}).errors


def test_without_a_new_photo_the_old_one_stays():
    form = form_of()
    assert form.is_valid()
    assert "photo" not in form.fields_of_design()


def test_a_photo_is_made_small_enough_for_a_public_page():
    form = form_of(photo=make_photo(1200))
    assert form.is_valid()
    picture = Image.open(BytesIO(form.fields_of_design()["photo"].read()))
    assert picture.size == (PHOTO_EDGE, PHOTO_EDGE)


def test_a_photo_can_be_taken_away(lead):
    design = DesignFactory(photo=make_photo())
    form = form_of(no_photo="on")
    assert form.is_valid()
    fields = form.fields_of_design() | {"name": design.name}
    save_design(fields=fields, polymers=[], act=make_act(lead), design=design)
    design.refresh_from_db()
    assert not design.photo


def test_a_refused_form_asks_for_the_photo_again():
    form = form_of(photo=make_photo(), name="")
    assert "choose it again" in str(form.errors["photo"])


def test_a_photo_is_saved_with_its_design_and_a_repeat_changes_nothing(lead):
    form, act = form_of(photo=make_photo()), make_act(lead)
    assert form.is_valid()
    fields = form.fields_of_design()
    design = save_design(fields=fields, polymers=[], act=act)
    assert design.photo.name.startswith("designs/")
    assert save_design(fields=fields, polymers=[], act=act) == design


def test_a_design_fills_its_own_form():
    design = DesignFactory(care="Wipe it.", is_packaging=True)
    values = values_of(design)
    assert (values["care"], values["is_packaging"]) == ("Wipe it.", True)
    assert "photo" not in values
