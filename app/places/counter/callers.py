"""Counter: who is calling, found while their name or phone is typed, and their earlier orders beside the form."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from flask import Blueprint, render_template, request, url_for

from app.actions.orders.customers import phone_problem
from app.actions.records.sold_rows import rebuild_extra, rebuild_line
from app.places.counter.forms import PROBLEM_FIELDS, OrderForm
from app.places.counter.order_now import RowNow, rows_now
from app.places.counter.prefill import form_of
from app.places.counter.repeat import carry_typed, clear_for_new_date, undo_of_repeat, without_repeats
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Refused
from app.quoting.extras import SoldExtra, sell_extra
from app.quoting.parts import sell
from app.quoting.request import ExtraSort, Occasion
from app.quoting.shop import Shop
from app.store.models import Order, OrderExtra
from app.store.queries.counter import find_order
from app.store.queries.customers import (
    CallerRow,
    Callers,
    PastOrder,
    find_callers,
    find_customer,
    past_orders,
)
from app.store.queries.phones import phone_search_digits
from app.store.search_keys import fold_text
from app.web.forms import read_id, show_problems
from app.web.requests import request_context

MOST_ORDERS = 5


@dataclass(frozen=True, slots=True)
class ChosenCaller:
    """The customer for whom the form is, with their latest orders. now: what has become of these, by number."""

    row: CallerRow
    orders: Sequence[PastOrder]
    now: Mapping[int, RowNow]


def register(counter: Blueprint) -> None:
    """Registers the search for callers."""
    counter.get("/callers")(callers)


def callers() -> str:
    """Shows the customers whom the typed name or phone may mean. typed_field: which of the two is typed."""
    asked = request.args
    name, phone = asked.get("customer", "")[:80], asked.get("phone", "")[:80]
    found = find_callers(
        request_context().session, name, phone, asked.get("typed_field") or _identifying_field(phone)
    )
    draft = url_for("counter.draft", order=read_id(asked.get("order")) or None)
    return render_template("counter/_callers.html", callers=found, draft=draft)


def _identifying_field(phone: str) -> str:
    """Returns which field identifies the caller: the phone if it has digits, else the name."""
    return "phone" if phone_search_digits(phone) else "customer"


def callers_of(form: OrderForm) -> Callers:
    """Returns the customers whom the typed name or phone may mean."""
    name, phone = form.customer.data or "", form.phone.data or ""
    return find_callers(request_context().session, name, phone, _identifying_field(phone))


def chosen_caller_of(form: OrderForm, order: Order | None) -> ChosenCaller | None:
    """Returns the chosen customer; None if nobody is chosen, if the name was changed, and while an order is
    changed."""
    chosen = read_id(form.customer_id.data)
    row = find_customer(request_context().session, chosen) if chosen and order is None else None
    if row is None or fold_text(" ".join((form.customer.data or "").split())) != fold_text(row.name):
        return None
    orders = past_orders(request_context().session, row.id, MOST_ORDERS)
    return ChosenCaller(row, orders, rows_now(orders))


def choose_caller_or_repeat(form: OrderForm, what: str, number: int) -> OrderForm:
    """Returns the form with a caller chosen or an order repeated; unchanged if there is no such caller or order."""
    return _choose(form, number) if what == "caller" else _repeat(form, number)


def _choose(form: OrderForm, customer_id: int) -> OrderForm:
    """Returns the form with the customer. A typed phone that is not theirs stays: it becomes theirs when the order
    is saved."""
    row = find_customer(request_context().session, customer_id)
    if row:
        _drop_phone_of_caller_before(form, customer_id)
        typed = (form.phone.data or "").strip()
        own = row.phone_of(typed) or ("" if typed and not phone_problem(typed) else None)
        if own is None:
            own = row.phone_with(form.customer.data or "")
        form.latex_allergy.data = row.latex_allergy or (
            bool(form.latex_allergy.data) and not _chosen_caller_had_allergy(form)
        )
        form.customer.data, form.customer_id.data = row.name, str(row.id)
        form.phone.data = own or form.phone.data
        form.focus = _first_day(form)
    return form


def _drop_phone_of_caller_before(form: OrderForm, customer_id: int) -> None:
    """Empties the phone if it came with another caller who was chosen before."""
    before = find_customer(request_context().session, read_id(form.customer_id.data))
    if before and before.id != customer_id and (form.phone.data or "").strip() in before.phones:
        form.phone.data = ""


def _chosen_caller_had_allergy(form: OrderForm) -> bool:
    """Returns whether the caller who was chosen before has a latex allergy, so that the tick came with them."""
    before = find_customer(request_context().session, read_id(form.customer_id.data))
    return before is not None and before.latex_allergy


def _repeat(form: OrderForm, number: int) -> OrderForm:
    order = find_order(request_context().session, number)
    return form if order is None else repeat_in(form, order)


def repeat_in(form: OrderForm, order: Order) -> OrderForm:
    """Returns the form with the order again, for another day.

    What was typed stays, the dates and the forecast are left empty, and prices are today's. What was in the form
    goes into its undo.
    """
    here = request_context()
    again, typed = form_of(order, here.formats), without_repeats(form)
    clear_for_new_date(again, order, here.formats)
    carry_typed(again, typed)
    for field in ("client_key", "version", "customer", "customer_id", "phone", "refused"):
        again[field].data = form[field].data
    again.latex_allergy.data = again.latex_allergy.data or form.latex_allergy.data
    again.undo.data = undo_of_repeat(form, again)
    again.is_draft, again.focus = form.is_draft, _first_day(again)
    _add_problems_of_archived_goods(again, order)
    return again


def _add_problems_of_archived_goods(form: OrderForm, order: Order) -> None:
    """Adds a sentence at each line and extra that is no longer sold."""
    here = request_context()
    sold_again: list[Callable[[Catalogue, Shop], object]] = [
        *(partial(sell, rebuild_line(line), place) for place, line in enumerate(order.lines)),
        *(partial(_sell_again, extra, place) for place, extra in enumerate(order.extras)),
    ]
    for sell_one in sold_again:
        try:
            sell_one(here.catalogue, here.shop)
        except Refused as refused:
            show_problems(form, refused.problems, PROBLEM_FIELDS)


def _sell_again(extra: OrderExtra, place: int, catalogue: Catalogue, shop: Shop) -> SoldExtra:
    """Returns the extra at today's price; one in the counter's own words keeps its price, since it has no
    other."""
    order_request = rebuild_extra(extra)
    unit_minor = order_request.unit_minor if order_request.sort is ExtraSort.OTHER else None
    return sell_extra(replace(order_request, unit_minor=unit_minor), place, catalogue, shop, {}, ())


def _first_day(form: OrderForm) -> str:
    """Returns the name of the date field that is typed first."""
    return {Occasion.EVENT: "event_start", Occasion.UNTIL: "lasts_until"}.get(
        form.occasion.data, "lines-0-quantity"
    )
