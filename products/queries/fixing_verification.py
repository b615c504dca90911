"""Whether lots are bound where parts are put together, and nowhere else.

A lot is bound while its part is in another, or holds one: it gives nothing then
(`inventory/actions/lots.py: bind_lot`). The book of the parts must say the same.
"""

from collections.abc import Iterator

from django.db.models import Exists, OuterRef, Q
from django.utils.translation import gettext_lazy as _

from inventory.models import Lot
from products.models import Fixing


def wrong_bindings() -> Iterator[str]:
    """Yield lots that give nothing though their part stands alone, and fixed parts whose lot could give."""
    standing = Fixing.objects.open()
    one = Q(part__lot=OuterRef("pk")) | Q(holder__lot=OuterRef("pk"))
    bound = Lot.objects.filter(assembled_at__isnull=False).order_by("pk")
    for code in bound.exclude(Exists(standing.filter(one))).values_list("code", flat=True):
        yield f"lot {code}: is bound, yet its part is in no other and holds none"
    places = standing.order_by("pk").values_list("part__lot__code", "holder__lot__code")
    for part, holder in places.filter(part__lot__assembled_at=None):
        yield f"lot {part}: is not bound, yet its part is in {holder}"
    for part, holder in places.filter(holder__lot__assembled_at=None):
        yield f"lot {holder}: is not bound, yet its part holds {part}"


CHECKS = {"bindings": wrong_bindings}
SENTENCES = {"bindings": _("A part that is put into another gives nothing, and only such a part.")}
