"""Which days a report tells of, and what is refused."""

from datetime import date

import pytest
from django.utils import timezone

from inventory.calculations.periods import Period, month_of, twelve_months_to, year_of
from inventory.forms.periods import MaterialPeriodForm, PeriodForm
from tests.factories.inventory import colour, polymer


@pytest.mark.parametrize(
    ("sent", "period"),
    [
        ({"month": "2026-02"}, month_of(date(2026, 2, 1))),
        ({"year": "2024"}, year_of(date(2024, 1, 1))),
        ({"start": "2026-02-27", "end": "2026-03-01"}, Period(date(2026, 2, 27), date(2026, 3, 2))),
        (
            {"start": "2026-02-27", "end": "2026-02-27"},
            Period(date(2026, 2, 27), date(2026, 2, 28)),
        ),
    ],
)
def test_days_are_chosen_by_month_by_year_or_from_to(sent, period):
    form = PeriodForm(sent)
    assert form.is_valid()
    assert form.period() == period


def test_with_nothing_chosen_it_is_twelve_months_with_this_one():
    form = PeriodForm({})
    assert form.is_valid()
    assert form.period() == twelve_months_to(timezone.localdate())


@pytest.mark.parametrize(
    ("sent", "field", "code"),
    [
        ({"month": "2026-13"}, "month", "invalid"),
        ({"month": "March"}, "month", "invalid"),
        ({"month": "0000-01"}, "month", "invalid"),
        ({"year": "1899"}, "year", "min_value"),
        ({"year": "20x6"}, "year", "invalid"),
        ({"start": "2026-02-30", "end": "2026-03-01"}, "start", "invalid"),
        ({"start": "1026-02-20", "end": "2026-03-01"}, "start", "invalid"),
        ({"start": "2026-02-20"}, "__all__", "half-period"),
        ({"end": "2026-02-20"}, "__all__", "half-period"),
        ({"start": "2026-02-20", "end": "2026-02-19"}, "__all__", "backwards"),
        ({"start": "1926-02-20", "end": "2026-02-19"}, "__all__", "too-long"),
        ({"year": "2026", "month": "2026-02"}, "__all__", "two-periods"),
        ({"year": "2026", "start": "2026-02-01", "end": "2026-02-02"}, "__all__", "two-periods"),
    ],
)
def test_what_is_no_period_is_refused(sent, field, code):
    form = PeriodForm(sent)
    assert not form.is_valid()
    assert form.errors.as_data()[field][0].code == code


@pytest.mark.django_db
def test_a_material_is_a_polymer_and_a_colour():
    form = MaterialPeriodForm({"polymer": "PE-HD", "colour": "blue"})
    assert form.is_valid()
    assert form.material() == (polymer("PE-HD").pk, colour("blue").pk)


@pytest.mark.django_db
def test_the_polymer_may_be_unknown():
    form = MaterialPeriodForm({"polymer": "?", "colour": "blue"})
    assert form.is_valid()
    assert form.material() == (None, colour("blue").pk)


@pytest.mark.django_db
@pytest.mark.parametrize("sent", [{"polymer": "PE-HD"}, {"colour": "blue"}])
def test_half_a_material_is_refused(sent):
    form = MaterialPeriodForm(sent)
    assert not form.is_valid()
    assert form.errors.as_data()["__all__"][0].code == "half-material"
