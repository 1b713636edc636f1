"""Settings of the project: runs with nothing set, on SQLite and a broker of files under var/."""

from __future__ import annotations

import sqlite3
import sys
from datetime import timedelta
from importlib.util import find_spec
from pathlib import Path

import dj_database_url
from django.core.exceptions import ImproperlyConfigured

from installs import onemachine
from installs.env import env_bool, env_int, env_list, env_secret, env_str
from installs.work import filebroker

BASE_DIR = Path(__file__).resolve().parent.parent
VAR_DIR = Path(env_str("VAR_DIR", str(BASE_DIR / "var"))).absolute()

# Production is said, not guessed: without it the site answers on this machine only.
PRODUCTION = env_bool("PRODUCTION", False)
DEBUG = env_bool("DEBUG", False)
DATABASE_URL = env_secret("DATABASE_URL")
REDIS_URL = env_secret("REDIS_URL")
SECRET_KEY = env_secret("SECRET_KEY")
# keys of before: what was signed or enciphered under them is read still, and nothing new is made by them
SECRET_KEY_FALLBACKS = env_list("SECRET_KEY_FALLBACKS")
ALLOWED_HOSTS = env_list("ALLOWED_HOSTS")

onemachine.written_folder(VAR_DIR)
if PRODUCTION:
    if DEBUG:
        raise ImproperlyConfigured("DEBUG shows our insides to whoever meets an error: not with PRODUCTION.")
    if len(SECRET_KEY) < 50:
        raise ImproperlyConfigured("PRODUCTION needs SECRET_KEY (or SECRET_KEY_FILE): 50 random characters.")
    if not ALLOWED_HOSTS or "*" in ALLOWED_HOSTS:
        raise ImproperlyConfigured("PRODUCTION needs ALLOWED_HOSTS: the site's names, with commas between.")
else:
    SECRET_KEY = SECRET_KEY or onemachine.kept_key(VAR_DIR / "secret_key")
    ALLOWED_HOSTS = ALLOWED_HOSTS or ["localhost", "127.0.0.1", "[::1]"]

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "installs",
    "crew",
]

MIDDLEWARE = [
    "installs.work.request_id.request_id",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "installs.people.middleware.content_security_policy",
    "installs.work.answers.head_is_get",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "installs.work.answers.kept_by_nobody",
    "installs.people.middleware.firm_log",
    "installs.people.middleware.settled_sign_in",
    "installs.jobs.middleware.deny_by_default",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "installs.sent.middleware.one_press",
]

ROOT_URLCONF = "installs.urls"
WSGI_APPLICATION = "installs.wsgi.application"

LOADERS = [
    "installs.tight_templates.Loader",
    "django.template.loaders.app_directories.Loader",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "installs.people.context.firm",
            ],
            "builtins": ["installs.templatetags.sent"],
            "loaders": LOADERS if DEBUG else [("django.template.loaders.cached.Loader", LOADERS)],
        },
    },
]

# widgets of our own (rows of figures) have their templates with the others
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"

if DATABASE_URL:
    DATABASES = {"default": dj_database_url.parse(DATABASE_URL, conn_max_age=600, conn_health_checks=True)}
    if DATABASES["default"]["ENGINE"] != "django.db.backends.postgresql":
        raise ImproperlyConfigured("DATABASE_URL must be a postgresql:// URL; leave it out to use SQLite.")
else:
    DATABASES = {
        "default": {
            "ENGINE": "django.db.backends.sqlite3",
            "NAME": str(onemachine.own_folder(VAR_DIR) / "mastwright.sqlite3"),
            "CONN_MAX_AGE": 600,
            "OPTIONS": onemachine.sqlite_options(sqlite3.sqlite_version_info, mac=sys.platform == "darwin"),
        }
    }

AUTH_USER_MODEL = "installs.User"
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
# said by who runs the server, so that no stolen sign-in of the office turns it off
SECOND_FACTOR_REQUIRED = env_bool("SECOND_FACTOR_REQUIRED", False)
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "/"

DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
LANGUAGE_CODE = "en-us"
USE_I18N = False
TIME_ZONE = "UTC"
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = Path(env_str("STATIC_ROOT", str(VAR_DIR / "static")))
STATICFILES_DIRS = [BASE_DIR / "static"]
WHITENOISE_USE_FINDERS = not PRODUCTION
if not PRODUCTION:
    STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # stays empty; WhiteNoise complains when it is not there

