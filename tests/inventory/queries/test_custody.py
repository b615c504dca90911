"""The chain-of-custody word of lots and parts, derived from the ledger."""

import pytest

from inventory.queries.traces import make_up_of
from products.models import Part
from products.queries.passport_contents import figures_of
from products.queries.passports import make_ups_of_parts
from tests.factories.inventory import KG, SourceFactory, make_delivery, make_full_bin
from tests.factories.workshop import load, make_part, make_run, weigh_out

pytestmark = pytest.mark.django_db


@pytest.fixture
def mill():
    return SourceFactory(name="Mill")


def pressed(by, *lots):
    """Return the part pressed of 2 kg of each of some lots."""
    run = make_run(by)
    for lot in lots:
        load(run, lot, by, 2 * KG)
    weigh_out(run, by, "part", 2 * KG * len(lots), pieces=1)
    return Part.objects.latest("pk")


def words_of(part):
    """The word on the trace, and the one that a passport would keep."""
    return make_up_of(part.lot).custody, figures_of(part, make_ups_of_parts([part])[part.pk])[
        "custody"
    ]


# ISO 22095: a single source.
def test_what_is_from_one_source_alone_is_identity_preserved(operator, mill):
    lots = [make_delivery(operator, source=mill).lot for _ in range(2)]
    assert words_of(pressed(operator, *lots)) == ("identity-preserved", "identity-preserved")


# ISO 22095: several sources with the same characteristic, nothing else added.
def test_what_is_from_several_sources_of_one_kind_is_segregated(operator, mill):
    lots = [make_delivery(operator, source=mill).lot, make_delivery(operator).lot]
    assert words_of(pressed(operator, *lots)) == ("segregated", "segregated")


# ISO 22095: mixed with other material in a known share.
@pytest.mark.parametrize("other", ["virgin", "pre-consumer", "additive", "unknown"])
def test_what_is_mixed_with_another_origin_is_controlled_blending(operator, mill, other):
    lots = [
        make_delivery(operator, source=mill, origin_class=each).lot
        for each in ("post-consumer", other)
    ]
    assert words_of(pressed(operator, *lots)) == ("controlled-blending", "controlled-blending")


def test_what_is_of_unknown_origin_has_no_word(operator, mill):
    lot = make_delivery(operator, source=mill, origin_class="unknown").lot
    assert words_of(pressed(operator, lot)) == ("", "")


def test_offcuts_keep_the_word_of_what_they_were_cut_from(operator, mill):
    first = make_part(operator, make_delivery(operator, source=mill).lot, 4 * KG)
    bin, _lot = make_full_bin(operator, source=mill)
    ground = make_run(operator, "granulate")
    load(ground, first.lot, operator)
    weigh_out(ground, operator, "material", 4 * KG, bin=bin)
    assert make_up_of(bin.lots.open().get()).custody == "identity-preserved"
