"""The order form's add-ons and price: rows of add-ons, a discount, and when hired goods come back."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any, TypeVar

from wtforms import Form, SelectField, StringField
from wtforms.validators import ValidationError

from app.craft.money import HUNDRED, NOTHING, Amount, Percent, Portion, typed_percent
from app.planning.shoptime import local_day
from app.quoting.errors import Problem
from app.quoting.request import ExtraRequest, ExtraSort
from app.web.formats import Formats
from app.web.forms import MomentForm, at_most, read_id, read_money, read_whole

if TYPE_CHECKING:
    from app.places.counter.forms import OrderForm

MOST_EXTRAS = 40
MOST_OF_AN_EXTRA = 1000
OF_SUPPLIES = (ExtraSort.SUPPLY, ExtraSort.RENTAL)

Read = TypeVar("Read")


class ExtraForm(Form):
    """One add-on. One left blank is none."""

    what = SelectField("Add-on", validate_choice=False)
    title = StringField("In own words", [at_most(80, "An add-on's name takes")])
    quantity = StringField("How many")
    each = StringField("Price each")

    usual = ""
    """The shop's price of what is chosen, where it has one."""

    @property
    def is_blank(self) -> bool:
        return not any((field.data or "").strip() for field in self)

    def read(self, decimals: int) -> ExtraRequest | None:
        """The add-on, or None with a sentence at each field that is wrong. How many left empty is one, a price left
        empty is the shop's."""
        sort, _, key = (self.what.data or "").partition(":")
        quantity = _read(self.quantity, lambda text: read_whole(text, 1, MOST_OF_AN_EXTRA, "How many"), 1)
        unit_minor = _read(self.each, lambda text: read_money(text, decimals), None)
        supply_id = read_id(key) or None
        if sort not in {*ExtraSort} or (sort in OF_SUPPLIES and supply_id is None):
            self.what.errors = [*self.what.errors, "Choose what it is, or remove it."]
        if quantity is None or any(field.errors for field in self):
            return None
        title = " ".join((self.title.data or "").split()) if sort == ExtraSort.OTHER else ""
        return ExtraRequest(
            ExtraSort(sort), quantity, supply_id if sort in OF_SUPPLIES else None, title, unit_minor
        )


def _read(field: Any, read: Callable[[str], Read], empty: Read | None) -> Read | None:
    """What was typed, or empty; None too with the sentence at the field when it cannot be read."""
    text = (field.data or "").strip()
    if not text:
        return empty
    try:
        return read(text)
    except ValidationError as wrong:
        field.errors = [*field.errors, str(wrong)]
        return None


def read_price_part(form: "OrderForm", formats: Formats, hours: Sequence[datetime | None]) -> dict[str, Any]:
    """Fields of the request. hours: of the order, the latest first: a take-down without a date is on its day."""
    form.extra_places = [place for place, row in enumerate(form.extras) if not row.form.is_blank]
    read = [form.extras[place].form.read(formats.decimals) for place in form.extra_places]
    last = next((hour for hour in hours if hour), None)
    day = local_day(last, formats.zone) if last else None
    return {
        "extras": tuple(extra for extra in read if extra),
        "discount": _read(form.discount, lambda text: read_discount(text, formats.decimals), NOTHING),
        "return_by": _moment(form.return_by.form, formats, None),
        "take_down_at": _moment(form.take_down_at.form, formats, day),
    }


def _moment(moment: MomentForm, formats: Formats, day: date | None) -> datetime | None:
    return None if moment.is_empty else moment.read(formats, day)


def read_discount(text: str, decimals: int) -> Portion:
    """“10 %”, or an amount as in “5.00”. Raises ValidationError with a sentence."""
    percent = re.fullmatch(r"([0-9]{1,6}(?:[.,][0-9]{1,3})?) ?%", text)
    if percent is None:
        try:
            return Amount(read_money(text, decimals))
        except ValidationError:
            sentence = f"“{text}” is no discount: a percent as in 10 %, or an amount as in 5.00."
            raise ValidationError(sentence) from None
    share = Decimal(percent[1].replace(",", "."))
    if share > HUNDRED:
        raise ValidationError("The shop would pay the customer: a discount is at most 100 %.")
    return Percent(share)


def typed_discount(discount: Portion, formats: Formats) -> str:
    """The inverse of read_discount."""
    if isinstance(discount, Percent):
        return typed_percent(discount.percent)
    return formats.amount(discount.minor) if discount.minor else ""


def at_its_row(problem: Problem, form: "OrderForm") -> Problem:
    """A problem of an add-on, by its place in the request, at its row of the form; blank ones are none of the
    request."""
    found = re.fullmatch(r"extras\.([0-9]+)\.(\w+)", problem.field)
    if found is None:
        return problem
    return replace(problem, field=f"extras.{form.extra_places[int(found[1])]}.{found[2]}")
