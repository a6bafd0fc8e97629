"""The order form's extras and price: rows of extras, a discount, and when rented items come back."""

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Protocol

from wtforms import FieldList, FormField
from wtforms.validators import ValidationError

from app.craft.money import HUNDRED, ZERO_AMOUNT, Amount, Percent, Portion, typed_percent
from app.planning.shoptime import local_day
from app.quoting.errors import Problem
from app.quoting.request import FOOT_M, ExtraRequest, ExtraSort
from app.web.formats import Formats
from app.web.forms import (
    AmbiguousNumber,
    ChoiceField,
    MomentForm,
    MoneyField,
    ShopForm,
    TextField,
    TypedField,
    WholeField,
    max_length,
    read_id,
    read_money,
    read_plain_number,
)
from app.web.requests import request_context

CHOOSE_EXTRA = "Choose an extra, or remove this one."
ENTER_DISCOUNT = "Enter a discount as a percent, for example 10%, or as an amount, for example 5.00."
DISCOUNT_OVER_ALL = "Enter a discount of at most 100%."
MOST_EXTRAS = 40
MOST_OF_AN_EXTRA = 1000
BY_THE_FOOT = ":ft"
"""Ends the choice of a supply that is sold by the foot."""
OF_SUPPLIES = (ExtraSort.SUPPLY, ExtraSort.RENTAL)


class ExtraForm(ShopForm):
    """One extra. A blank row is no extra; an empty quantity means 1, an empty price the shop's own."""

    what = ChoiceField("Extra")
    title = TextField("Other: name it", [max_length(80, "A name takes")])
    quantity = WholeField("Quantity", 1, MOST_OF_AN_EXTRA, empty=1)
    each = MoneyField("Price each", optional=True)

    usual = ""
    """The shop's price of what is chosen, if it has one."""

    @property
    def is_blank(self) -> bool:
        """Whether nothing was typed in the row."""
        return not any((field.data or "").strip() for field in self)

    def uses_field(self, _name: str) -> bool:
        """Returns whether the row asks for the field."""
        return not self.is_blank

    def validate_what(self, _field: Any) -> None:
        if not self.is_blank and self._chosen is None:
            raise ValidationError(CHOOSE_EXTRA)

    @property
    def _chosen(self) -> tuple[ExtraSort, int | None] | None:
        """What is chosen, and which supply; None if nothing is chosen."""
        sort, _, key = (self.what.data or "").removesuffix(BY_THE_FOOT).partition(":")
        supply_id = read_id(key) or None
        if sort not in {*ExtraSort} or (sort in OF_SUPPLIES and supply_id is None):
            return None
        return ExtraSort(sort), supply_id if sort in OF_SUPPLIES else None

    def extra(self) -> ExtraRequest | None:
        """Returns the extra; None if it is wrong. Call it once the form is validated."""
        if self._chosen is None or any(field.errors for field in self):
            return None
        sort, supply_id = self._chosen
        title = self.title.value if sort is ExtraSort.OTHER else ""
        of_one = FOOT_M if (self.what.data or "").endswith(BY_THE_FOOT) else 1.0
        return ExtraRequest(sort, self.quantity.value, supply_id, title, self.each.value_or_none, of_one)


class DiscountField(TypedField[Portion]):
    """A percentage, or an amount; empty is no discount."""

    def __init__(self, label: str, validators: Any = None, **kwargs: Any) -> None:
        super().__init__(label, validators, empty=ZERO_AMOUNT, **kwargs)

    def read(self, text: str) -> Portion:
        return read_discount(text, request_context().formats.decimals)


class PricePart(Protocol):
    """The fields of the order form about price and return. extra_places: the rows of extras that are not blank."""

    extras: FieldList
    discount: DiscountField
    return_by: FormField
    take_down_at: FormField
    extra_places: Sequence[int]


def read_price_part(form: PricePart, formats: Formats, hours: Sequence[datetime | None]) -> dict[str, Any]:
    """Returns the fields of the request about price and return. Call it once the form is validated.

    hours: the times of the order, the latest first; a take-down without a date is on the day of the first of them.
    """
    form.extra_places = [place for place, row in enumerate(form.extras) if not row.form.is_blank]
    extras = [form.extras[place].form.extra() for place in form.extra_places]
    last = next((hour for hour in hours if hour), None)
    day = local_day(last, formats.zone) if last else None
    return {
        "extras": tuple(extra for extra in extras if extra),
        "discount": form.discount.value_or_none,
        "return_by": _read_moment(form.return_by.form, formats, None),
        "take_down_at": _read_moment(form.take_down_at.form, formats, day),
    }


def _read_moment(moment: MomentForm, formats: Formats, day: date | None) -> datetime | None:
    """Returns the moment that was typed, in UTC."""
    return None if moment.is_empty else moment.read(formats, day)


def read_discount(text: str, decimals: int) -> Portion:
    """Returns the discount from “10 %”, or from an amount as in “5.00”. Raises ValidationError with a sentence."""
    if not text.endswith("%"):
        try:
            return Amount(read_money(text, decimals))
        except AmbiguousNumber:
            raise
        except ValidationError:
            raise ValidationError(ENTER_DISCOUNT) from None
    number = read_plain_number(text.removesuffix("%"))
    if not re.fullmatch(r"[0-9]{1,6}(?:\.[0-9]{1,3})?", number):
        raise ValidationError(ENTER_DISCOUNT)
    share = Decimal(number)
    if share > HUNDRED:
        raise ValidationError(DISCOUNT_OVER_ALL)
    return Percent(share)


def typed_discount(discount: Portion, formats: Formats) -> str:
    """Returns the discount as a person types it."""
    if isinstance(discount, Percent):
        return typed_percent(discount.percent).replace(".", formats.decimal_mark)
    return formats.amount(discount.minor) if discount.minor else ""


def with_form_row(problem: Problem, form: PricePart) -> Problem:
    """Returns the problem of an extra with the row of the form in place of its place in the request. The two
    differ, because blank rows are left out of the request."""
    found = re.fullmatch(r"extras\.([0-9]+)\.(\w+)", problem.field)
    if found is None:
        return problem
    return replace(problem, field=f"extras.{form.extra_places[int(found[1])]}.{found[2]}")
