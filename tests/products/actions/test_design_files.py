"""A design is made from the file of another one."""

from decimal import Decimal

import pytest

from inventory.models import Polymer
from products.actions.design_files import bring_design
from products.models import Design, Item, Joint, Window
from products.queries.design_files import file_of
from tests.factories.book import refused, written
from tests.factories.inventory import make_act
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db
LEAST = {"format": "design-1", "name": "Tile", "made_by": "press", "nominal_mass_mg": 1_000_000}


@pytest.fixture
def stool():
    """A design with all that a file can tell of one."""
    texts = dict.fromkeys(("care", "repair", "spare_parts", "taking_apart", "not_for"), "Ä\nß")
    stool = DesignFactory(
        name="Stool",
        tracked="bag",
        thickness_mm=Decimal("8.50"),
        surface_mm2=500,
        is_packaging=True,
        is_coated=True,
        has_inserts=True,
        uses=["food", "load"],
        life="Ten years",
        inspection="Yearly",
        note="Mind the edge",
        passes_from=3,
        passes_most_percent=20,
        route=[{"work": "press", "note": "twice"}],
        **texts,
    )
    polymer, _made = Polymer.objects.get_or_create(symbol="PP", defaults={"name": "PP"})
    stool.polymers.set([polymer])
    Window.objects.create(design=stool, quantity="platen", low=Decimal("170.5"))
    Item.objects.create(design=stool, line=1, count=3, component=DesignFactory(name="Leg"))
    Item.objects.create(design=stool, line=2, count=6, bought="screw", bought_name="bolt")
    ends = {"first_line": 0, "second_line": 1}
    Joint.objects.create(design=stool, turn=1, kind="screw", tool="key", minutes=2, **ends)
    stool.refresh_from_db()
    return stool


def bring(by, document, act=None, **more):
    return bring_design(document=document, act=act or make_act(by), **more)


def test_what_was_written_out_comes_in_the_same(lead, stool):
    document = file_of(stool)
    brought = bring(lead, document, name="Stool of theirs")
    brought.refresh_from_db()
    assert file_of(brought) == document | {"name": "Stool of theirs"}
    assert brought.pk != stool.pk


def test_the_least_file_makes_a_design(lead):
    design = bring(lead, LEAST)
    assert (design.name, design.form, design.nominal_mass_mg) == ("Tile", "part", 1_000_000)


@pytest.mark.parametrize(
    ("length_um", "width_um", "size"),
    [
        (600_000, 400_500, {"length": "600", "width": "400.5"}),
        (10_000_000, 1, {"length": "10000", "width": "0.001"}),
        (None, None, None),
    ],
)
def test_the_usual_size_of_a_sheet_goes_out_and_comes_in(lead, length_um, width_um, size):
    sheet = DesignFactory(name="Sheet", form="sheet", length_um=length_um, width_um=width_um)
    document = file_of(sheet)
    assert (document["format"], document["size_mm"]) == ("design-3", size)
    brought = bring(lead, document, name="Copy")
    assert (brought.length_um, brought.width_um) == (length_um, width_um)
    assert file_of(brought) == document | {"name": "Copy"}


def test_a_file_of_the_first_version_is_still_read(lead, stool):
    later = ("size_mm", "process_sheets")
    old = {name: value for name, value in file_of(stool).items() if name not in later}
    brought = bring(lead, old | {"format": "design-1"}, name="Old")
    assert file_of(Design.objects.get(pk=brought.pk)) == file_of(stool) | {"name": "Old"}


def test_a_file_of_the_second_version_is_still_read(lead):
    sheet = DesignFactory(name="Sheet", form="sheet", length_um=600_000, width_um=400_500)
    old = {name: value for name, value in file_of(sheet).items() if name != "process_sheets"}
    brought = bring(lead, old | {"format": "design-2"}, name="Old")
    assert file_of(Design.objects.get(pk=brought.pk)) == file_of(sheet) | {"name": "Old"}


