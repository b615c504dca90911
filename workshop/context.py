"""What every page may print."""

from django.conf import settings


def workshop_facts(request):
    """Return the workshop's name."""
    return {"workshop_name": settings.WORKSHOP_NAME}
