"""What every page may print."""

from django.conf import settings

from inventory.queries.access import may


def workshop_facts(request):
    """Return the workshop's name, and for the menu who may set PINs; asked only where it is printed."""
    return {
        "workshop_name": settings.WORKSHOP_NAME,
        "may_set_pins": lambda: may(request.user, "pin.set"),
        "may_set_own_pin": lambda: may(request.user, "pin.own"),
    }
