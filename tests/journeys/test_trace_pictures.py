"""A picture larger than its frame opens where the lot asked about is drawn."""

import pytest

from inventory.actions.lots import move_lot
from tests.factories.inventory import KG, BinFactory, grams, make_act, make_delivery
from tests.factories.people import make_person

pytestmark = [
    pytest.mark.browser,
    pytest.mark.one_database,
    pytest.mark.xdist_group("browser-two"),
    pytest.mark.django_db(transaction=True),
]

IN_VIEW = """() => {
  const frame = document.querySelector(".tree-frame");
  const [inside, box] = [frame, document.getElementById("this")].map((each) => each.getBoundingClientRect());
  const within = box.top >= inside.top && box.bottom <= inside.bottom
    && box.left >= inside.left && box.right <= inside.right;
  return [frame.scrollHeight > frame.clientHeight, frame.scrollTop > 0, within];
}"""


@pytest.mark.parametrize("ending", ["", "#this"])
def test_a_large_picture_opens_at_the_lot_asked_about(tablet, ending):
    by = make_person("operator", "operator-one")
    lot = make_delivery(by, net_mg=60 * KG).lot
    for _ in range(40):
        move_lot(lot=lot, bin=BinFactory(), mass=grams(500), act=make_act(by))
    tablet.sign_in(by)
    tablet.open(f"/trace/{lot.code}/picture/forward/{ending}")
    assert tablet.page.evaluate(IN_VIEW) == [True, True, True]
