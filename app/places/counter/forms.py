"""The order form: its fields, and the sentences about what is wrong in them."""

import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from wtforms import BooleanField, FormField, HiddenField, SelectChoice, TextAreaField
from wtforms.validators import ValidationError

from app.actions.orders.customers import MAX_NAME_LENGTH, MAX_PHONE_LENGTH, name_problem, phone_problem
from app.physics.light import Surroundings
from app.places.counter.choices import (
    FATES,
    HAND_OVER_TIMES,
    HAND_OVERS,
    OCCASIONS,
    PLACES,
    choice_of_line,
    goods_choices,
)
from app.places.counter.extras import MOST_EXTRAS, DiscountField, ExtraForm, read_price_part
from app.places.counter.folds import OrderFolds
from app.places.counter.goods_search import SEASON_DATE_FIELDS, event_day_of, find_goods
from app.places.counter.line_form import LineForm
from app.places.counter.order_hours import read_hours
from app.places.counter.rows import RowList
from app.quoting.catalogue import Catalogue
from app.quoting.request import OVER_THE_COUNTER, HandOver, LineRequest, Occasion, OrderRequest
from app.quoting.shop import Shop, TripDefaults
from app.store.models import HistoryEntry, Order
from app.web.formats import Formats
from app.web.forms import (
    MeasureField,
    MomentForm,
    RadioChoiceField,
    ShopForm,
    TemperatureField,
    TextField,
    WholeField,
    WindField,
    add_sentence,
    max_length,
    read_id,
)

MOST_LINES = 40
ENTER_ADDRESS = "Enter an address."
ENTER_PHONE = "Enter a phone number. We call when something changes."
CHOOSE_ANY_GOODS = "Choose a design or balloon for at least one line."

PROBLEM_FIELDS = {
    "event_start": "event_start.hour",
    "lasts_until": "lasts_until.hour",
    "ready_by": "hand_over_time.hour",
    "later_at": "later_hand_over_time.hour",
    "return_by": "return_by.hour",
    "take_down_at": "take_down_at.hour",
}


