"""Every field of an order travels form → request → order → request → form, and is placed wherever orders go."""

from dataclasses import fields, replace
from datetime import timedelta
from decimal import Decimal

import pytest
from flask import g, render_template
from werkzeug.datastructures import MultiDict

from app.actions.orders.overrides import EMPTIED_FOR_BENCH, Overrides, bench_relevant_request
from app.actions.orders.take import write_order
from app.actions.records.batches import sync_batches
from app.actions.records.descriptions import HistoryFormats, describe_changes, describe_order
from app.actions.records.rebuild_request import rebuild_request
from app.craft.money import Amount, Percent
from app.physics.light import Surroundings
from app.places.counter.callers import repeat_in
from app.places.counter.forms import OrderForm
from app.places.counter.order_page import confirmation_values
from app.places.counter.prefill import copy_of_form, form_of, values_of
from app.planning.window import Verdict
from app.quoting.errors import Refused
from app.quoting.order_cost import cost_of
from app.quoting.quote import make_quote
from app.quoting.request import (
    FIELD_PLACES,
    ExtraRequest,
    ExtraSort,
    HandOver,
    NotShown,
    Occasion,
    OrderRequest,
    RepeatRule,
)
from app.quoting.states import OrderState
from app.store.models import Order
from app.web.requests import RequestContext, request_context
from tests.actions.builders import MORNING, at, line, order_request

NAMES = [field.name for field in fields(OrderRequest)]


def filled_there(catalogue):
    """No two of its values are alike, and each is another than what a request has when nobody says it."""
    return OrderRequest(
        customer="Wilhelmina Hart",
        phone="01632 960101",
        occasion=Occasion.EVENT,
        lines=(line(catalogue), line(catalogue, "18 in foil", 3, colours="gold", hung_g=1.25)),
        ready_by=at(9, 43),
        event_start=at(14),
        lasts_until=at(23, 30, days=1),
        surroundings=Surroundings.SHADE,
        venue_celsius=23.5,
        venue_elevation_m=410.0,
        wind_m_s=4.5,
        hand_over=HandOver.VENUE,
        arrives_at=at(10),
        travel_minutes=17,
        set_up_minutes=21,
        hanging_minutes=33,
        crew=3,
        address="The Corn Hall",
        notes="Ring twice.",
        latex_allergy=True,
        accepted_risk="Until the cake.",
        bench_override="One comes in earlier.",
        stock_override="More come on Thursday.",
        customer_id=7,
        extras=(ExtraRequest(ExtraSort.OTHER, 2, title="Banner", unit_minor=650),),
        discount=Percent(Decimal(5)),
        return_by=at(10, 15, days=2),
        take_down_at=at(9, 30, days=2),
    )


def in_two_parts(catalogue):
    """A delivery with a later part, in which most values are others than those of the crew's."""
    foil = line(catalogue, "18 in foil", 3, colours="gold")
    return OrderRequest(
        customer="Odd Larsen",
        phone="01632 960202",
        occasion=Occasion.EVENT,
        lines=(line(catalogue, later=True), foil),
        ready_by=at(11, 40),
        event_start=at(15, 10),
        lasts_until=at(20, 20),
        surroundings=Surroundings.SUN,
        venue_celsius=19.0,
        venue_elevation_m=120.0,
        wind_m_s=2.5,
        hand_over=HandOver.DELIVER,
        arrives_at=at(12),
        travel_minutes=20,
        later_at=at(13, 5),
        address="7 Quay Row",
        notes="Blue door.",
        discount=Amount(321),
        customer_id=8,
    )


def until_an_hour(catalogue):
    return OrderRequest(
        customer="Runa Vik",
        phone="01632 960303",
        occasion=Occasion.UNTIL,
        lines=(line(catalogue),),
        ready_by=at(10, 20),
        lasts_until=at(16, 50),
        latex_allergy=True,
        customer_id=9,
    )


EVERY = [filled_there, in_two_parts, until_an_hour]


