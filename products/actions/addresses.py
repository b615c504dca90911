"""The address in printed codes: frozen by the first print, moved only by the lead's explicit act."""

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from inventory.actions.acts import Act, earlier, need_reason
from inventory.actions.changes import outcome_of, record_change
from inventory.actions.refusals import refusal
from products.models import PrintedAddress
from products.queries.addresses import frozen_address, is_address, plain_address, set_address


def frozen_for_print(*, act: Act) -> PrintedAddress:
    """Return the address to print, freezing it at the first print; the caller is in a transaction.

    Refuses `site-url` when the settings name no address, `address-frozen` when they name
    another one than the labels printed before carry.
    """
    frozen = frozen_address()
    if frozen is None:
        guard_address(set_address())
        return PrintedAddress.objects.create(site_url=set_address(), frozen_at=act.at, by=act.by)
    if frozen.site_url != set_address():
        sentence = _(
            "Printed labels carry %(frozen)s, the settings say %(set)s: "
            "set SITE_URL back, or let the lead move the address."
        )
        facts = {"frozen": frozen.site_url, "set": set_address()}
        raise refusal("address-frozen", sentence, **facts)
    return frozen


@transaction.atomic
def move_address(*, site_url: str, act: Act) -> PrintedAddress:
    """Print another address from now on; codes printed before lead here only while their address does.

    Refuses `reason`, `site-url` when it is no address, `address-same` when labels carry it already,
    `address-unset` when SITE_URL names another one. A repeated UUID changes nothing.
    """
    site_url = plain_address(site_url)
    request = act.request("move address", site_url=site_url)
    if done := earlier(act, request):
        return outcome_of(done, PrintedAddress)
    need_reason(act)
    guard_address(site_url)
    frozen = frozen_address()
    if frozen and frozen.site_url == site_url:
        raise refusal("address-same", _("Labels carry this address already."))
    if site_url != set_address():
        sentence = _("The settings say %(set)s; set SITE_URL to the new address first.")
        raise refusal("address-unset", sentence, set=set_address())
    moved = PrintedAddress.objects.create(
        site_url=site_url, frozen_at=act.at, by=act.by, reason=act.reason
    )
    record_change(act=act, subject=site_url, request=request, row=moved)
    return moved


def guard_address(site_url: str) -> None:
    """Refuse what cannot stand in a code as the site's address."""
    if not is_address(site_url):
        sentence = _("%(url)s is no address for a code: write http:// or https:// and the name.")
        raise refusal("site-url", sentence, url=site_url[:60])
