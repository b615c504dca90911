"""What a correction would make of parts, beside what it then makes of them."""

import pytest

from inventory.models import Mass, Posting
from inventory.queries.corrections import lots_reached, movement_of
from inventory.queries.drafts import Fix, draft_of
from products.calculations.claims import recycled_content
from products.calculations.marks import mark_for_shares
from products.models import Part
from products.queries.corrections import part_changes, stale_after
from products.queries.passports import make_ups_of_parts
from tests.factories.inventory import KG, make_act, make_delivery, make_full_bin
from tests.factories.mendings import make_fix, mend
from tests.factories.workshop import load, make_part, make_run, weigh_out
from tests.kept import kept
from workshop.actions.corrections import correct_postings
from workshop.actions.runs import close_run
from workshop.models import Load

pytestmark = pytest.mark.django_db


def changes(fix):
    draft = draft_of([fix])
    return part_changes(draft, lots_reached(draft))


@pytest.fixture
@kept
def round_trip(operator):
    """Parts of two deliveries; one of them is ground with its offcuts and pressed again with virgin flake."""
    old, flake = make_full_bin(operator)[1], make_full_bin(operator, origin_class="virgin")
    run = make_run(operator)
    load(run, old, operator, 4 * KG)
    load(run, make_delivery(operator, origin_class="pre-consumer").lot, operator, 2 * KG)
    weigh_out(run, operator, "part", 5 * KG, pieces=2)
    close_run(run=run, act=make_act(operator, "dust"))
    ground = make_run(operator, "granulate")
    load(ground, Part.objects.first().lot, operator)
    weigh_out(ground, operator, "material", 2_400_000, bin=flake[0])
    close_run(run=ground, act=make_act(operator, "dust"))
    make_part(operator, flake[0].lots.first(), 6 * KG)
    return Load.objects.order_by("pk").first().posting


def test_what_is_shown_is_what_comes_of_it(round_trip, lead):
    fix = Fix(round_trip, mass=Mass(movement_of(round_trip).mass_mg + 900_000))
    shown = {row.part.pk: row.after for row in changes(fix)}
    mend(lead, fix, correct=correct_postings, loss="dust")
    made = make_ups_of_parts(Part.objects.filter(pk__in=shown))
    contents = {pk: recycled_content(made[pk].by_origin) for pk in shown}
    assert len(shown) == 3
    for pk, worth in shown.items():
        assert abs(worth.content.recycled - contents[pk].recycled) < 1e-8
        assert (
            worth.mark
            == mark_for_shares({k: float(v) for k, v in made[pk].by_polymer.items()}).text
        )


def test_what_was_is_what_the_book_says(round_trip):
    fix = Fix(round_trip, mass=Mass(movement_of(round_trip).mass_mg + 900_000))
    made = make_ups_of_parts(Part.objects.all())
    for row in changes(fix):
        exact = recycled_content(made[row.part.pk].by_origin)
        assert abs(row.before.content.pre_consumer - exact.pre_consumer) < 1e-8


def test_a_mass_that_changes_no_share_changes_no_part(operator):
    lot = make_full_bin(operator)[1]
    run = make_run(operator)
    load(run, lot, operator, 3 * KG)
    weigh_out(run, operator, "part", 2 * KG, pieces=1)
    assert changes(make_fix(Load.objects.get().posting, 3.5)) == []


def test_a_part_that_weighs_otherwise_is_told_with_both_masses(operator):
    part = make_part(operator, make_full_bin(operator)[1], 2 * KG)
    (row,) = changes(make_fix(part.made_in, 1.9))
    assert (row.before.mass_mg, row.after.mass_mg, row.changes_claim) == (2 * KG, 1_900_000, False)
    assert (row.changes_mass, row.has_passport) == (True, True)


def test_stale_passports_are_those_ahead_of_the_correction(round_trip, lead):
    fix = Fix(round_trip, mass=Mass(movement_of(round_trip).mass_mg + 900_000))
    head = mend(lead, fix, correct=correct_postings, loss="dust")
    written = Posting.objects.filter(fingerprint=head.fingerprint)
    assert {row.part for row in stale_after(list(written))} == set(Part.objects.all())
