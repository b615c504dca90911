from django.apps import AppConfig
from django.db.models.signals import post_migrate


class InventoryConfig(AppConfig):
    name = "inventory"

    def ready(self):
        from inventory.actions.row_counts import count_again  # noqa: PLC0415 (they need the models)
        from inventory.forms.errors import put_own_words  # noqa: PLC0415

        put_own_words()
        post_migrate.connect(count_again, sender=self)