class OrderForm(OrderFolds, ShopForm):
    client_key = HiddenField("")
    version = HiddenField()
    customer_id = HiddenField()
    customer = TextField("Customer", [max_length(MAX_NAME_LENGTH, "A name takes")])
    phone = TextField("Phone", [max_length(MAX_PHONE_LENGTH, "A phone number takes")])
    latex_allergy = BooleanField("Latex allergy (customer or venue)")
    occasion = RadioChoiceField("Occasion", choices=OCCASIONS, default="event")
    event_start = FormField(MomentForm, "Event starts")
    lasts_until = FormField(MomentForm, "Must float until")
    surroundings = RadioChoiceField("Venue", choices=PLACES, default="indoors")
    venue_warmth = TemperatureField("Venue temperature", -20, 50, optional=True)
    venue_elevation = MeasureField("Venue altitude", -430, 5000, "m", optional=True)
    venue_wind = WindField("Wind at the venue", optional=True)
    hand_over = RadioChoiceField("Collection or delivery", choices=HAND_OVERS, default="collect")
    hand_over_time = FormField(MomentForm, HAND_OVER_TIMES[HandOver.COLLECT])
    later_hand_over_time = FormField(MomentForm, "Time of the later part")
    address = TextField("Address", [max_length(200, "An address takes")])
    travel_minutes = WholeField("Travel time", 1, 1440)
    set_up_minutes = WholeField("Set-up time", 0, 600, optional=True)
    hanging_minutes = WholeField("Hanging time", 0, 1440, optional=True)
    crew = WholeField("People in the crew", 1, 20, optional=True)
    lines = RowList(FormField(LineForm), "Line", MOST_LINES, min_entries=1)
    extras = RowList(FormField(ExtraForm), "Extra", MOST_EXTRAS)
    discount = DiscountField("Discount", [max_length(20, "A discount takes")])
    return_by = FormField(MomentForm, "Rentals back by")
    take_down_at = FormField(MomentForm, "Take-down: crew can enter from")
    notes = TextAreaField("Notes", [max_length(2000, "Notes take")])
    accepted_risk = TextField("What the customer accepted", [max_length(300, "This field takes")])
    bench_override = TextField("Reason for accepting it anyway (bench)", [max_length(300, "A reason takes")])
    stock_override = TextField("Reason for accepting it anyway (stock)", [max_length(300, "A reason takes")])
    surplus = RadioChoiceField("Filled balloons left over", choices=FATES)
    free = BooleanField("This order is free")
    undo = HiddenField()
    refused = HiddenField("")
    """What a refused save said of no field, as JSON; empty if no save was refused."""

    next_day_offer: datetime | None = None
    ends_next_day: date | None = None
    """The day after the start, if the end is taken to be on it because only an earlier hour was typed."""
    changes_since_opened: Sequence[HistoryEntry] = ()
    """The changes that somebody else saved since this form was opened."""
    line_places: Sequence[int] = ()
    """The row in the form of each line of the request."""
    extra_places: Sequence[int] = ()
    is_draft = False
    """Whether the caller is still talking, so that customer and address may be missing."""
    is_refused = False
    """Whether saving the form was refused."""
    focus = ""
    """The field that gets the focus after a press has filled in others."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.name_hand_over_time()

    def name_hand_over_time(self) -> None:
        """Names the time of the hand-over after its choice."""
        self.hand_over_time.label.text = HAND_OVER_TIMES[self._hand_over]

    def offer_goods(
        self, catalogue: Catalogue, shop: Shop, formats: Formats, order: Order | None, today: date
    ) -> None:
        """Sets the choices: what the shop sells, what this order has already, and what typed names may mean."""
        self.name_hand_over_time()
        day = self.event_day_of(today)
        has = {choice_of_line(line) for line in order.lines} if order else set()
        choices = goods_choices(catalogue, shop, formats, day, has)
        offered = {choice.value for choice in choices}
        for line in self.lines:
            chosen = line.form.what.data
            gone = [SelectChoice(chosen, "archived")] if chosen and chosen not in offered else []
            line.form.what.choices = [*choices, *gone]
            line.form.describe_swaps(catalogue)
            typed = line.form.find.data or ""
            line.form.found = find_goods(typed, catalogue, shop, formats, day) if typed.strip() else None

    def event_day_of(self, today: date) -> date:
        """Returns the day of the event, as far as it is typed."""
        return event_day_of((self[name].form.day.data for name in SEASON_DATE_FIELDS), today)

    def missing_of(self, names: Sequence[str]) -> list[str]:
        """Returns the fields among these that are empty."""
        return [name for name in names if not (self[name].data or "").strip()]

    @property
    def undo_values(self) -> dict[str, Any]:
        """The values that undo the last step, by field; empty if they cannot be read."""
        try:
            return dict(json.loads(self.undo.data or "{}"))
        except (ValueError, TypeError, RecursionError):
            return {}

    @property
    def undoes(self) -> str:
        """What undo goes back on: "clear", "repeat" or "alternative"."""
        before = self.undo_values
        return "clear" if "cleared" in before else "repeat" if "lines" in before else "alternative"

    @property
    def _may_be_nameless(self) -> bool:
        return self.is_draft or self.occasion.data == Occasion.NOW

    @property
    def _hand_over(self) -> HandOver:
        """The hand-over; a quick sale is collected."""
        if self.occasion.data == Occasion.NOW or self.hand_over.data not in {*HandOver}:
            return HandOver.COLLECT
        return HandOver(self.hand_over.data)

    @property
    def _needs_address(self) -> bool:
        """Whether the shop comes to the customer, even if only to take down."""
        return self._hand_over is not HandOver.COLLECT or bool((self.take_down_at.form.hour.data or "").strip())

    @property
    def has_later_part(self) -> bool:
        return self.occasion.data != Occasion.NOW and any(line.form.later.data for line in self.lines)

    @property
    def _is_outdoors(self) -> bool:
        return self.surroundings.data in (Surroundings.SHADE, Surroundings.SUN)

    def uses_field(self, name: str) -> bool:
        hand_over = self._hand_over
        asked = {
            "venue_wind": self._is_outdoors,
            "surplus": bool(self.surplus.data),
            "travel_minutes": hand_over is not HandOver.COLLECT,
            **dict.fromkeys(("set_up_minutes", "hanging_minutes", "crew"), hand_over is HandOver.VENUE),
        }
        return asked.get(name, True)

    def validate(self, extra_validators: Any = None) -> bool:
        """Returns whether the form is valid. For filling at the venue, travel takes the shop's default if none was
        typed."""
        self.travel_minutes.optional = self._hand_over is HandOver.VENUE
        is_valid = bool(super().validate(extra_validators))
        too_many = [rows.too_many for rows in (self.lines, self.extras) if rows.too_many]
        self.form_errors += too_many
        return is_valid and not too_many

    def validate_customer(self, field: Any) -> None:
        name = (field.data or "").strip()
        if not name and self._may_be_nameless:
            return
        if wrong := name_problem(name):
            raise ValidationError(wrong)

    def validate_phone(self, field: Any) -> None:
        phone = (field.data or "").strip()
        if not phone and self._may_be_nameless:
            return
        if not phone:
            raise ValidationError(ENTER_PHONE)
        if wrong := phone_problem(phone):
            raise ValidationError(wrong)

    def validate_address(self, field: Any) -> None:
        if self._needs_address and not self.is_draft and not (field.data or "").strip():
            raise ValidationError(ENTER_ADDRESS)

    def read(self, formats: Formats, now: datetime, trip: TripDefaults) -> OrderRequest | None:
        """Returns the request; None if a field is wrong, which then has a sentence. trip: defaults for a venue."""
        is_valid = self.validate()
        lines = self._read_lines()
        hours = read_hours(self, formats)
        warmth, hand_over = self.venue_warmth.value_or_none, self._hand_over
        crew: dict[str, Any] = self._read_crew(trip) if hand_over is HandOver.VENUE else {}
        travel = self._travel(trip)
        times_latest_first = (hours["lasts_until"], hours["event_start"], hours["hand_over_time"])
        priced = read_price_part(self, formats, times_latest_first)
        if not is_valid or self.problems:
            return None
        return OrderRequest(
            customer=_tidy(self.customer.data) or OVER_THE_COUNTER,
            phone=_tidy(self.phone.data),
            occasion=Occasion(self.occasion.data),
            lines=tuple(lines),
            event_start=hours["event_start"],
            lasts_until=hours["lasts_until"],
            surroundings=Surroundings(self.surroundings.data),
            venue_celsius=None if warmth is None else round(warmth, 2),
            venue_elevation_m=self.venue_elevation.value_or_none,
            wind_m_s=self.venue_wind.value_or_none,
            hand_over=hand_over,
            ready_by=_before(hours["hand_over_time"], travel),
            arrives_at=None if hand_over is HandOver.COLLECT else hours["hand_over_time"],
            later_at=_before(hours["later_hand_over_time"], travel),
            travel_minutes=travel,
            address=_tidy(self.address.data) if self._needs_address else "",
            notes=(self.notes.data or "").strip(),
            latex_allergy=bool(self.latex_allergy.data),
            accepted_risk=_tidy(self.accepted_risk.data),
            bench_override=_tidy(self.bench_override.data),
            stock_override=_tidy(self.stock_override.data),
            customer_id=read_id(self.customer_id.data) or None,
            **crew,
            **priced,
        )

    def _read_lines(self) -> list[LineRequest]:
        self.line_places = [place for place, line in enumerate(self.lines) if not line.form.is_blank]
        lines = [self.lines[place].form.line() for place in self.line_places]
        if not lines:
            add_sentence(self.lines[0].form.what, CHOOSE_ANY_GOODS)
        at_once = self.occasion.data == Occasion.NOW
        return [replace(line, later=line.later and not at_once) for line in lines if line]

    def _travel(self, trip: TripDefaults) -> int:
        """Returns the minutes of travel; 0 if they are wrong, or nobody travels."""
        if self._hand_over is HandOver.VENUE:
            return _or(self.travel_minutes.value_or_none, trip.venue_travel_minutes)
        return self.travel_minutes.value_or_none or 0

    def _read_crew(self, trip: TripDefaults) -> dict[str, int]:
        names = ("set_up_minutes", "hanging_minutes", "crew")
        return {name: _or(self[name].value_or_none, getattr(trip, name)) for name in names}


def _or(number: int | None, usual: int) -> int:
    return usual if number is None else number


def _before(moment: datetime | None, minutes: int) -> datetime | None:
    return moment - timedelta(minutes=minutes) if moment else None


def _tidy(text: str | None) -> str:
    return " ".join((text or "").split())
