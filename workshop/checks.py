"""Checks at start-up: a workshop on the network does not start with the settings of a desk."""

from django.conf import settings
from django.core.checks import Error


def secret_key_is_its_own(app_configs, **options):
    """Refuse the key that everybody can read in the source, once others can reach the pages."""
    is_in_production = settings.BEHIND_HTTPS and not settings.DEBUG
    if not is_in_production or settings.SECRET_KEY != settings.DEVELOPMENT_KEY:
        return []
    hint = "Set SECRET_KEY in the environment to a long random text and keep it secret."
    return [Error("SECRET_KEY is the one for development.", hint=hint, id="workshop.E001")]


def debug_stays_at_the_desk(app_configs, **options):
    """Refuse pages that print settings and source, once others can reach them."""
    if not (settings.DEBUG and settings.BEHIND_HTTPS):
        return []
    hint = "Set DEBUG to no, or BEHIND_HTTPS to no on a desk."
    return [Error("DEBUG is on behind HTTPS.", hint=hint, id="workshop.E002")]
