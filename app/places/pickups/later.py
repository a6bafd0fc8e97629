"""Pick-ups: what a later collection would do, asked while the customer is on the phone. Nothing is saved."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta

from flask import request

from app.planning.shoptime import Fold, TimeSkipped, to_utc
from app.web.forms import ShopForm, TextField, add_sentence
from app.web.forms.reading import read_hour
from app.web.requests import request_context
from app.web.wording.forms import ENTER_TIME, describe_skipped_time


class LaterForm(ShopForm):
    """The time at which an order would be collected."""

    at = TextField("Collected at")


@dataclass(frozen=True, slots=True)
class AskedLater:
    """The question for one order. key: of its hand-over on the page; empty if nothing is asked. moment: None if no
    time was understood."""

    key: str
    form: LaterForm
    moment: datetime | None

    @property
    def address(self) -> dict[str, str]:
        """What the address of the page says about it, so that the page renews itself with the answer."""
        return {"later": self.key, "at": str(self.form.at.data or "")} if self.key else {}

    def moment_for(self, key: str) -> datetime | None:
        """Returns the time that is asked about for a hand-over; None if it is not the one."""
        return self.moment if key == self.key else None

    def form_for(self, key: str) -> LaterForm:
        """Returns the form on the card of a hand-over: as it was sent, if it is the one."""
        return self.form if key == self.key else LaterForm(id_suffix=key)


def read_asked_later() -> AskedLater:
    """Returns what the address asks about. A time that has passed today is one of tomorrow."""
    key = request.args.get("later", "")[:20]
    form = LaterForm(request.args if key else None, id_suffix=key)
    return AskedLater(key, form, _read_moment(form) if key else None)


def _read_moment(form: LaterForm) -> datetime | None:
    """Returns the next moment at which the clock shows the time; None, with a sentence, if it cannot be read."""
    here, hour = request_context(), read_hour(form.at.data or "")
    if hour is None:
        add_sentence(form.at, ENTER_TIME)
        return None
    now = here.formats.local(here.now)
    local = datetime.combine(now.date(), time.min) + timedelta(hours=hour[0], minutes=hour[1])
    if local <= now.replace(tzinfo=None):
        local += timedelta(days=1)
    try:
        return to_utc(local, here.formats.zone, Fold.FIRST)
    except TimeSkipped as skipped:
        times = (here.formats.time_of_day(at.time()) for at in (local, skipped.after))
        add_sentence(form.at, describe_skipped_time(*times))
        return None
