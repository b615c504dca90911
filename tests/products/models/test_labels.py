"""What the tables of labels refuse by themselves."""

import pytest
from django.utils import timezone

from products.models import Label
from tests.factories.book import broken
from tests.factories.grids import GridFactory

pytestmark = pytest.mark.django_db


def make_label(**fields):
    return Label.objects.create(thing="bin", thing_code="0" * 12, made_at=timezone.now(), **fields)


@pytest.mark.parametrize("side", ["columns", "rows"])
def test_a_grid_has_labels(side):
    with broken("labelgrid_has_labels"):
        GridFactory(**{side: 0})


@pytest.mark.parametrize("side", ["label_width_mm", "label_height_mm"])
def test_labels_of_a_grid_have_a_size(side):
    with broken("labelgrid_labels_have_size"):
        GridFactory(**{side: 0})


def test_a_label_is_not_void_without_a_reason():
    with broken("label_void_with_reason"):
        make_label(voided_at=timezone.now())


def test_a_label_that_counts_has_no_reason_to_be_void():
    with broken("label_void_with_reason"):
        make_label(void_reason="torn")


def test_a_label_is_replaced_by_another_one():
    label = make_label()
    with broken("label_replaced_by_another"):
        Label.objects.filter(pk=label.pk).update(replaced_by=label)


def test_two_labels_are_not_replaced_by_one():
    new = make_label()
    make_label(replaced_by=new)
    with broken("replaced_by", "products_label.replaced_by_id"):
        make_label(replaced_by=new)


def test_a_code_stands_on_one_label():
    label = make_label()
    with broken("products_label", "products_label.code"):
        make_label(code=label.code)