def test_nothing_is_overwritten(lead, stool):
    with refused("name-taken"):
        bring(lead, file_of(stool))


@pytest.mark.parametrize(
    "wrong",
    [
        {"format": "design-9"},
        {"polymers": ["Unobtainium"]},
        {"items": [{"count": 1, "design": "Nobody's"}]},
        {"nominal_mass_mg": None},
        {"name": "\ud800"},
    ],
)
def test_a_file_with_faults_is_refused(lead, wrong):
    with refused("file"):
        bring(lead, LEAST | wrong)


TOLD = {
    "polymer": "PP",
    "machine": {"kind": "press", "force_kn": "250"},
    "settings": [{"name": "platen", "value": "190"}],
}
NEWEST = LEAST | {"format": "design-3", "process_sheets": [TOLD]}


def test_a_process_sheet_is_kept_as_it_came_and_chooses_nothing(lead):
    spelt = TOLD | {"polymer": "pp", "settings": [{"name": " dwell ", "value": "3", "unit": "s"}]}
    design = bring(lead, NEWEST | {"process_sheets": [TOLD, spelt]})
    first, second = design.foreign_sheets.all()
    assert (first.polymer.symbol, first.machine_kind, first.limits) == (
        "PP",
        "press",
        {"force_kn": "250"},
    )
    assert first.settings[0]["unit"] == "°C"
    assert (second.polymer, second.settings[0]["name"]) == (first.polymer, "dwell")


@pytest.mark.parametrize(
    ("document", "pointer"),
    [
        (NEWEST | {"polymers": ["PE-HD"]}, "/process_sheets/0/polymer"),
        (
            NEWEST | {"process_sheets": [TOLD | {"polymer": "Unobtainium"}]},
            "/process_sheets/0/polymer",
        ),
        (
            NEWEST | {"process_sheets": [TOLD, TOLD | {"machine": {"kind": "injection"}}]},
            "/process_sheets/1/machine/kind",
        ),
        (
            NEWEST
            | {"process_sheets": [TOLD | {"settings": [{"name": "platen", "value": "501"}]}]},
            "/process_sheets/0/settings/0/value",
        ),
    ],
)
def test_a_process_sheet_with_a_fault_refuses_the_whole_file(lead, document, pointer):
    with refused("file") as refusal:
        bring(lead, document)
    assert refusal.value.params["pointer"] == pointer
    assert not Design.objects.exists()


def test_a_rejected_polymer_is_refused(lead):
    Polymer.objects.update_or_create(symbol="PVC-U", defaults={"name": "x", "is_rejected": True})
    with refused("file") as refusal:
        bring(lead, LEAST | {"polymers": ["PVC-U"]})
    assert refusal.value.params["pointer"] == "/polymers/0"


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ({"windows": [{"quantity": "melt", "low": "1"}]}, "wrong-quantity"),
        ({"windows": [{"quantity": "platen"}]}, "window"),
        ({"route": [{"work": "cut"}]}, "route"),
        ({"items": [{"count": 1}]}, "parts-list"),
        ({"joints": [{"kind": "glue", "first_line": 0, "second_line": 1}]}, "joint"),
        ({"name": " "}, "name"),
    ],
)
def test_what_the_single_acts_refuse_is_refused_whole(lead, wrong, code):
    with refused(code):
        bring(lead, LEAST | wrong)


def test_a_repeat_changes_nothing(lead):
    act = make_act(lead)
    design = bring(lead, LEAST, act=act)
    before = written()
    assert bring(lead, LEAST, act=act) == design
    assert written() == before


def test_the_same_id_with_another_file_is_refused(lead):
    act = make_act(lead)
    bring(lead, LEAST, act=act)
    with refused("key-reused"):
        bring(lead, LEAST | {"name": "Other"}, act=act)
    assert Design.objects.count() == 1