STORAGES = {
    "default": {
        "BACKEND": "installs.files.storage.WholeFiles",
        "OPTIONS": {"location": VAR_DIR / "files"},
    },
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
if PRODUCTION:
    # names that carry a hash: a browser never shows a new page with an old stylesheet
    STORAGES["staticfiles"] = {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"}
if env_str("STORAGE_BUCKET"):
    if find_spec("storages") is None or find_spec("boto3") is None:
        raise ImproperlyConfigured(
            "STORAGE_BUCKET needs the store's client, which one machine does without: "
            "pip install -r .ci/requirements-firm.txt (the image has it)."
        )
    STORAGES["default"] = {
        "BACKEND": "storages.backends.s3.S3Storage",
        "OPTIONS": {
            "bucket_name": env_str("STORAGE_BUCKET"),
            "endpoint_url": env_str("STORAGE_ENDPOINT_URL") or None,
            "region_name": env_str("STORAGE_REGION") or None,
            "access_key": env_secret("STORAGE_ACCESS_KEY") or None,
            "secret_key": env_secret("STORAGE_SECRET_KEY") or None,
            "default_acl": None,  # private
        },
    }
# The nightly backups (installs/record/backup.py): best a folder on another disk
BACKUP_DIR = env_str("BACKUP_DIR") or str(VAR_DIR / "backups")
BACKUPS_KEPT = env_int("BACKUPS_KEPT", 7, low=1, high=1000)
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
# a photo scaled on the phone is about 1 MB; a logger's CSV of a season about 5 MB
UPLOAD_LIMIT_BYTES = 12_000_000
FILE_UPLOAD_HANDLERS = [
    "django.core.files.uploadhandler.MemoryFileUploadHandler",  # requests up to 2.5 MB
    "installs.files.uploads.LimitedTemporaryFile",
]

# Background work: the rows of installs/work are the truth, Celery carries only "look".
WORK_LEASE_SECONDS = env_int("WORK_LEASE_SECONDS", 30, low=2, high=3600)
WORK_LOOK_SECONDS = env_int("WORK_LOOK_SECONDS", 30, low=1, high=3600)
if REDIS_URL:
    CELERY_BROKER_URL = REDIS_URL
    CELERY_BROKER_TRANSPORT_OPTIONS = {
        "visibility_timeout": 3600,
        "unacked_restore_throttle": 1,
        # a save does not wait for a broker that is away
        "socket_connect_timeout": 2,
        "max_retries": 1,
        "interval_start": 0,
        "global_keyprefix": env_str("REDIS_PREFIX", "mastwright."),
    }
else:
    filebroker.make_folders(VAR_DIR / "broker")
    CELERY_BROKER_URL = f"{filebroker.ALIAS}://localhost/"
    CELERY_BROKER_TRANSPORT_OPTIONS = {"folder": str(VAR_DIR / "broker"), "polling_interval": 0.2}
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_CONNECTION_MAX_RETRIES = None
CELERY_IMPORTS = ["installs.tasks"]
CELERY_TASK_IGNORE_RESULT = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_ENABLE_REMOTE_CONTROL = False
CELERY_WORKER_HIJACK_ROOT_LOGGER = False
CELERY_TIMEZONE = "UTC"

# A phone keeps its sign-in for a month, because what it recorded offline must still be sendable. At the desk
# a session that nobody uses ends sooner (installs/people/sessions.py).
SESSION_ENGINE = "installs.people.sessions"
SESSION_COOKIE_AGE = int(timedelta(days=30).total_seconds())
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
if PRODUCTION:
    # Behind the TLS proxy of docker-compose.yml, which replaces what a client sends in these headers.
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_SSL_REDIRECT = True
    SECURE_REDIRECT_EXEMPT = [r"^health$"]
    SECURE_HSTS_SECONDS = int(timedelta(days=365).total_seconds())
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SILENCED_SYSTEM_CHECKS = ["security.W021"]  # asks for the line below
    SECURE_HSTS_PRELOAD = env_bool("HSTS_PRELOAD", False)  # a list in browsers that a firm leaves in months
    SESSION_COOKIE_SECURE = True
    SESSION_COOKIE_NAME = "__Host-sessionid"
    CSRF_COOKIE_SECURE = True
    CSRF_COOKIE_NAME = "__Host-csrftoken"

# Who is told of an error (installs/work/alarm.py): mail to these addresses, or a hook's URL.
ADMINS = [("", address) for address in env_list("ADMINS")]
ALARM_HOOK = env_secret("ALARM_HOOK")
if ALARM_HOOK and not ALARM_HOOK.startswith(("https://", "http://")):
    raise ImproperlyConfigured("ALARM_HOOK must be an http(s):// URL.")
EMAIL_HOST = env_str("EMAIL_HOST", "localhost")
EMAIL_PORT = env_int("EMAIL_PORT", 25, low=1, high=65535)
EMAIL_HOST_USER = env_str("EMAIL_USER")
EMAIL_HOST_PASSWORD = env_secret("EMAIL_PASSWORD")
EMAIL_USE_TLS = env_bool("EMAIL_TLS", False)
EMAIL_TIMEOUT = 10
EMAIL_SUBJECT_PREFIX = "Mastwright: "
SERVER_EMAIL = env_str("EMAIL_FROM", "mastwright@localhost")

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {
        "request id": {"()": "installs.work.request_id.WithRequestId"},
        "no secrets": {"()": "installs.work.addresses.WithoutSecrets"},
    },
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(request_id)s %(name)s: %(message)s"}},
    "handlers": {
        "console": {
            "class": "logging.StreamHandler",
            "formatter": "line",
            "filters": ["request id", "no secrets"],
        },
        "alarm": {"class": "installs.work.alarm.Alarm", "filters": ["no secrets"]},
    },
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {
        "installs": {"handlers": ["alarm"], "level": "INFO"},
        "crew": {"handlers": ["alarm"], "level": "INFO"},
        "celery": {"level": "INFO"},
        "celery.app.trace": {"level": "WARNING"},
        "celery.worker.strategy": {"level": "WARNING"},
        "fontTools": {"level": "ERROR"},
        "django": {"handlers": [], "level": "WARNING", "propagate": True},
        "django.request": {"handlers": ["alarm"]},
        "django.server": {"handlers": [], "level": "INFO", "propagate": True},
    },
}
