"""The page of a stamp and its files, read back by libraries of others."""

from io import StringIO
from xml.etree import ElementTree

import ezdxf
import pytest
from django.urls import reverse

from tests.factories.inventory import polymer
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db
ASKED = {"mark": ">PE-HD<", "height": "3", "month": "2026-11", "workshop": "Demo", "tool": "M7"}


@pytest.fixture
def design():
    design = DesignFactory()
    design.polymers.set([polymer("PE-HD")])
    return design


def url(design, name="detail"):
    return reverse(f"products:stamp-{name}", args=[design.pk])


def test_the_page_begins_with_the_mark_of_the_design_and_the_tool(design, reader):
    form = reader.get(url(design), {"tool": "M7"}).context["form"]
    assert (form["mark"].value(), form["tool"].value()) == (">PE-HD<", "M7")


def test_the_stamp_is_shown_with_its_lines(design, reader):
    answer = reader.get(url(design), ASKED)
    assert answer.context["stamp"].lines == (">PE-HD<", "11/2026", "DEMO", "M7")


@pytest.mark.parametrize(("height", "warned"), [("1.9", True), ("2", False)])
def test_small_letters_are_warned_of(design, reader, height, warned):
    page = reader.get(url(design), ASKED | {"height": height}).content.decode()
    assert ("hard to read (common practice)" in page) is warned


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("mark", {"mark": ">HDPE<"}),
        ("__all__", {"workshop": "鋼"}),
        ("height", {"height": "nan"}),
        ("resin", {"mark": ">PP,PE-HD<", "resin": "europe"}),
    ],
)
def test_what_cannot_be_cut_is_said(design, reader, field, change):
    answer = reader.get(url(design), ASKED | change)
    assert answer.context["stamp"] is None
    assert answer.context["form"].has_error(field)


def test_the_svg_is_in_millimetres(design, reader):
    answer = reader.get(url(design, "svg"), ASKED)
    root = ElementTree.fromstring(answer.content)  # noqa: S314 (our own text)
    assert root.get("width").endswith("mm")
    assert answer["Content-Disposition"].startswith("inline")


def test_the_dxf_is_read_by_another_library(design, reader):
    answer = reader.get(url(design, "dxf"), ASKED)
    drawing = ezdxf.read(StringIO(answer.content.decode()))
    assert len(drawing.modelspace().query("POLYLINE")) > 20
    assert answer["Content-Disposition"].startswith("attachment")


@pytest.mark.parametrize("name", ["svg", "dxf"])
def test_a_file_of_nothing_is_not_found(design, reader, name):
    assert reader.get(url(design, name)).status_code == 404
