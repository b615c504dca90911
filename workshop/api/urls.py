"""Every address of the API."""

app_name = "api"
urlpatterns = []
