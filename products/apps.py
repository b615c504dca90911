from importlib import import_module

from django.apps import AppConfig


class ProductsConfig(AppConfig):
    name = "products"

    def ready(self):
        import_module("products.checks")  # its checks register themselves, once models are loaded
