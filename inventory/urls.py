"""Addresses of the inventory."""

app_name = "inventory"
urlpatterns = []
