"""Counter: form in, one call, template out."""

import re
from dataclasses import replace
from typing import Any

from flask import Blueprint, Response, flash, make_response, render_template, request, url_for

from app.actions.errors import ChangedMeanwhile
from app.actions.orders.cancel import reopen_order
from app.actions.orders.overrides import Overrides
from app.actions.orders.take import change_order, take_order
from app.actions.records.orders import load_order
from app.places.counter import (
    callers,
    cancelling,
    customers,
    goods_routes,
    order_list,
    order_page,
    order_presses,
    quick_sale,
    weeks,
)
from app.places.counter.choices import HAND_OVER_TIMES
from app.places.counter.empty_form import empty_form
from app.places.counter.extra_choices import offer_extras
from app.places.counter.extras import with_form_row
from app.places.counter.forms import PROBLEM_FIELDS, OrderForm
from app.places.counter.free_orders import refuse_free_unsaid
from app.places.counter.goods_routes import design_picture_variables
from app.places.counter.live_quote import make_shown_quote, offered
from app.places.counter.order_hours import end_next_day
from app.places.counter.order_page import ReopenForm
from app.places.counter.prefill import (
    add_extra,
    add_line,
    apply_alternative,
    copy_of_form,
    drop_extra,
    drop_line,
    drop_swaps,
    form_of,
    posted_form,
    undo_alternative,
)
from app.places.counter.quote_view import ShownQuote
from app.places.counter.refusal import mark_changed_meanwhile, mark_refused, refusal_of
from app.places.counter.repeat import cleared_form
from app.places.counter.weights import add_weights
from app.quoting.errors import Refused
from app.quoting.request import OrderRequest
from app.quoting.states import FilledFate, OrderState
from app.store.models import Order
from app.store.queries.customers import Callers
from app.web.days import read_date
from app.web.first_day import is_led_to_first_day
from app.web.forms import read_id, show_problems
from app.web.htmx import new_key, page_or_part, page_with_part, see_other
from app.web.requests import only_reads, request_context
from app.web.wording.allergy import ASK_THE_VENUE

counter = Blueprint("counter", __name__, url_prefix="/counter")
for page_module in (
    *(callers, cancelling, customers, goods_routes, quick_sale),
    *(order_list, order_page, order_presses, weeks),
):
    page_module.register(counter)


FORM = "counter/_form.html"
ADDS = {"add-line": add_line, "add-extra": add_extra}
DROPS = {"line": drop_line, "extra": drop_extra, "swaps": drop_swaps}


@counter.get("/")
def new_order() -> Response:
    """Shows an empty order form; with a day in the address, that day stands in it. In a shop in which nothing
    was ever done it leads to the first day instead, once."""
    if is_led_to_first_day():
        return see_other(url_for("office.first_day"))
    part = empty_form(read_date(request.args.get("day")), lambda form: render_template(FORM, **_shown(form)))
    return page_with_part("counter/form.html", part)


@counter.post("/draft")
@only_reads
def draft() -> Response:
    """Returns the form again after any press but Save; nothing is saved.

    The press may calculate the quote, add or remove a line, find the caller or what a line may be, accept an offer,
    clear the form, or bring back what was typed before a reload.
    """
    form, order = posted_form(request.form), _order_of_draft()
    form.is_draft = True
    fix = request.form.get("fix", "work")
    if fix == "live":
        return _quote_part(form, order)
    if fix == "callers":
        return _form_page(form, order, found=callers.callers_of(form))
    if named := re.fullmatch(r"(caller|repeat)-([0-9]{1,9})", fix):
        form = callers.choose_caller_or_repeat(form, named[1], int(named[2]))
    if fix == "clear":
        return _form_page(cleared_form(form))
    if named or fix == "restore" or goods_routes.choose_goods(form, fix):
        return _form_page(form, order, _quote_or_problems(copy_of_form(form), order))
    place = re.fullmatch(r"drop-(line|extra|swaps)-([0-9]{1,3})", fix)
    if fix in ADDS:
        ADDS[fix](form)
    elif place:
        DROPS[place[1]](form, int(place[2]))
    else:
        _apply_offer(fix, form, order)
        return _form_page(form, order, _quote_or_problems(form, order))
    return _form_page(form, order, _quote_or_problems(copy_of_form(form), order))


def _apply_offer(fix: str, form: OrderForm, order: Order | None) -> None:
    """Writes a pressed offer into the form: the next day, an alternative, or the undoing of an alternative."""
    here = request_context()
    if fix == "end-next-day":
        end_next_day(form, here.formats)
    elif visited := re.fullmatch(r"offer-(delivery|take-down)", fix):
        add_extra(form, visited[1])
    elif fix == "add-weights":
        order_request = form.read(here.formats, here.now, here.shop.trip)
        if order_request:
            add_weights(form, order_request, order)
    elif fix == "undo":
        undo_alternative(form)
        form.focus = "alternatives"
    elif fix.startswith(("alternative-", "bench-", "substitute-")):
        order_request = form.read(here.formats, here.now, here.shop.trip)
        if order_request and (chosen := offered(order_request, order, fix)):
            apply_alternative(form, chosen, here.formats)
            form.focus = "undo"


def _quote_part(form: OrderForm, order: Order | None) -> Response:
    """Returns the quote alone, while somebody is typing; what is missing is asked for and not yet marked as an
    error."""
    quote = _quote_or_problems(form, order)
    shown = {"form": form, "order": order, "quote": quote, "refusal": refusal_of(form, quote)}
    return make_response(render_template("counter/_live_answer.html", **shown, live=True))


