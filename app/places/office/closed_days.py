"""Office: the days on which the shop is closed, with their reason, once or in every year."""

from flask import Blueprint, Response, make_response, render_template, request, url_for
from wtforms import BooleanField

from app.actions.shop.closed_days import add_closed_days, load_closed_days, remove_closed_days
from app.places.office.recalculated import save_and_recalculate, status_of
from app.planning.closed_days import ClosedDays
from app.quoting.errors import Refused
from app.store.models import ClosedDaysRow
from app.web.forms import DayField, ShopForm, TextField
from app.web.forms.drawn import Drawn, DrawnField
from app.web.htmx import see_other
from app.web.requests import request_context
from app.web.stored_form import StoredForm

SUBJECT = "closed days"


class ClosedDaysForm(ShopForm):
    """A range of days on which the shop is closed. A blank last day is the first."""

    first = DayField("First day")
    last = DayField("Last day", optional=True)
    reason = TextField("Reason")
    yearly = BooleanField("Every year")

    def days(self) -> ClosedDays:
        """Returns what was typed. The form must be valid."""
        first = self.first.value
        return ClosedDays(first, self.last.value_or_none or first, self.reason.value, bool(self.yearly.data))


def register(office: Blueprint) -> None:
    """Registers the page of closed days."""
    office.get("/hours/closed")(closed_days)
    office.post("/hours/closed")(save_closed_days)
    office.post("/hours/closed/<int:closed_id>/remove")(remove_these_days)


def closed_days() -> Response:
    """Shows the closed days."""
    return _page(ClosedDaysForm())


def save_closed_days() -> Response:
    """Saves a range of closed days."""
    form = ClosedDaysForm(request.form)
    if form.validate():
        try:
            if save_and_recalculate(form, lambda: _save(form)):
                return see_other(url_for("office.closed_days"))
        except Refused as refused:
            form.add_problems(refused.problems)
    return _page(form, status=status_of(form))


def _save(form: ClosedDaysForm) -> str:
    """Saves what was typed, and returns the sentence about it. Raises Refused."""
    stored = _stored()
    stored.remember()
    row = add_closed_days(request_context().session, form.days())
    stored.write_history()
    return f"{row.reason} saved."


def remove_these_days(closed_id: int) -> Response:
    """Removes a range of closed days."""
    form = ShopForm()
    if save_and_recalculate(form, lambda: _remove(closed_id)):
        return see_other(url_for("office.closed_days"))
    return _page(ClosedDaysForm(), (closed_id, form), status_of(form))


def _remove(closed_id: int) -> str:
    """Removes a range, and returns the sentence about it. Raises NotFound."""
    stored = _stored()
    stored.remember()
    reason = remove_closed_days(request_context().session, closed_id)
    stored.write_history()
    return f"{reason} removed."


def _stored() -> StoredForm:
    """Returns what is stored of the closed days, each range as a field."""

    def read() -> Drawn:
        rows = load_closed_days(request_context().session)
        return {f"closed-{row.id}": DrawnField(row.reason, _words(row), _words(row)) for row in rows}

    return StoredForm(SUBJECT, read)


def _words(row: ClosedDaysRow) -> str:
    """Returns the days of a range in words."""
    formats = request_context().formats
    days = formats.day(row.first)
    if row.last != row.first:
        days += f" to {formats.day(row.last)}"
    return f"{days}, every year" if row.yearly else days


def _page(form: ClosedDaysForm, removing: tuple[int, ShopForm] | None = None, status: int = 200) -> Response:
    """Returns the page. removing: a range that was not removed, and why."""
    rows = [(row, _words(row)) for row in load_closed_days(request_context().session)]
    page = render_template("office/closed_days.html", form=form, rows=rows, removing=removing, subject=SUBJECT)
    return make_response(page, status)
