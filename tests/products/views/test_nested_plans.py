"""Pages of nested plans: asked with files, kept, shown again, drawn; what is refused stays typed."""

from io import StringIO
from uuid import uuid4

import ezdxf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from products.calculations.nesting_records import nested_of
from products.models import NestedPlan
from tests.factories.cutting import make_boards
from tests.factories.inventory import KG, make_full_bin
from tests.factories.workshop import DesignFactory, make_part

pytestmark = pytest.mark.django_db
LIST, NEW = reverse("products:nested-plan-list"), reverse("products:nested-plan-create")
LEAF = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="200mm" viewBox="0 0 200 200">'
    b'<path d="M0 60 C0 0 80 0 100 40 L190 60 v80z"/></svg>'
)
ASKED = {
    "length": "600",
    "width": "400",
    "thickness": "10",
    "count": "2",
    "kerf": "3,2",
    "margin": "10",
    "density": "0.955",
    "least_length": "300",
    "least_width": "100",
    "seconds": "1",
    "shape-1-length": "150",
    "shape-1-width": "80",
    "shape-1-count": "2",
}


def svg_file(content=LEAF, name="leaf.svg"):
    return SimpleUploadedFile(name, content)


@pytest.fixture
def sent(key):
    return ASKED | {"key": key, "shape-0-file": svg_file(), "shape-0-turn": "free"}


@pytest.fixture
def plan(floor, sent):
    floor.post(NEW, sent)
    return NestedPlan.objects.get()


def test_a_plan_is_searched_kept_and_shown(floor, sent):
    answer = floor.post(NEW, sent, follow=True)
    plan = NestedPlan.objects.get()
    assert answer.redirect_chain[0][0] == plan.get_absolute_url()
    text = answer.content.decode()
    assert plan.number in text
    assert "leaf" in text
    assert "local codes" in text
    assert "1 s were asked for (spyrrow " in text
    asked = nested_of(plan.content).question.shapes
    assert [(shape.name, shape.count, shape.turn) for shape in asked] == [
        ("leaf", 1, "free"), ("2", 2, "none"),
    ]  # fmt: skip


def test_a_kept_plan_is_shown_again_without_a_search(
    reader, plan, monkeypatch, django_assert_max_num_queries
):
    monkeypatch.setattr("products.calculations.nesting.spyrrow", None)
    with django_assert_max_num_queries(10):
        first = reader.get(plan.get_absolute_url())
    assert (
        first.context["sheets"][0].steps
        == reader.get(plan.get_absolute_url()).context["sheets"][0].steps
    )
    assert plan.number in reader.get(LIST).content.decode()


def test_the_drawings_open_elsewhere(reader, plan):
    place = plan.get_absolute_url()
    picture = reader.get(f"{place}1.svg")
    assert picture["Content-Security-Policy"] == "default-src 'none'; sandbox"
    document = ezdxf.read(StringIO(reader.get(f"{place}1.dxf").content.decode()))
    assert len(document.modelspace().query('POLYLINE[layer=="PARTS"]')) == 3
    assert reader.get(f"{place}9.svg").status_code == 404
    assert reader.get(f"{place}0.dxf").status_code == 404
    assert reader.get(f"{LIST}99999/").status_code == 404


def test_an_empty_list_says_what_a_nested_plan_is(reader):
    text = reader.get(LIST).content.decode()
    assert "None yet" in text
    assert NEW not in text  # who only reads is not offered to search


def test_a_reader_may_not_search(reader, sent):
    assert reader.post(NEW, sent).status_code == 403
    assert not NestedPlan.objects.exists()


