"""A document of another workshop brought in by several at once."""

from functools import partial

import pytest

from inventory.actions.lineages import bring_delivery
from inventory.models import ForeignEvent, Lot
from tests.factories.epcis import OTHER, blend
from tests.factories.inventory import make_act, make_receipt
from tests.race.test_races import at_once, refusals

pytestmark = [pytest.mark.race, pytest.mark.django_db(transaction=True)]


def test_one_document_brings_two_lots_at_the_same_moment(lead):
    """F1 and the deliveries behind it stand in one document; its events are told once."""
    names = ["F1", "D1", "D2"]
    receipt = make_receipt(polymer="PP", identified_by="statement")
    answers = at_once(
        *[
            partial(
                bring_delivery,
                receipt=receipt,
                document=blend(),
                lot=f"{OTHER}/class/{name}",
                act=make_act(lead),
            )
            for name in names * 2
        ]
    )
    assert refusals(answers) == set()
    assert Lot.objects.count() == 3
    told = list(ForeignEvent.objects.values_list("event_id", "is_declaration"))
    assert len(told) == len(set(told))
