"""The settings of the site: every value comes from the environment, none is needed to start."""

import datetime as dt
import sys
from pathlib import Path

import dj_database_url
import django_stubs_ext
from csp.constants import NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from certification.site import environment as env

# Lets forms and views name their model in brackets, as the type checker wants it.
django_stubs_ext.monkeypatch()

BASE_DIR = Path(__file__).resolve().parent.parent.parent
SITE_DIR = Path(__file__).resolve().parent
DATA_DIR = Path(env.text("DATA_DIR", str(BASE_DIR / ".var")))
# The database file, the pictures and the record's key lie here; a fresh clone has no such folder.
DATA_DIR.mkdir(mode=0o750, parents=True, exist_ok=True)

UNDER_TEST = "pytest" in sys.modules
DEVELOPMENT_KEY = "a-key-for-development-and-the-demo-plant-only-never-for-a-real-one"

DEBUG = env.flag("DEBUG", default=True)
SECRET_KEY = env.text("SECRET_KEY", DEVELOPMENT_KEY)
if not DEBUG and not UNDER_TEST and SECRET_KEY == DEVELOPMENT_KEY:
    raise ImproperlyConfigured("DEBUG is off: set SECRET_KEY (or SECRET_KEY_FILE) to a secret.")
ALLOWED_HOSTS = env.words("ALLOWED_HOSTS", "127.0.0.1,localhost,[::1]")
CSRF_TRUSTED_ORIGINS = env.words("CSRF_TRUSTED_ORIGINS")

INSTALLED_APPS = [
    "certification.site",
    "certification.staffing",
    "certification.matrix",
    "certification.training_plans",
    "certification.certificates",
    "training.lessons",
    "training.quizzes",
    "training.specimens",
    "training.floor",
    "training.people",
    "media_demo",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "crispy_forms",
    "crispy_bootstrap5",
    "csp",
    "django_htmx",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "certification.site.access.RouteAccessMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "certification.site.urls"
WSGI_APPLICATION = "certification.site.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [SITE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.template.context_processors.i18n",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "certification.site.context.page",
            ]
        },
    }
]

DATABASES = {
    "default": dj_database_url.parse(
        env.text("DATABASE_URL", f"sqlite:///{DATA_DIR / 'witness-line.sqlite3'}"),
        conn_max_age=60,
        conn_health_checks=True,
    )
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # Immediate transactions wait for the lock instead of failing half-way; FULL keeps the last
    # commits through a power loss, which a record of certification must.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
    }
    DATABASES["default"]["CONN_MAX_AGE"] = 0
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "people.Person"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "training.people.backends.OfficeBackend",
    "training.people.backends.FloorBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "people:office_sign_in"
LOGIN_REDIRECT_URL = "site:start"
LOGOUT_REDIRECT_URL = "site:start"
SESSION_COOKIE_AGE = 60 * env.number("OFFICE_SESSION_MINUTES", 480, least=5)
FLOOR_SESSION_MINUTES = env.number("FLOOR_SESSION_MINUTES", 60, least=1)

# A badge is locked on a device after so many wrong PINs, for so many minutes.
AXES_FAILURE_LIMIT = env.number("SIGN_IN_FAILURES", 8, least=3)
AXES_COOLOFF_TIME = dt.timedelta(minutes=env.number("SIGN_IN_LOCK_MINUTES", 15, least=1))
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_CLIENT_IP_CALLABLE = "training.people.devices.lock_address"
AXES_USERNAME_CALLABLE = "training.people.devices.lock_name"
AXES_LOCKOUT_CALLABLE = "training.people.views.sign_in.locked_out"
AXES_RESET_ON_SUCCESS = True
AXES_ENABLE_ADMIN = False
AXES_VERBOSE = False

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
LOCALE_PATHS = [SITE_DIR / "locale"]
TIME_ZONE = env.text("PLANT_TIME_ZONE", "UTC")
# Printed on certificates; nothing where it is not set.
PLANT_NAME = env.text("PLANT_NAME", "")
USE_TZ = True

STATIC_URL = "static/"
STATICFILES_DIRS = [SITE_DIR / "static"]
STATIC_ROOT = DATA_DIR / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG or UNDER_TEST
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}
WHITENOISE_USE_FINDERS = DEBUG or UNDER_TEST
WHITENOISE_AUTOREFRESH = DEBUG

# Pictures never lie under a public address: a view hands them out after an access check.
PICTURE_DIR = Path(env.text("PICTURE_DIR", str(DATA_DIR / "pictures")))
PICTURE_UPLOAD_MEGABYTES = env.number("PICTURE_UPLOAD_MEGABYTES", 40, least=1)
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024

RECORD_KEY_FILE = env.text("RECORD_KEY_FILE", str(DATA_DIR / "record-key.pem"))
RECORD_MAY_BE_FLUSHED = UNDER_TEST

# The matrix lies below staffing, which keeps attendance; here the two are wired together.
MATRIX_ABSENCES = "certification.staffing.selectors.absences_at"

CRISPY_ALLOWED_TEMPLATE_PACKS = "bootstrap5"
CRISPY_TEMPLATE_PACK = "bootstrap5"

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:"],
        "object-src": [NONE],
        "frame-ancestors": [NONE],
        "form-action": [SELF],
        "base-uri": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_HTTPONLY = True
BEHIND_TLS = env.flag("BEHIND_TLS", default=not DEBUG and not UNDER_TEST)
if BEHIND_TLS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_SSL_REDIRECT = True
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": env.text("LOG_LEVEL", "WARNING")},
}

if UNDER_TEST:
    PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