@counter.post("/orders")
def take() -> Response:
    """Saves a new order."""
    here, form = request_context(), posted_form(request.form)
    goods_routes.settle_names(form)
    order_request = form.read(here.formats, here.now, here.shop.trip)
    if order_request:
        try:
            key = (form.client_key.data or new_key())[:64]
            with here.session.begin_nested():
                order = take_order(here.context, order_request, key)
                refuse_free_unsaid(form, order)
            flash(f"Order {order.number} saved.")
            return see_other(url_for("counter.show", number=order.number))
        except Refused as refused:
            _say(form, refused)
            if form.client_key.errors:
                form.client_key.data = new_key()
    mark_refused(form)
    return _form_page(form, None, _quote_if_possible(order_request, None), status=422)


@counter.get("/orders/<int:number>/change")
def edit(number: int) -> Response:
    """Shows the form of an order."""
    here = request_context()
    order = load_order(here.session, number)
    if order.state != OrderState.OPEN or order.not_made_at:
        return see_other(url_for("counter.show", number=number))
    form = form_of(order, here.formats)
    return _form_page(form, order, _quote_or_problems(form, order))


@counter.post("/orders/<int:number>/change")
def change(number: int) -> Response:
    """Saves a changed order."""
    here, form = request_context(), posted_form(request.form)
    order = load_order(here.session, number)
    goods_routes.settle_names(form)
    order_request, status = form.read(here.formats, here.now, here.shop.trip), 422
    if order_request:
        try:
            version = read_id(form.version.data)
            fate = FilledFate(form.surplus.data) if form.surplus.data else None
            with here.session.begin_nested():
                refuse_free_unsaid(form, change_order(here.context, number, version, order_request, fate))
            flash(f"Order {number} saved.")
            return see_other(url_for("counter.show", number=number))
        except Refused as refused:
            _say(form, refused)
        except ChangedMeanwhile as meanwhile:
            status, form.changes_since_opened = 409, meanwhile.since
            form.version.data = str(meanwhile.order.version)
            mark_changed_meanwhile(form)
    if status == 422:
        mark_refused(form)
    return _form_page(form, order, _quote_if_possible(order_request, order), status=status)


@counter.post("/orders/<int:number>/reopen")
def reopen(number: int) -> Response:
    """Opens a cancelled order again."""
    here, form = request_context(), ReopenForm(request.form)
    if form.validate():
        try:
            typed = Overrides(form.bench_override.data or "", form.stock_override.data or "")
            reopen_order(here.context, number, typed)
            flash(f"Order {number} is open again.")
            return see_other(url_for("counter.show", number=number))
        except Refused as refused:
            if not {problem.field for problem in refused.problems} <= {"bench_override", "stock_override"}:
                raise
            form.add_problems(refused.problems)
    return make_response(order_page.order_page(number, form), 422)


def _form_page(
    form: OrderForm,
    order: Order | None = None,
    quote: ShownQuote | None = None,
    status: int = 200,
    found: Callers | None = None,
) -> Response:
    """Returns the page of the form. found: the callers who were searched for, which may be none."""
    return page_or_part("counter/form.html", FORM, status, **_shown(form, order, quote, found))


def _shown(
    form: OrderForm, order: Order | None = None, quote: ShownQuote | None = None, found: Callers | None = None
) -> dict[str, Any]:
    """Returns what the template of the form shows."""
    here = request_context()
    form.offer_goods(here.catalogue, here.shop, here.formats, order, goods_routes.this_day())
    offer_extras(form, here.catalogue, here.shop.pricing, here.formats, order)
    shown = {"form": form, "order": order, "quote": quote, "now": here.now, "pricing": here.shop.pricing}
    whose = {
        "callers": found or Callers(),
        "asked": found is not None,
        "chosen_caller": callers.chosen_caller_of(form, order),
    }
    pictured = {
        "ask_the_venue": ASK_THE_VENUE,
        "hand_over_times": HAND_OVER_TIMES,
        **design_picture_variables(form.event_day_of(goods_routes.this_day())),
    }
    return {**shown, **whose, **pictured, "refusal": refusal_of(form, quote)}


def _quote_or_problems(form: OrderForm, order: Order | None) -> ShownQuote | None:
    """Returns the quote, or the sentences that say why there is none."""
    here = request_context()
    order_request = form.read(here.formats, here.now, here.shop.trip)
    if order_request is None:
        return None
    try:
        return make_shown_quote(order_request, order)
    except Refused as refused:
        _say(form, refused)
        return None


def _quote_if_possible(order_request: OrderRequest | None, order: Order | None) -> ShownQuote | None:
    """Returns the quote beside a form that could not be saved for another reason."""
    try:
        return make_shown_quote(order_request, order) if order_request else None
    except Refused:
        return None


def _say(form: OrderForm, refused: Refused) -> None:
    """Adds the problems to the form. Blank rows are not in the request, so places are counted back to rows of the
    form."""
    moved = [
        with_form_row(problem, form)
        if problem.line is None
        else replace(problem, line=form.line_places[problem.line])
        for problem in refused.problems
    ]
    show_problems(form, moved, PROBLEM_FIELDS)


def _order_of_draft() -> Order | None:
    """Returns the order that is changed; None for a new one."""
    number = read_id(request.args.get("order"))
    return load_order(request_context().session, number) if number else None
