"""Addresses of the products."""

app_name = "products"
urlpatterns = []
