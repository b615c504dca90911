"""Checks at start-up: the address that stands in printed codes."""

from django.conf import settings
from django.core.checks import Error, Tags, register
from django.core.checks import Warning as Doubt
from django.db import DatabaseError

from products.queries.addresses import differing_address, is_address


@register(Tags.security)
def site_url_is_an_address(app_configs, **options):
    """Refuse a SITE_URL that cannot stand in a code."""
    if is_address(settings.SITE_URL):
        return []
    hint = "Set SITE_URL to where others reach this workshop, such as https://shop.example."
    return [Error("SITE_URL is no address for printed codes.", hint=hint, id="products.E001")]


@register(Tags.database)
def site_url_is_the_printed_one(app_configs, databases=None, **options):
    """Warn when printed labels carry another address; runs with `check --database default`."""
    try:
        frozen = differing_address() if databases else None
    except DatabaseError:  # before the first migration
        return []
    if frozen is None:
        return []
    said = f"Printed labels carry {frozen.site_url}, SITE_URL is {settings.SITE_URL}."
    hint = "Set SITE_URL back, or let the lead move the address; until then nothing is printed."
    return [Doubt(said, hint=hint, id="products.W001")]
