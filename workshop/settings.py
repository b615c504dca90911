"""Settings of the whole project, read from the environment; see .env.example."""

import os
from pathlib import Path

import dj_database_url

ROOT = Path(__file__).resolve().parent.parent


def flag(name: str, default: str) -> bool:
    """Return whether an environment variable says yes."""
    return os.environ.get(name, default).lower() in {"1", "true", "yes", "on"}


# The machine it runs on

DEBUG = flag("DEBUG", "no")
DEVELOPMENT_KEY = "development-only-key-never-use-this-on-a-network"
SECRET_KEY = os.environ.get("SECRET_KEY", DEVELOPMENT_KEY)
ALLOWED_HOSTS = os.environ.get("ALLOWED_HOSTS", "localhost,127.0.0.1,[::1]").split(",")
CSRF_TRUSTED_ORIGINS = [o for o in os.environ.get("CSRF_TRUSTED_ORIGINS", "").split(",") if o]
BEHIND_HTTPS = flag("BEHIND_HTTPS", "no")
WORKSHOP_NAME = os.environ.get("WORKSHOP_NAME", "The workshop")
WORKSHOP_PLACE = os.environ.get("WORKSHOP_PLACE", "")
WORKSHOP_RETURNS = os.environ.get("WORKSHOP_RETURNS", "")
SITE_URL = os.environ.get("SITE_URL", "http://localhost:8000")  # printed in every code
SCANNER_PREFIX = os.environ.get("SCANNER_PREFIX", "")  # what hand scanners put around each code
SCANNER_SUFFIX = os.environ.get("SCANNER_SUFFIX", "")

# Applications

INSTALLED_APPS = [
    "workshop",
    "products",
    "inventory",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.contrib.humanize",
    "django_htmx",
    "django_filters",
    "rest_framework",
    "rest_framework.authtoken",
    "drf_spectacular",
    "axes",
]

MIDDLEWARE = [
    "workshop.middleware.bare_head",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "workshop.middleware.content_security_policy",
    "workshop.middleware.private_pages",
    "workshop.middleware.bounded_body",
    "workshop.middleware.known_methods",
    "workshop.middleware.plain_address",
    "workshop.middleware.plain_session_cookie",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "workshop.middleware.AtBench",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
    "workshop.views.offline.name_person",
    "workshop.views.waiting.answer_queued",
]

ROOT_URLCONF = "workshop.urls"
WSGI_APPLICATION = "workshop.wsgi.application"
ASGI_APPLICATION = "workshop.asgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [ROOT / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "workshop.context.messages_for_eyes",
                "workshop.context.workshop_facts",
                "workshop.context.scan_box",
            ],
            "builtins": [
                "django.templatetags.cache",
                "django.templatetags.i18n",
                "django.templatetags.static",
                "inventory.templatetags.quantities",
                "inventory.templatetags.strips",
            ],
        },
    }
]

# Each worker remembers for itself: shares behind lots, and what every page says alike.
LOCAL = "django.core.cache.backends.locmem.LocMemCache"
CACHES = {
    "default": {"BACKEND": LOCAL, "LOCATION": "figures", "OPTIONS": {"MAX_ENTRIES": 1000}},
    "template_fragments": {"BACKEND": LOCAL, "LOCATION": "fragments"},
}

# Database: SQLite unless DATABASE_URL names another

SQLITE_OPTIONS = {
    "transaction_mode": "IMMEDIATE",
    "timeout": 20,
    "init_command": (
        "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;"
        "PRAGMA recursive_triggers=ON; PRAGMA cache_size=-64000; PRAGMA mmap_size=2147418112;"
    ),
}
DATABASES = {
    "default": dj_database_url.config(
        default=f"sqlite:///{ROOT / 'workshop.sqlite3'}", conn_max_age=600, conn_health_checks=True
    )
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATABASES["default"]["OPTIONS"] = SQLITE_OPTIONS
else:
    # Statements are prepared on the server after their third use: a move took 28 ms without, 17 with.
    DATABASES["default"].setdefault("OPTIONS", {})
    DATABASES["default"]["OPTIONS"] |= {"server_side_binding": True, "prepare_threshold": 3}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# Who may come in

LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "login"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator"},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "workshop.backends.PasswordBackend",
]
IDLE_LOCK_MINUTES = float(os.environ.get("IDLE_LOCK_MINUTES", "5"))
AXES_FAILURE_LIMIT = 6
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "registration/locked_out.html"
AXES_HTTP_RESPONSE_CODE = 429
AXES_RESET_ON_SUCCESS = True

# Transport

SESSION_ENGINE = "workshop.sessions"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = BEHIND_HTTPS
SECURE_SSL_REDIRECT = BEHIND_HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if BEHIND_HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = BEHIND_HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if BEHIND_HTTPS else None
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CSRF_FAILURE_VIEW = "workshop.views.waiting.old_token"

# Language, time, files

LANGUAGE_CODE = os.environ.get("LANGUAGE_CODE", "en-gb").lower()  # of numbers and days; words too
LANGUAGES = [(LANGUAGE_CODE, LANGUAGE_CODE)]
LOCALE_PATHS = [ROOT / "locale"]
FORMAT_MODULE_PATH = ["workshop.formats"]
MASS_UNITS = os.environ.get("MASS_UNITS", "metric").lower()  # metric or imperial
TIME_ZONE = os.environ.get("TIME_ZONE", "UTC")
USE_TZ = USE_I18N = True
STATIC_URL = "/static/"
STATIC_ROOT = ROOT / "staticfiles"
STATICFILES_DIRS = [ROOT / "static"]
MEDIA_URL = "/media/"
MEDIA_ROOT = Path(os.environ.get("MEDIA_ROOT", ROOT / "media"))
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "workshop.hashed_files.HashedFiles"},
}
DATA_UPLOAD_MAX_MEMORY_SIZE = 12 * 1024 * 1024
FIXTURE_DIRS = [ROOT / "fixtures"]

# API

REST_FRAMEWORK = {
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "inventory.api.tokens.ByToken",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PAGINATION_CLASS": "inventory.api.paging.KeysetPages",
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "workshop.api.errors.answer_refusal",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Workshop record",
    "DESCRIPTION": "Stock, provenance and runs of a recycling workshop. Masses are milligrams.",
    "VERSION": "1.0.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "ENUM_ADD_EXPLICIT_BLANK_NULL_CHOICE": False,
    "ENUM_NAME_OVERRIDES": {
        "FormEnum": "inventory.models.Form",
        "DesignFormEnum": "products.api.designs.FORMS",
    },
}
