"""This module answers with a page or a part of it, and handles polling by the version that the page shows."""

import re
import secrets
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from flask import Response, current_app, make_response, redirect, render_template, request
from markupsafe import Markup
from sqlalchemy.orm import Session

from app.actions.records.history import board_version
from app.web.guide import address_after

MAX_PAGE_AGE = timedelta(minutes=5)
_PLACE = Markup(f"{secrets.token_hex(8)}-part")
_SHOWN = re.compile(r"([0-9]{1,18})\.([0-9]{1,12})(\.[0-9a-f]{1,16})?")


def wants_part() -> bool:
    """Returns whether htmx asks for a part of a page."""
    return request.headers.get("HX-Request-Type") == "partial"


def page_or_part(page: str, part: str, status: int = 200, **shown: Any) -> Response:
    """Returns the page, or the very part that it includes when htmx asks for that."""
    response = make_response(render_template(part if wants_part() else page, **shown), status)
    response.vary.add("HX-Request-Type")
    return response


def page_with_part(page: str, part: bytes, status: int = 200, **shown: Any) -> Response:
    """Returns the page around a part that is drawn already, and stands where the page has `part`; the part alone
    when htmx asks for that. It comes in last, because a template copies what is long several times."""
    if not wants_part():
        before, after = render_template(page, part=_PLACE, **shown).split(_PLACE)
        part = b"".join((before.encode(), part, after.encode()))
    response = make_response(part, status)
    response.vary.add("HX-Request-Type")
    return response


def see_other(address: str) -> Response:
    """Returns the answer after a POST: the browser goes to this address, with htmx as a whole page too. From a step
    of the first day it goes on to the next one."""
    address = address_after(address)
    if wants_part():
        return make_response("", 200, {"HX-Redirect": address})
    return make_response(redirect(address, 303))


def page_above() -> str:
    """Returns the address of the nearest page at or above the address of this request, from which its form was
    likely sent."""
    adapter, path = current_app.create_url_adapter(request), request.path.rstrip("/")
    while path and not (adapter and adapter.test(path, method="GET")):
        path = path.rpartition("/")[0]
    return path or "/"


def new_key() -> str:
    """Returns a new key for a form as it is drawn: however often the form arrives with it, it counts once."""
    return secrets.token_hex(8)


def page_version(
    session: Session, changes: Iterable[datetime | None], now: datetime, board: int | None = None
) -> str:
    """Returns the version that a polling page carries: that of the board, and the second at which the page gets
    stale.

    changes: the moments at which the clock alone changes something on the page. board: the version of the board, if
    it was read already.
    """
    coming = _next_change(changes, now)
    stale = min(coming, now + MAX_PAGE_AGE) if coming else now + MAX_PAGE_AGE
    return f"{board_version(session) if board is None else board}.{int(stale.timestamp())}"


def data_version(session: Session, changes: Iterable[datetime | None], now: datetime) -> str:
    """Returns the version of data: that of the board, and the second at which the clock alone changes something
    in it, or 0."""
    coming = _next_change(changes, now)
    return f"{board_version(session)}.{int(coming.timestamp()) if coming else 0}"


def _next_change(changes: Iterable[datetime | None], now: datetime) -> datetime | None:
    """Returns the first of these moments that lies after now; None when there is none."""
    return min((at for at in changes if at is not None and at > now), default=None)


def shown_board(shown: str, now: datetime) -> int | None:
    """Returns of which version of the board a page is that says that it shows this; None if the clock alone has
    changed it since."""
    found = _SHOWN.fullmatch(shown)
    return int(found[1]) if found and now.timestamp() < int(found[2]) else None


def no_change_response() -> Response:
    """Returns the answer that tells a polling page to stay as it is."""
    return Response(status=204)
