"""What the pages of a run say of its gap."""

import pytest
from django.urls import reverse

from tests.factories.inventory import KG, ScaleFactory, make_full_bin
from tests.factories.workshop import load_weighed, make_run, weigh_out_on

pytestmark = pytest.mark.django_db


def weighed_run(operator, out_mg):
    """A run of 5 kg on a scale of 10 g steps: u = 2.887 g each way, so U = 8.165 g (JCGM 100)."""
    run, scale = make_run(operator), ScaleFactory(resolution_mg=10_000)
    load_weighed(run, make_full_bin(operator)[1], operator, 5 * KG, scale)
    weigh_out_on(scale, run, operator, "part", out_mg, pieces=1)
    return run


@pytest.mark.parametrize(
    ("out_mg", "told"),
    [
        (4_995_000, "5\u00a0g is missing; the scales explain up to ± 8.2\u00a0g."),
        (4_980_000, "20\u00a0g is missing, and the scales explain only up to ± 8.2\u00a0g."),
        (5_005_000, "5\u00a0g more came out than went in; the scales explain up to ± 8.2\u00a0g."),
        (5_000_000, "All that went in came out."),
    ],
)
def test_what_the_scales_explain_is_told_beside_the_gap(floor, operator, out_mg, told):
    run = weighed_run(operator, out_mg)
    assert told in floor.get(reverse("workshop:run-close", args=[run.code])).content.decode()


def test_what_is_not_explained_does_not_read_as_explained(floor, operator):
    """Eleven readings on steps of 10 g: U = 2 sqrt(11) 10 / (2 sqrt 3) = 19.149 g, to two digits 20 (JCGM 100)."""
    run, scale = make_run(operator), ScaleFactory(resolution_mg=10_000)
    load_weighed(run, make_full_bin(operator)[1], operator, 5 * KG, scale)
    for _n in range(9):
        weigh_out_on(scale, run, operator, "part", KG // 2, pieces=1)
    weigh_out_on(scale, run, operator, "part", KG // 2 - 20_000, pieces=1)
    page = floor.get(reverse("workshop:run-close", args=[run.code])).content.decode()
    assert "20\u00a0g is missing, and the scales explain only up to ± 19.2\u00a0g." in page
