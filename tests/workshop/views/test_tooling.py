"""Pages of tooling."""

import pytest
from django.urls import reverse

from tests.factories.workshop import DesignFactory, MachineFactory, ToolingFactory
from workshop.models import Run, Tooling

pytestmark = pytest.mark.django_db
LIST = reverse("workshop:tooling-list")
CREATE = reverse("workshop:tooling-create")


def test_the_list_shows_what_there_is(floor):
    ToolingFactory(name="Clip mould", cavities=4)
    assert "Clip mould" in floor.get(LIST).content.decode()


def test_the_lead_adds_tooling(desk, key):
    sent = {"key": key, "name": "Bar die", "kind": "die", "cavities": "1"}
    assert desk.post(CREATE, sent).headers["Location"] == LIST
    assert Tooling.objects.get().kind == "die"


def test_tooling_without_a_cavity_is_refused_as_typed(desk, key):
    sent = {"key": key, "name": "Bar die", "kind": "die", "cavities": "0"}
    answer = desk.post(CREATE, sent)
    assert answer.status_code == 422
    assert 'value="Bar die"' in answer.content.decode()
    assert not Tooling.objects.exists()


def test_the_lead_changes_tooling(desk, key):
    tool = ToolingFactory(name="Bar die", kind="die")
    url = reverse("workshop:tooling-edit", args=[tool.pk])
    desk.post(url, {"key": key, "name": "Long die", "kind": "die", "cavities": "2"})
    tool.refresh_from_db()
    assert (tool.name, tool.cavities) == ("Long die", 2)


def test_an_operator_changes_no_tooling(floor, key):
    assert floor.post(CREATE, {"key": key}).status_code == 403


def test_the_register_keeps_how_it_was_made_and_how_fit_it_is(desk, floor, key):
    stool = DesignFactory(name="Stool")
    sent = {
        "key": key, "name": "Clip mould", "kind": "mould", "cavities": "4", "work": "inject",
        "designs": [stool.pk], "make": "plates", "shot_cm3": "12.5", "clamp": "toggles",
        "changeover_minutes": "20", "condition": "mend", "upkeep": "Grease the pins",
        "upkeep_on": "2020-03-01",
    }  # fmt: skip
    desk.post(CREATE, sent)
    tool = Tooling.objects.get()
    assert (tool.shot_mm3, tool.condition, tool.designs.get()) == (12_500, "mend", stool)
    text = floor.get(LIST).content.decode()
    for said in ("cut plates with an exchangeable middle", "12.5 cm³", "due since", "toggles"):
        assert said in text
    shown = desk.get(reverse("workshop:tooling-edit", args=[tool.pk])).content.decode()
    assert 'name="shot_cm3" value="12.5"' in shown
    assert 'name="upkeep_on" value="2020-03-01"' in shown


@pytest.mark.parametrize(
    ("box", "value"),
    [
        ("shot_cm3", "0"),
        ("changeover_minutes", "-1"),
        ("upkeep_on", "x"),
        ("make", "knitted"),
        ("designs", "9" * 30),
        ("designs", "x"),
    ],
)
def test_a_register_entry_that_cannot_be_is_refused(desk, key, box, value):
    sent = {"key": key, "name": "Bar die", "kind": "die", "cavities": "1", box: value}
    assert desk.post(CREATE, sent).status_code == 422
    assert not Tooling.objects.exists()


def test_tooling_of_a_design_stands_in_the_order_of_its_route(floor):
    route = [{"work": work, "note": ""} for work in ("press", "cut")]
    stool = DesignFactory(route=route)
    for name, work in (("A saw", "cut"), ("B frame", "press"), ("C other", "")):
        ToolingFactory(name=name, work=work).designs.add(stool)
    ToolingFactory(name="Of another")
    shown = floor.get(LIST, {"design": stool.pk}).context["tooling"]
    assert [tool.name for tool in shown] == ["B frame", "A saw", "C other"]


@pytest.mark.parametrize("asked", ["x", "999999", "-1", "9" * 30, "9" * 5000])
def test_a_design_there_is_not_shows_all_tooling(floor, asked):
    ToolingFactory()
    assert len(floor.get(LIST, {"design": asked}).context["tooling"]) == 1


def test_the_list_asks_the_same_however_much_there_is(floor, django_assert_max_num_queries):
    for tool in ToolingFactory.create_batch(6):
        tool.designs.add(DesignFactory())
    with django_assert_max_num_queries(9):
        floor.get(LIST)


FRAME = {"frame_length": "600,5", "frame_width": "600", "frame_depth": "10"}


def test_the_size_of_a_frame_is_kept_in_whole_micrometres(desk, floor, key):
    sent = {"key": key, "name": "Frame", "kind": "frame", "cavities": "1", "projected_cm2": "4.25"}
    desk.post(CREATE, sent | FRAME)
    tool = Tooling.objects.get()
    sizes = (tool.frame_length_um, tool.frame_width_um, tool.frame_depth_um, tool.projected_mm2)
    assert sizes == (600_500, 600_000, 10_000, 425)
    assert "600.5 × 600 × 10 mm" in floor.get(LIST).content.decode()
    shown = desk.get(reverse("workshop:tooling-edit", args=[tool.pk])).content.decode()
    for box in ('name="frame_length" value="600.5"', 'name="projected_cm2" value="4.25"'):
        assert box in shown


@pytest.mark.parametrize("missing", FRAME)
def test_a_frame_without_one_of_its_sides_is_refused_as_typed(desk, key, missing):
    sent = {"key": key, "name": "Frame", "kind": "frame", "cavities": "1"} | FRAME
    answer = desk.post(CREATE, sent | {missing: ""})
    assert answer.status_code == 422
    assert "Fill all of these boxes, or none." in answer.content.decode()
    assert not Tooling.objects.exists()


OPEN = reverse("workshop:run-open") + "?operation=granulate"


def test_tooling_to_be_mended_opens_no_run_and_what_was_typed_stays(floor, key):
    machine = MachineFactory(kind="granulator")
    screen = ToolingFactory(name="Screen 8", kind="screen", condition="mend")
    sent = {"key": key, "machine": machine.pk, "tooling": screen.pk, "note": "thick lumps"}
    answer = floor.post(OPEN, sent)
    found = answer.content.decode()
    assert answer.status_code == 422
    assert "Screen 8 is to be mended before use; choose other tooling." in found
    assert "thick lumps" in found
    assert not Run.objects.exists()


def test_overdue_upkeep_is_said_when_a_run_is_opened_and_where_it_is_set_up(floor, key):
    machine = MachineFactory(kind="granulator")
    screen = ToolingFactory(
        name="Screen 8", kind="screen", upkeep="sharpen", upkeep_on="2020-03-01"
    )
    sent = {"key": key, "machine": machine.pk, "tooling": screen.pk}
    said = "Upkeep of Screen 8 is due since 1 Mar 2020 (sharpen)."
    assert said in floor.post(OPEN, sent, follow=True).content.decode()
    run = Run.objects.get()
    assert said in floor.get(f"{run.get_absolute_url()}?stage=setup").content.decode()


def test_a_design_made_without_such_tooling_is_refused_at_its_box(desk, key):
    hook = DesignFactory(name="Hook", made_by="inject")
    sent = {"key": key, "name": "Bar die", "kind": "die", "cavities": "1", "designs": [hook.pk]}
    answer = desk.post(CREATE, sent)
    assert answer.status_code == 422
    assert "nothing on the way to Hook uses one" in str(answer.form.errors["designs"])
    assert 'value="Bar die"' in answer.content.decode()
    assert not Tooling.objects.exists()
