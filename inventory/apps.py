from django.apps import AppConfig


class InventoryConfig(AppConfig):
    name = "inventory"

    def ready(self):
        from inventory.forms.errors import put_own_words  # noqa: PLC0415 (forms need the models)

        put_own_words()
