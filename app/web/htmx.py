"""Page or fragment, and polling with the version that the page shows."""

import re
import secrets
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from flask import Response, make_response, redirect, render_template, request
from sqlalchemy.orm import Session

from app.actions.records.history import board_version

FRESH_FOR = timedelta(minutes=5)


def wants_part() -> bool:
    return request.headers.get("HX-Request-Type") == "partial"


def page_or_part(page: str, part: str, status: int = 200, **shown: Any) -> Response:
    """The page, or the very fragment that it includes when htmx asks for one."""
    response = make_response(render_template(part if wants_part() else page, **shown), status)
    response.vary.add("HX-Request-Type")
    return response


def see_other(address: str) -> Response:
    """After a POST: go and look; htmx is told to go there as a whole page."""
    if wants_part():
        return make_response("", 200, {"HX-Redirect": address})
    return make_response(redirect(address, 303))


def new_key() -> str:
    """A key for one form as drawn: however often it arrives, it counts once."""
    return secrets.token_hex(8)


def page_version(session: Session, turns: Iterable[datetime | None], now: datetime) -> str:
    """What a polling page carries: the board's version, and the second at which the clock alone changes the page.

    turns: moments at which something on the page reads differently.
    """
    coming = next_turn(turns, now)
    stale = min(coming, now + FRESH_FOR) if coming else now + FRESH_FOR
    return f"{board_version(session)}.{int(stale.timestamp())}"


def data_version(session: Session, turns: Iterable[datetime | None], now: datetime) -> str:
    """The same for data: it stays until something in the data is different."""
    coming = next_turn(turns, now)
    return f"{board_version(session)}.{int(coming.timestamp()) if coming else 0}"


def next_turn(turns: Iterable[datetime | None], now: datetime) -> datetime | None:
    return min((turn for turn in turns if turn is not None and turn > now), default=None)


def still_fresh(session: Session, shown: str | None, now: datetime) -> bool:
    """Whether a page with this version shows things as they are."""
    found = re.fullmatch(r"([0-9]{1,18})\.([0-9]{1,12})", shown or "")
    if not found or now.timestamp() >= int(found[2]):
        return False
    return int(found[1]) == board_version(session)


def nothing_new() -> Response:
    return make_response("", 204)
