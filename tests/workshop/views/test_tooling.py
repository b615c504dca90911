"""Pages of tooling."""

import pytest
from django.urls import reverse

from tests.factories.workshop import ToolingFactory
from workshop.models import Tooling

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
