from importlib import import_module

from django.apps import AppConfig


class ProductsConfig(AppConfig):
    name = "products"

    def ready(self):
        """Wire what needs the models, which are loaded by now."""
        import_module("products.checks")  # its checks register themselves
        codes = import_module("inventory.queries.codes")
        codes.follow_stickers_by(import_module("products.queries.labels").sticker_of_label)
        names = import_module("inventory.queries.lot_names")
        names.name_lots_by(import_module("products.queries.parts").design_names)
        verification = import_module("inventory.queries.verification")
        fixings = import_module("products.queries.fixing_verification")
        verification.also_check(fixings.CHECKS, fixings.SENTENCES)
        exports = import_module("inventory.queries.exports")
        exports.also_tell(import_module("products.queries.fixing_exports").joinings)
