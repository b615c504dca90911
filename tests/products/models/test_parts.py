"""What the database itself refuses of parts and handovers, and how parts are told apart."""

import pytest
from django.utils import timezone

from inventory.actions.lots import dispose_lot
from inventory.actions.postings import reverse_posting
from inventory.models import Mass
from products.actions.fixings import put_in
from products.actions.parts import hand_over_part
from products.calculations.sheet_sizes import Size
from products.models import Fixing, Handover, Part
from tests.factories.book import broken
from tests.factories.fixings import clip_design, made, stool_design
from tests.factories.inventory import KG, make_act, make_full_bin
from tests.factories.workshop import load, make_part, make_run, weigh_out
from tests.kept import kept

pytestmark = pytest.mark.django_db


@pytest.fixture
@kept
def part(operator):
    return make_part(operator, make_full_bin(operator)[1], KG)


def test_part_has_pieces(part):
    with broken("part_has_pieces"):
        Part.objects.update(pieces=0)


def test_handover_one_open_per_part(part, operator):
    hand_over_part(part=part, act=make_act(operator))
    with broken("handover_one_open_per_part", "products_handover.part_id"):
        Handover.objects.create(part=part, out_at=timezone.now(), out_by=operator)


@pytest.mark.parametrize("half", ["back_at", "back_by"])
def test_handover_back_by_someone(part, operator, half):
    back = {"back_at": timezone.now(), "back_by": operator}
    with broken("handover_back_by_someone"):
        Handover.objects.create(
            part=part, out_at=timezone.now(), out_by=operator, **{half: back[half]}
        )


def test_a_part_is_here_until_it_is_handed_over(part, operator):
    assert Part.objects.here().get() == part
    hand_over_part(part=part, act=make_act(operator))
    assert not Part.objects.here().exists()
    assert Part.objects.in_use().get() == part


def test_a_part_that_gave_all_is_used_up(part, operator):
    load(make_run(operator, "granulate"), part.lot, operator)
    assert Part.objects.used_up().get() == part
    assert Part.objects.get().pieces_left == 0


def test_a_part_whose_making_was_undone_is_neither_made_nor_in_use(operator, lead):
    run = make_run(operator)
    load(run, make_full_bin(operator)[1], operator, KG)
    made = weigh_out(run, operator, "part", KG, pieces=1)
    hand_over_part(part=Part.objects.get(), act=make_act(operator))
    reverse_posting(posting=made.posting, act=make_act(lead, "wrong count"))
    assert not Part.objects.made().exists()
    assert not Part.objects.in_use().exists()
    assert Part.objects.get().pieces_left == 0


def test_while_any_mass_is_left_there_is_a_piece_of_it(part, operator):
    dispose_lot(lot=part.lot, mass=Mass(KG - 1), act=make_act(operator, "broke off"))
    assert Part.objects.get().pieces_left == 1


def test_a_part_names_the_run_it_was_made_in(part):
    assert part.run_number.startswith("R-")


@pytest.fixture
@kept
def fixing(lead, operator):
    clip = clip_design()
    stool = made(operator, stool_design(lead, clip))
    return put_in(holder=stool, part=made(operator, clip), act=make_act(operator))


def again(fixing, **more):
    fields = {"put_in_at": timezone.now(), "noted_at": timezone.now(), "line": 1} | more
    given = {"holder": fixing.holder, "part": fixing.holder, "put_in_by": fixing.put_in_by}
    return Fixing.objects.create(**(given | fields))


def test_fixing_one_open_per_part(fixing, operator):
    other = made(operator, fixing.holder.design)
    with broken("fixing_one_open_per_part", "products_fixing.part_id"):
        again(fixing, holder=other, part=fixing.part)


def test_fixing_not_in_itself(fixing):
    with broken("fixing_not_in_itself"):
        again(fixing)


def test_fixing_has_line(fixing, operator):
    with broken("fixing_has_line"):
        again(fixing, part=made(operator, fixing.part.design), line=0)


@pytest.mark.parametrize("half", ["taken_out_at", "taken_out_by"])
def test_fixing_taken_out_by_someone(fixing, operator, half):
    out = {"taken_out_at": timezone.now(), "taken_out_by": operator}
    with broken("fixing_taken_out_by_someone"):
        again(fixing, part=made(operator, fixing.part.design), **{half: out[half]})


def test_a_part_in_another_is_not_here(fixing):
    assert fixing.part not in Part.objects.here()
    assert fixing.holder in Part.objects.here()


def test_part_size_whole(part):
    for wrong in ({"length_um": 5}, {"width_um": 5}, {"length_um": 5, "width_um": 0}):
        with broken("part_size_whole"):
            Part.objects.update(**wrong)


def test_a_part_is_as_large_as_its_design_unless_it_has_a_size_of_its_own(part):
    assert part.size is None
    part.design.length_um, part.design.width_um = 600_000, 500_000
    assert (part.size, part.own_size) == (Size(600_000, 500_000), None)
    part.length_um, part.width_um = 300_000, 200_000
    assert part.size == part.own_size == Size(300_000, 200_000)
