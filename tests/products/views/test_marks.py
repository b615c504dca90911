"""What a part must say, on the page of its design, and the triangle as a drawing."""

import pytest
from django.urls import reverse

from tests.factories.inventory import polymer
from tests.factories.workshop import DesignFactory

pytestmark = pytest.mark.django_db
TRIANGLE = reverse("products:mark-triangle")


@pytest.fixture
def design():
    design = DesignFactory()
    design.polymers.set([polymer("PE-HD"), polymer("ABS")])
    return design


def test_the_page_of_a_design_says_what_a_part_must_say(design, reader):
    page = reader.get(design.get_absolute_url()).content.decode()
    assert "&gt;PE-HD&lt;" in page
    assert "PE-HD is polyethylene, high density." in page
    assert "It is made for products" in page
    assert reverse("products:stamp-detail", args=[design.pk]) in page


def test_packaging_is_told_why_it_is_numbered(design, reader):
    design.is_packaging = True
    design.save()
    page = reader.get(design.get_absolute_url()).content.decode()
    assert "Packaging is numbered by 97/129/EC" in page
    assert "number=7&amp;text=ABS" in page


def test_no_page_of_a_design_promises_recycling(design, reader):
    """ASTM D7611: the code identifies the resin and is no claim."""
    assert "recyclable" not in reader.get(design.get_absolute_url()).content.decode().lower()


def test_a_design_for_any_polymer_follows_the_lot(reader):
    page = reader.get(DesignFactory().get_absolute_url()).content.decode()
    assert "each part is marked with what its own lot consists of" in page


def test_the_triangle_is_drawn(reader):
    answer = reader.get(TRIANGLE, {"number": "2", "text": "HDPE", "size": "20"})
    assert answer["Content-Type"] == "image/svg+xml"
    assert b'width="20mm"' in answer.content


@pytest.mark.parametrize(
    "query", [{}, {"number": "1", "text": "PET-G"}, {"number": "8", "text": "PP"}]
)
def test_a_pair_that_is_none_is_not_drawn(reader, query):
    """PET-G has no melting peak in the window that ASTM D7611-20 asks of code 1."""
    assert reader.get(TRIANGLE, query).status_code == 404
