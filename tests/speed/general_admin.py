"""The table of batches in Django's admin, served like the shop: for the comparison of speed only."""

import sys

import django
from django.conf import settings
from django.contrib import admin
from django.db import models
from django.urls import path
from waitress import create_server

FILE, PORT, ROWS = sys.argv[1], int(sys.argv[-1]), 200
COLUMNS = ("key", "quantity", "balloon_type_name", "gas", "fill_size_in", "not_before", "inflate_by", "ready_by")

settings.configure(
    SECRET_KEY="speed",
    ALLOWED_HOSTS=["127.0.0.1"],
    ROOT_URLCONF=__name__,
    DATABASES={"default": {"ENGINE": "django.db.backends.sqlite3", "NAME": FILE}},
    INSTALLED_APPS=[f"django.contrib.{name}" for name in ("contenttypes", "auth", "sessions", "messages", "admin")],
    MIDDLEWARE=[
        "django.contrib.sessions.middleware.SessionMiddleware",
        "django.contrib.messages.middleware.MessageMiddleware",
        f"{__name__}.owner",
    ],
    TEMPLATES=[
        {
            "BACKEND": "django.template.backends.django.DjangoTemplates",
            "APP_DIRS": True,
            "OPTIONS": {
                "context_processors": [
                    "django.template.context_processors.request",
                    "django.contrib.auth.context_processors.auth",
                    "django.contrib.messages.context_processors.messages",
                ]
            },
        }
    ],
)
sys.modules.setdefault("general_admin", sys.modules[__name__])
django.setup()


class Batch(models.Model):
    """The columns that a list of work would show."""

    key = models.TextField()
    quantity = models.IntegerField()
    balloon_type_name = models.TextField()
    gas = models.TextField()
    fill_size_in = models.FloatField()
    not_before = models.IntegerField()
    inflate_by = models.IntegerField()
    ready_by = models.IntegerField()

    class Meta:
        app_label, managed, db_table = "auth", False, "batch"


def owner(get_response):
    """Lets everybody in, so that no session is looked up."""
    from django.contrib.auth.models import User  # noqa: PLC0415

    someone = User(pk=1, username="owner", is_staff=True, is_superuser=True)

    def answer(request):
        request.user = someone
        return get_response(request)

    return answer


@admin.register(Batch)
class Batches(admin.ModelAdmin):
    """All of a day on one page."""

    list_display, list_per_page, ordering = COLUMNS, ROWS, ("inflate_by",)


urlpatterns = [path("admin/", admin.site.urls)]

if __name__ == "__main__":
    from django.core.wsgi import get_wsgi_application

    server = create_server(get_wsgi_application(), host="127.0.0.1", port=PORT, threads=8)
    print("Stillaloft is running.", flush=True)
    server.run()
