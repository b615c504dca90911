"""Addresses of the shop floor."""

app_name = "workshop"
urlpatterns = []
