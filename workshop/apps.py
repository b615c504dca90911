from django.apps import AppConfig
from django.core.checks import Tags, register

from workshop.checks import debug_stays_at_the_desk, secret_key_is_its_own


class WorkshopConfig(AppConfig):
    name = "workshop"

    def ready(self):
        register(secret_key_is_its_own, Tags.security)
        register(debug_stays_at_the_desk, Tags.security)
