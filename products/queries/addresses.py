"""Questions about the address that printed codes carry."""

from django.conf import settings

from inventory.calculations.codes import ALPHABET, LENGTH
from products.calculations.qr_codes import AddressError, label_address
from products.models import PrintedAddress

SAMPLE_CODE = ALPHABET[0] * LENGTH
LONGEST_ADDRESS = 200


def plain_address(site_url: str) -> str:
    """Return a site's address as it is printed: without spaces around and a slash at the end."""
    return site_url.strip().rstrip("/")


def is_address(site_url: str) -> bool:
    """Return whether a text can stand in a printed code as the site's address."""
    try:
        label_address(site_url, SAMPLE_CODE)
    except (AddressError, ValueError):
        return False
    return len(plain_address(site_url)) <= LONGEST_ADDRESS


def set_address() -> str:
    """Return the address that the settings name."""
    return plain_address(settings.SITE_URL)


def frozen_address() -> PrintedAddress | None:
    """Return the address that printed codes carry, None before the first print."""
    return PrintedAddress.objects.select_related("by").first()


def printed_address() -> str:
    """Return the address for codes: the frozen one, or before the first print the set one."""
    frozen = frozen_address()
    return frozen.site_url if frozen else set_address()


def differing_address() -> PrintedAddress | None:
    """Return the frozen address when the settings name another one, else None."""
    frozen = frozen_address()
    return frozen if frozen and frozen.site_url != set_address() else None
