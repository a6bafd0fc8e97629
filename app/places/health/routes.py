"""The health page, and the same as data."""

import logging
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any

from flask import Blueprint, Response, jsonify, make_response, render_template
from sqlalchemy.exc import DatabaseError, DBAPIError

from app.places.health.items import HealthItem, HealthState, items_with_database, items_without_database
from app.store.sentences import UNKNOWN_DATABASE_ERROR, StoreUnusable, sentence_for
from app.web import clock
from app.web.notes import StoreNotes
from app.web.requests import StillaloftFlask, has_context, served_app, without_session

health = Blueprint("health", __name__)
log = logging.getLogger(__name__)


@health.get("/health")
@without_session
def show() -> Response:
    """Shows what was checked."""
    return _answer(_page)


@health.get("/health.json")
@without_session
def show_json() -> Response:
    """Returns the same as data."""
    return _answer(_json)


def _answer(draw: Callable[[list[HealthItem]], Response]) -> Response:
    """Returns the drawn items; with status 503 if the database cannot be read."""
    app, now = served_app(), clock.now()
    try:
        app.database.verify_file()
        with app.database.reading() as session, app.context_of(session):
            return draw(items_with_database(app.database, session, _notes(app), app.planner_notes, now))
    except (DBAPIError, StoreUnusable) as exc:
        log.exception("The health page could not read the database.")
        answer = draw(items_without_database(app.database, _sentence(exc), _notes(app), now))
        answer.status_code = 503
        return answer


def _notes(app: StillaloftFlask) -> StoreNotes:
    """Returns what the program remembers, with the moment of the newest backup in the folder."""
    return replace(app.notes, backed_up_at=next((one.made_at for one in app.backups.listed()), None))


def _sentence(exc: DBAPIError | StoreUnusable) -> str:
    """Returns why the database cannot be read."""
    if isinstance(exc, StoreUnusable):
        return str(exc)
    return sentence_for(exc) if isinstance(exc, DatabaseError) else UNKNOWN_DATABASE_ERROR


def _page(items: list[HealthItem]) -> Response:
    """Returns the page: inside the shop's pages if the database can be read, which they need."""
    template = "health/page.html" if has_context() else "health/unreachable.html"
    return make_response(render_template(template, items={item.key: item for item in items}))


def _json(items: list[HealthItem]) -> Response:
    failed = any(one.state is HealthState.FAILED for one in items)
    return jsonify(failed=failed, items=[_described(item) for item in items])


def _described(item: HealthItem) -> dict[str, Any]:
    """Returns an item as JSON; moments are in UTC."""
    values = {name: _moment(one) if isinstance(one, datetime) else one for name, one in item.values.items()}
    return {"key": item.key, "state": item.state, "at": _moment(item.at), **values}


def _moment(at: datetime | None) -> str | None:
    return at.strftime("%Y-%m-%dT%H:%M:%SZ") if at else None
