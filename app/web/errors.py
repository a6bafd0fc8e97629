"""This module is the one place that turns an error into a status and a sentence. Its page needs no database."""

import logging
import re
from urllib.parse import urlencode

from flask import Flask, Response, flash, jsonify, make_response, redirect, render_template, request
from flask_wtf.csrf import CSRFError
from sqlalchemy.exc import DatabaseError, DBAPIError
from werkzeug.exceptions import HTTPException, SecurityError

from app.actions.errors import ChangedMeanwhile, NotFound
from app.quoting.errors import Refused
from app.store.sentences import UNKNOWN_DATABASE_ERROR, CommitUnknown, StoreUnusable, sentence_for
from app.web import clock
from app.web.days import UnreadableDay
from app.web.htmx import wants_part
from app.web.log import describe_database_error, request_id
from app.web.requests import UNKNOWN_PERSON, current_upload_limits, served_app
from app.web.wording.errors import (
    LOOK_FIRST,
    PRESS_AGAIN,
    STALE_FORM,
    STATUS_SENTENCES,
    UNEXPECTED_ERROR,
    changed_meanwhile,
    tell_number,
    unknown_host,
    unreadable_day,
)

log = logging.getLogger(__name__)


def register_error_handlers(app: Flask) -> None:
    """Registers the answer to each kind of error."""
    app.register_error_handler(NotFound, lambda exc: error_response(404, str(exc)))
    app.register_error_handler(Refused, lambda exc: error_response(422, " ".join(p.sentence for p in exc.problems)))
    app.register_error_handler(ChangedMeanwhile, _changed_meanwhile)
    app.register_error_handler(CSRFError, _stale_form)
    app.register_error_handler(CommitUnknown, _commit_unknown)
    app.register_error_handler(StoreUnusable, _store_unusable)
    app.register_error_handler(DBAPIError, _database_error)
    app.register_error_handler(SecurityError, _unknown_name)
    app.register_error_handler(UnreadableDay, _unreadable_day)
    app.register_error_handler(HTTPException, _http_error)
    app.register_error_handler(500, _unexpected_error)


def error_response(status: int, sentence: str) -> Response:
    """Returns the answer to an error: JSON for data, a sentence for a part of a page, else a page. From status 500
    on, it says by which number the log has the error."""
    number = request_id() if status >= 500 else ""
    if request.path.endswith(".json"):
        problems = [{"field": "", "sentence": sentence}]
        found = {"request_id": number} if number else {}
        return make_response(jsonify(error=sentence, problems=problems, **found), status)
    if wants_part():  # the page stays as it is and shows the sentence at its foot
        said = f"{sentence} {tell_number(number)}" if number else sentence
        return make_response(said, status, {"HX-Reswap": "none", "Content-Type": "text/plain; charset=utf-8"})
    page = render_template("error.html", status=status, sentence=sentence, number=number)
    return make_response(page, status)


def _changed_meanwhile(exc: ChangedMeanwhile) -> Response:
    names = [entry.who for entry in exc.since if entry.who != UNKNOWN_PERSON]
    return error_response(409, changed_meanwhile(names, exc.order.number))


def _database_error(exc: DBAPIError) -> Response:
    _note_failure(describe_database_error(exc))
    return error_response(503, sentence_for(exc) if isinstance(exc, DatabaseError) else UNKNOWN_DATABASE_ERROR)


def _store_unusable(exc: StoreUnusable) -> Response:
    _note_failure(str(exc))
    return error_response(503, str(exc))


def _commit_unknown(exc: CommitUnknown) -> Response:
    """Returns the answer when it is not known whether the request was saved. A form with a key counts once, however
    often it is sent."""
    _note_failure(str(exc))
    return error_response(503, f"{exc.sentence} {PRESS_AGAIN if request.form.get('client_key') else LOOK_FIRST}")


def _note_failure(what: str) -> None:
    """Writes a failure of the database into the log, and into what the health page shows."""
    log.error("%s %s: %s", request.method, request.url_rule, what)
    notes = served_app().notes
    notes.failed_at, notes.failed_request = clock.now(), request_id()


def _stale_form(_exc: CSRFError) -> Response:
    """Returns the answer to a form whose protection key is missing or old."""
    return error_response(400, STALE_FORM)


def _unknown_name(_exc: SecurityError) -> Response:
    """Returns the answer to a request for a host name that this server was not told about."""
    name = re.sub(r":[0-9]*$", "", request.headers.get("Host", ""))  # request.host would refuse it once more
    return error_response(400, unknown_host(name))


def _unreadable_day(exc: UnreadableDay) -> Response:
    """Returns the page as it is without the day that cannot be read, with a sentence about it. What is no page says
    the sentence only."""
    is_page = request.method == "GET" and not wants_part() and "." not in request.path
    if not is_page:
        return error_response(400, exc.sentence)
    flash(unreadable_day(exc.text, exc.sentence), "problem")
    rest = [(name, value) for name, value in request.args.items(multi=True) if value != exc.text]
    return make_response(redirect(f"{request.path}?{urlencode(rest)}" if rest else request.path))


def _http_error(exc: HTTPException) -> Response:
    """Returns the answer to an HTTP error, with the sentence of the view's upload limits when too much was sent."""
    if exc.code is None or exc.code < 400:
        return make_response(exc.get_response())
    if exc.code == 413 and (limits := current_upload_limits()):
        return error_response(exc.code, limits.too_much)
    return error_response(exc.code, STATUS_SENTENCES.get(exc.code, exc.description or exc.name))


def _unexpected_error(_exc: Exception) -> Response:
    """Returns the answer to an unexpected error."""
    return error_response(500, UNEXPECTED_ERROR)
