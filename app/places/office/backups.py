"""Office: the backups of the database, and one more at a press."""

from functools import partial

from flask import Blueprint, Response, flash, make_response, render_template, request, url_for

from app.actions.shop.backups import ONE_IS_MADE
from app.web.htmx import see_other
from app.web.long_work import STOP, LongWork, WorkState
from app.web.requests import only_reads, request_context, served_app

MADE = "Backup made and checked."
SUBJECT = "backup"
STOPPED = "Stopped. No backup was made."
AT_ONCE_SECONDS = 0.5
"""A press waits so long for its backup; the page of one that takes longer says how far it is."""


def register(office: Blueprint) -> None:
    """Registers the page of backups."""
    office.get("/backups")(backups)
    office.post("/backups")(back_up_now)


def backups() -> Response:
    """Shows the backups, and the one that is being made. Once it is made, it says so."""
    works = served_app().long_works
    work = works.newest(SUBJECT)
    if work and work.state is WorkState.RUNNING:
        return _page(work=work)
    if work:
        works.forget(work)
        if work.state is WorkState.DONE:
            flash(MADE)
    return _page(refused=STOPPED if work and work.state is WorkState.STOPPED else work.failure if work else "")


@only_reads
def back_up_now() -> Response:
    """Makes a backup beside the pages, or stops it. It holds no write lock, so that meanwhile orders and taps are
    saved."""
    app = served_app()
    if stopped := request.form.get(STOP):
        work = app.long_works.find(stopped)
        if work:
            work.stop()
            work.wait(AT_ONCE_SECONDS)
        return see_other(url_for("office.backups"))
    keeper, now = app.backups, request_context().now
    running = app.long_works.newest(SUBJECT)
    if running and running.state is WorkState.RUNNING:
        return _page(refused=ONE_IS_MADE, status=503, work=running)
    work = app.long_works.start(SUBJECT, lambda work: keeper.make(now, partial(work.report, pause=0.0)))
    work.wait(AT_ONCE_SECONDS)
    if work.failure:
        app.long_works.forget(work)
        return _page(refused=work.failure, status=503)
    return see_other(url_for("office.backups"))


def _page(refused: str = "", status: int = 200, work: LongWork | None = None) -> Response:
    """Returns the page. refused: why no backup was made, if somebody asked for one. work: that makes one now."""
    keeper = served_app().backups
    found = keeper.listed()
    shown_already = (keeper.failure, keeper.unavailable)
    page = render_template(
        "office/backups.html",
        keeper=keeper,
        backups=found,
        refused="" if refused in shown_already else refused,
        work=work,
        key=work.key if work else "",
    )
    return make_response(page, status)
