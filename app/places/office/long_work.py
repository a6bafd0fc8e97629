"""Office: how far a work is that takes long, and the page that waits for it."""

from flask import Blueprint, Response, make_response, render_template, request

from app.web.long_work import STOP, LongWork
from app.web.requests import served_app

OWN_FIELDS = ("csrf_token", STOP)
"""What the form of the page has itself."""


def register(office: Blueprint) -> None:
    """Registers the part that says how far a work is."""
    office.get("/long-work/<key>")(long_work)


def long_work(key: str) -> Response:
    """Shows how far the work is. Of one that is not known, it says that it begins again."""
    work = served_app().long_works.find(key)
    return make_response(render_template("office/_long_work.html", work=work, key=key))


def long_work_page(work: LongWork) -> Response:
    """Returns the page that waits for a work and then sends the form of this request once more, to the same
    address. All that was typed is in it, so nothing is lost if the program is started again meanwhile."""
    sent = [(name, value) for name, value in request.form.items(multi=True) if name not in OWN_FIELDS]
    page = render_template("office/long_work.html", work=work, key=work.key, sent=sent)
    return make_response(page, 202)
