"""Every address of the project."""

from django.contrib import admin
from django.contrib.auth.views import LoginView
from django.urls import include, path

from workshop.views import audits, codes, hands, home, offline, scan_photos, turns, waiting

urlpatterns = [
    path("", home.index, name="home"),
    path("q/", codes.scan, name="scan"),
    path("q/photo/", scan_photos.scan_photo, name="scan-photo"),
    path("q/<str:code>/", codes.scan, name="scan-code"),
    path("obj/<str:code>", codes.exported, name="thing-id"),
    path("class/<str:code>", codes.exported, name="lot-id"),
    path("login/", LoginView.as_view(), name="login"),
    path("logout/", turns.leave, name="logout"),
    path("worker.js", offline.worker, name="worker"),
    path("offline/", offline.offline, name="offline"),
    path("offline/pages/", offline.pages, name="offline-pages"),
    path("hand/", hands.choose, name="hand"),
    path("verify/", audits.verify, name="verify"),
    path("verify/verify_audit.py", audits.script, name="verify-script"),
    path("waiting/who/", waiting.who, name="waiting-who"),
    path("admin/", admin.site.urls),
    path("api/", include("workshop.api.urls")),
    path("", include("inventory.urls")),
    path("", include("products.urls")),
    path("", include("workshop.floor_urls")),
]