@pytest.fixture
def save(shop, catalogue):
    """save(request): the order with the request's fields, as take_order and change_order fill them in."""

    def fill(wanted):
        quote = make_quote(wanted, shop, catalogue, MORNING - timedelta(days=3))
        order = Order(number=1001, client_key="key-1", version=1, state=OrderState.OPEN, taken_at=MORNING)
        said = Overrides(wanted.bench_override, wanted.stock_override)
        write_order(order, quote, said, cost_of(quote, catalogue, shop))
        order.customer_id = wanted.customer_id  # the only one that take_order writes elsewhere
        order.batches_numbered = 0
        sync_batches(order, quote)
        return order

    return fill


@pytest.fixture
def here(app, session):
    """The counter's request context on the tests' morning."""
    with app.test_request_context("/counter/"):
        g.request_context = RequestContext(session, MORNING, app.shop_cache, None)
        yield request_context()


def test_every_field_is_placed_once():
    assert list(FIELD_PLACES) == NAMES


def test_every_field_is_said_by_one_of_the_requests(catalogue):
    """Or a copy of it that is forgotten would not be seen."""
    usual = order_request(catalogue)
    different = {name for make in EVERY for name in NAMES if getattr(make(catalogue), name) != getattr(usual, name)}
    assert different == {*NAMES}


@pytest.mark.parametrize("make", EVERY)
def test_no_two_columns_could_be_swapped(make, catalogue):
    """Two fields of one type never have the same value, but those that are left at nothing."""
    said = [getattr(make(catalogue), field.name) for field in fields(OrderRequest)]
    said = [(type(value), value) for value in said if value not in (None, "", 0, (), False, True)]
    assert len({repr(one) for one in said}) == len(said)


@pytest.mark.parametrize("make", EVERY)
def test_a_request_is_the_same_after_the_order(make, save, catalogue):
    wanted = make(catalogue)
    order = save(wanted)
    if wanted.accepted_risk:
        assert order.verdict != Verdict.SAFE
    assert rebuild_request(order) == wanted


@pytest.mark.parametrize("make", EVERY)
def test_a_request_is_the_same_after_the_form(make, save, catalogue, here):
    """Once from the form that the order fills in, and once from what a browser sends of it."""
    wanted = make(catalogue)
    form = form_of(save(wanted), here.formats)
    sent = MultiDict({name: value for name, value in values_of(form).items() if value is not False})
    for one in (form, copy_of_form(form), OrderForm(sent)):
        assert one.read(here.formats, MORNING, here.shop.trip) == wanted
        assert values_of(one) == values_of(form)


def _others(catalogue):
    """For each field a value that is none of the first request's."""
    wanted = filled_there(catalogue)
    other = {name: getattr(in_two_parts(catalogue), name) for name in NAMES}
    later = {
        "occasion": Occasion.UNTIL,
        "lasts_until": at(22, days=1),
        "later_at": at(13, 5),
        "set_up_minutes": 22,
        "hanging_minutes": 34,
        "crew": 4,
        "latex_allergy": False,
        "accepted_risk": "Until the speech.",
        "bench_override": "They come by turns.",
        "stock_override": "More come on Friday.",
        "extras": (ExtraRequest(ExtraSort.OTHER, 2, title="Garland", unit_minor=650),),
        "return_by": at(11, 15, days=2),
        "take_down_at": at(9, 45, days=2),
        "lines": (replace(wanted.lines[0], quantity=25), *wanted.lines[1:]),
    }
    return other | later


@pytest.mark.parametrize("name", NAMES)
def test_the_history_has_it_under_its_name(name, save, catalogue, shop):
    """Ready by is asked of a delivery: when a crew leaves follows from the rest, so the history leaves it out."""
    wanted = filled_there(catalogue) if name != "ready_by" else in_two_parts(catalogue)
    value = _others(catalogue)[name] if name != "ready_by" else at(11, 35)
    changed = replace(wanted, **{name: value})
    before, after = (describe_order(save(one), HistoryFormats.of(shop)) for one in (wanted, changed))
    different = {what for what, _, _ in describe_changes(before, after)}
    place = FIELD_PLACES[name].history
    follows = {"ready by"} if name == "hand_over" else set()
    assert different == (set() if isinstance(place, NotShown) else {place}) | follows


