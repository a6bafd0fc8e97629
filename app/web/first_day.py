"""This module leads to the first day, once in each browser, as long as nothing was ever done in a shop."""

from flask import redirect, session, url_for
from werkzeug.wrappers import Response

from app.quoting.settings.all_settings import SETTINGS
from app.store.queries.first_day import is_untouched
from app.web.requests import request_context

SEEN = "first_day"
"""The name under which a browser remembers that it was led to the steps."""


def is_led_to_first_day() -> bool:
    """Returns whether this browser is now led to the steps: once, in a shop in which nothing was ever done."""
    if SEEN in session:
        return False
    here = request_context()
    if any(here.shop.display[one.key] != one.default for one in SETTINGS) or not is_untouched(here.session):
        return False
    session[SEEN] = "y"
    return True


def front_door() -> Response:
    """Leads to the bench, and in a shop in which nothing was ever done to the first day, once."""
    return redirect(url_for("office.first_day" if is_led_to_first_day() else "bench.board"))
