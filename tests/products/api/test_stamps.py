"""Stamps over the API."""

from io import StringIO

import ezdxf
import pytest

pytestmark = pytest.mark.django_db
ASKED = {"mark": ">PP<", "height": "3", "tool": "M7", "cavity": "2"}


def test_a_stamp_is_a_dxf_that_another_library_reads(api_client):
    answer = api_client.get("/api/stamps/stamp.dxf", ASKED)
    drawing = ezdxf.read(StringIO(answer.content.decode()))
    assert len(drawing.modelspace()) > 5


def test_a_stamp_is_an_svg(api_client):
    answer = api_client.get("/api/stamps/stamp.svg", ASKED, headers={"accept": "image/svg+xml"})
    assert answer["Content-Type"] == "image/svg+xml"
    assert b"mm" in answer.content


def test_a_mark_that_is_none_is_refused(api_client):
    answer = api_client.get("/api/stamps/stamp.svg", ASKED | {"mark": ">HDPE<"})
    assert (answer.status_code, list(answer.json()["fields"])) == (400, ["mark"])