@pytest.mark.parametrize("name", NAMES)
def test_the_bench_is_asked_again_where_it_changes_the_bench(name, catalogue):
    wanted = filled_there(catalogue)
    changed = replace(wanted, **{name: _others(catalogue)[name]})
    assert (bench_relevant_request(wanted) != bench_relevant_request(changed)) is FIELD_PLACES[name].changes_bench
    assert {name for name in NAMES if not FIELD_PLACES[name].changes_bench} == {*EMPTIED_FOR_BENCH}


def test_every_reason_is_given():
    places = [place for one in FIELD_PLACES.values() for place in (one.history, one.confirmation)]
    assert all(place.reason if isinstance(place, NotShown) else place != "" for place in places)


def _dates_out(moment):
    return moment and moment.time()


@pytest.mark.parametrize("make", [filled_there, in_two_parts])
def test_a_repeat_does_with_each_field_what_its_place_says(make, save, catalogue, here):
    """The blank form has a caller of its own, and one date for all hours once the repeat has left them open."""
    wanted = make(catalogue)
    form = OrderForm(data={"customer": "Mina Hart", "phone": "01632 960404", "customer_id": "12"})
    again = repeat_in(form, save(wanted))
    for moment in (again.event_start, again.lasts_until, again.hand_over_time, again.later_hand_over_time):
        assert not moment.form.day.data
    again.event_start.form.day.data = "2026-11-28"
    if not again.lasts_until.form.hour.data:
        again.lasts_until.form.hour.data = "23:30"
    read = again.read(here.formats, MORNING, here.shop.trip)
    assert again.problems == []
    typed = {"customer": "Mina Hart", "phone": "01632 960404", "customer_id": 12}
    blank = order_request(catalogue)
    for name, places in FIELD_PLACES.items():
        now, was = getattr(read, name), getattr(wanted, name)
        if name == "extras":  # at today's prices, but those in own words
            assert [(one.sort, one.title) for one in now] == [(one.sort, one.title) for one in was]
        elif places.repeat in (RepeatRule.COPY, RepeatRule.EITHER):
            assert now == was, name
        elif places.repeat is RepeatRule.FROM_FORM:
            assert now == typed[name]
        elif places.repeat is RepeatRule.COPY_TIME_ONLY:
            assert _dates_out(now) == _dates_out(was), name
            assert was is None or now.date() != was.date()
        else:
            assert now == getattr(blank, name), name


@pytest.mark.parametrize("said", [(True, False), (False, True), (False, False)])
def test_a_repeat_has_the_allergy_of_the_form_or_of_the_order(said, save, catalogue, here):
    of_form, of_order = said
    form = OrderForm(data={"latex_allergy": of_form})
    again = repeat_in(form, save(order_request(catalogue, latex_allergy=of_order)))
    assert again.latex_allergy.data is any(said)


def _confirmation(order):
    page = render_template("counter/confirmation.html", **confirmation_values(order))
    return page[page.index('class="card confirmation"') : page.index('class="actions"')]


def _changes_confirmation(base, name, value, save):
    wanted = replace(base, **{name: value})
    if wanted == base or (wanted.arrives_at is None and wanted.hand_over is not HandOver.COLLECT):
        return False
    try:
        changed = save(wanted)
    except Refused:
        return False
    return _confirmation(save(base)) != _confirmation(changed)


@pytest.mark.parametrize("name", NAMES)
def test_the_confirmation_shows_it_or_a_reason_says_why_not(name, save, catalogue, here):
    """Shown, if one of the orders has another confirmation with another value of it."""
    values = [_others(catalogue)[name], *(getattr(make(catalogue), name) for make in EVERY)]
    bases = [make(catalogue) for make in EVERY]
    changes = [_changes_confirmation(base, name, value, save) for base in bases for value in values]
    assert any(changes) is (FIELD_PLACES[name].confirmation is None)