@pytest.mark.parametrize(
    ("wrong", "at"),
    [
        ({"shape-0-file": svg_file(b"")}, {"file"}),
        ({"shape-0-file": svg_file(b'<svg width="1mm"><!-- ')}, {"file"}),
        ({"shape-0-file": svg_file(name="leaf.pdf")}, {"file"}),
        ({"shape-0-file": svg_file(LEAF.replace(b'width="200mm"', b""))}, {"unit"}),
        ({"shape-0-file": svg_file(LEAF.replace(b"z", b""))}, {"file"}),
        ({"shape-0-file": "", "shape-0-name": "leaf"}, {"length", "width"}),
        ({"shape-1-width": ""}, {"width"}),
        ({"shape-1-turn": "upwards"}, {"turn"}),
    ],
)
def test_what_cannot_be_read_is_said_at_its_box(floor, sent, wrong, at):
    answer = floor.post(NEW, sent | wrong)
    assert answer.status_code == 422
    rows = answer.context["form"].shapes.errors
    assert {name for row in rows for name in row} == at
    assert 'value="150"' in answer.content.decode()
    assert not NestedPlan.objects.exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"shape-0-file": "", "shape-1-length": "", "shape-1-width": ""},
        {"shape-1-count": "100"},
        {"count": "101"},
        {"margin": "200"},
        {"thickness": ""},
        {"seconds": "999"},
        {"kerf": "-1"},
        {"length": ""},
    ],
)
def test_a_question_that_cannot_be_worked_on_is_refused_with_what_was_typed(floor, sent, wrong):
    answer = floor.post(NEW, sent | wrong)
    assert answer.status_code == 422
    assert answer.context["form"].errors
    assert not NestedPlan.objects.exists()


def test_files_that_browsers_cannot_send_back_are_asked_for_again(floor, sent):
    assert "choose them again" in floor.post(NEW, sent | {"kerf": ""}).content.decode()


def test_sheets_may_come_from_stock_and_a_run_is_offered(floor, sent, operator):
    lot = make_full_bin(operator, net_mg=9 * KG)[1]
    design = DesignFactory(thickness_mm=10, length_um=600_000, width_um=400_000)
    sheet = make_part(operator, lot, 2 * KG, design)
    stock = {
        "from_stock": "on",
        "polymer": lot.polymer.symbol,
        "length": "",
        "width": "",
        "count": "",
    }
    text = floor.post(NEW, sent | stock, follow=True).content.decode()
    assert f"?operation=cut&amp;sheets={sheet.code}" in text


def test_what_found_no_place_is_said(floor, sent):
    long = {"shape-1-length": "700", "shape-1-width": "20"}
    text = floor.post(NEW, sent | long, follow=True).content.decode()
    assert "No place for 2: 2 missing" in text


def test_a_plan_of_before_it_was_kept_says_nothing_of_its_search(floor, plan):
    record = {name: value for name, value in plan.content.items() if name != "search"}
    fields = {f.name: getattr(plan, f.name) for f in NestedPlan._meta.fields if f.name != "id"}
    old = NestedPlan.objects.create(**fields | {"content": record, "uuid": uuid4()})
    assert "were asked for" not in floor.get(old.get_absolute_url()).content.decode()


def test_what_was_typed_stays_when_sheets_in_stock_are_tapped(floor, sent, operator):
    make_boards(operator, 1)
    (group,) = floor.get(NEW).context["groups"]
    typed = {
        "shape-2-name": "side",
        "shape-2-length": "ab",
        "shape-2-turn": "quarter",
        "margin": "",
    }
    typed |= {"kerf": "2,8", "piece-1-length": "90", "thickness": "", "seconds": "7"}
    answer = floor.post(NEW, sent | typed | {"fill": group.query})
    form = answer.context["form"]
    assert (answer.status_code, form.is_bound, NestedPlan.objects.exists()) == (200, False, False)
    rows = [
        [row[name].value() for name in ("name", "length", "count", "turn")] for row in form.shapes
    ]
    assert rows[:3] == [
        ["leaf", None, None, "free"],
        ["", "150", "2", ""],
        ["side", "ab", None, "quarter"],
    ]
    assert [form[name].value() for name in ("kerf", "margin", "seconds")] == ["2,8", "", "7"]
    assert form.pieces[0]["length"].value() == "90"
    assert (form["thickness"].value(), form["polymer"].value()) == ("10", "PE-HD")
    assert form["key"].value() == sent["key"]
    text = answer.content.decode()
    assert "choose them again" in text
    assert text.index("Make the plan") < text.index('name="fill"')  # Enter makes the plan


def test_sheets_in_stock_may_be_tapped_where_a_plan_was_refused_and_no_file_was_lost(
    floor, operator
):
    make_boards(operator, 1)
    answer = floor.post(NEW, ASKED | {"shape-1-width": ""})
    assert (answer.status_code, len(answer.context["groups"])) == (422, 1)
    (group,) = answer.context["groups"]
    again = floor.post(NEW, ASKED | {"fill": group.query}).content.decode()
    assert "choose them again" not in again
