"""Office: the backups of the database, and one more at a press."""

from typing import cast

from flask import Blueprint, Response, current_app, flash, make_response, render_template, url_for

from app.actions.shop.backups import BackupKeeper
from app.store.sentences import StoreUnusable
from app.web.htmx import see_other
from app.web.requests import StillaloftFlask, only_reads, request_context

MADE = "Backup made and checked."


def register(office: Blueprint) -> None:
    """Registers the page of backups."""
    office.get("/backups")(backups)
    office.post("/backups")(back_up_now)


def backups() -> Response:
    """Shows the backups."""
    return _page()


@only_reads
def back_up_now() -> Response:
    """Makes a backup. It holds no write lock, so that meanwhile orders and taps are saved."""
    try:
        _keeper().make(request_context().now)
    except StoreUnusable as exc:
        return _page(refused=exc.sentence, status=503)
    flash(MADE)
    return see_other(url_for("office.backups"))


def _keeper() -> BackupKeeper:
    return cast(StillaloftFlask, current_app).backups


def _page(refused: str = "", status: int = 200) -> Response:
    """Returns the page. refused: why no backup was made, if somebody asked for one."""
    keeper = _keeper()
    found = keeper.listed()
    shown_already = (keeper.failure, keeper.unavailable)
    page = render_template(
        "office/backups.html",
        keeper=keeper,
        backups=found,
        refused="" if refused in shown_already else refused,
    )
    return make_response(page, status)
