"""A sale over the counter: one press takes it, fills it and hands it over."""

from datetime import timedelta

import pytest
from sqlalchemy import func, select

from app.actions.orders.quick_sale import make_quick_sale, offers
from app.actions.records.catalogue import load_catalogue
from app.actions.records.history import history_of
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_week, save_exception_hours
from app.physics.balloon import Gas
from app.quoting.errors import Refused
from app.quoting.fills import TOO_HIGH_TO_FLOAT
from app.quoting.request import LineRequest, Service
from app.store.models import Order, Tap
from app.store.queries.bench import batches_of_day
from app.store.queries.pickups import pickups_of_day
from app.store.queries.review import completed, totals
from app.store.queries.sales import quick_sales_between
from tests.actions.builders import WHO, at, balloon_type_id, change_type, ctx, order_request, problems, take

NOON = at(12)
DAY = (at(0), at(0, days=1))


def _line(catalogue, name="11 in latex", quantity=3, **changes):
    return LineRequest(balloon_type_id(catalogue, name), None, quantity, **changes)


def sell(session, line, now=NOON, key="sale-1", who=WHO):
    return make_quick_sale(
        ctx(session, who=who, shop=load_shop(session), catalogue=load_catalogue(session), now=now), line, key
    )


def test_it_is_taken_filled_and_gone_at_once(session, catalogue):
    order = sell(session, _line(catalogue))
    assert (order.state, order.taken_at, order.ready_by, order.handed_over_at) == ("handed over", NOON, NOON, NOON)
    assert (order.customer, order.occasion, order.verdict, order.accepted_risk) == (
        "Over the counter",
        "now",
        "safe",
        "",
    )
    assert order.total_minor == 330
    (batch,) = order.batches
    assert (batch.gas, batch.filled, batch.filled_at, batch.chance) == ("helium", 3, NOON, 1.0)
    assert [(entry.who, entry.act) for entry in history_of(session, order)] == [
        (WHO, "saved"),
        (WHO, "handed over"),
    ]


def test_the_review_counts_it_on_time(session, catalogue):
    sell(session, _line(catalogue))
    sell(session, _line(catalogue, "18 in foil", 2, service=Service.OWN), key="sale-2")
    sell(session, _line(catalogue, "18 in foil", 4, service=Service.TOP_UP), key="sale-3")
    rows = completed(session, *DAY)
    assert [(row.balloons, row.minutes_late, row.revenue_minor) for row in rows] == [
        (3, 0, 330),
        (2, 0, 0),
        (0, 0, 0),
    ]
    assert totals(session, *DAY).on_time == 3


def test_neither_the_bench_nor_the_pick_ups_list_it(session, catalogue):
    sell(session, _line(catalogue))
    saved = take(session, order_request(catalogue))
    session.flush()
    assert {row.order_number for row in batches_of_day(session, *DAY, is_today=True)} == {saved.number}
    assert {row.number for row in pickups_of_day(session, *DAY, is_today=True)} == {saved.number}


def test_the_days_sales_are_told_latest_first(session, catalogue):
    first = sell(session, _line(catalogue))
    second = sell(session, _line(catalogue, "9 in foil", 1, gas=Gas.AIR), now=at(13), key="sale-2", who="Tobiah")
    told = [(row.number, row.at, row.who, row.quantity, row.title) for row in quick_sales_between(session, *DAY)]
    assert told == [
        (second.number, at(13), "Tobiah", 1, "9 in foil"),
        (first.number, NOON, WHO, 3, "11 in latex"),
    ]
    assert quick_sales_between(session, at(0, days=1), at(0, days=2)) == []


@pytest.mark.parametrize("hour", [0, 3, 7, 18, 23])
def test_it_is_sold_when_the_shop_is_closed_too(session, catalogue, hour):
    order = sell(session, _line(catalogue, quantity=50), now=at(hour))
    assert (order.verdict, order.handed_over_at) == ("safe", at(hour))


def test_it_is_sold_while_the_shop_is_closed_for_months(session, catalogue):
    change_week(session, {0: (8 * 60, 9 * 60)})
    for week in range(-12, 12):
        save_exception_hours(session, (at(12) + timedelta(days=2 + 7 * week)).date(), None)
    assert sell(session, _line(catalogue)).state == "handed over"


def test_the_same_key_twice_is_one_sale(session, catalogue):
    first = sell(session, _line(catalogue))
    again = sell(session, _line(catalogue), now=at(12, 1))
    assert again is first
    assert session.scalar(select(func.count()).select_from(Order)) == 1
    assert session.scalar(select(func.count()).select_from(Tap)) == 2


def test_the_same_key_with_something_else_is_refused(session, catalogue):
    first = sell(session, _line(catalogue))
    with pytest.raises(Refused) as refusal:
        sell(session, _line(catalogue, quantity=4))
    assert f"order {first.number}" in problems(refusal)["order"][0]


def test_the_key_of_an_order_is_no_key_of_a_sale(session, catalogue):
    take(session, order_request(catalogue), key="sale-1")
    with pytest.raises(Refused):
        sell(session, _line(catalogue))


def test_treated_balloons_are_not_sold_at_once(session, catalogue):
    with pytest.raises(Refused) as refusal:
        sell(session, _line(catalogue, treated=True))
    assert set(problems(refusal)) == {"treated"}


def test_what_does_not_rise_is_refused(session, catalogue):
    with pytest.raises(Refused) as refusal:
        sell(session, _line(catalogue, "5 in latex"))
    height = load_shop(session).air.elevation_m
    assert problems(refusal) == {("what", 0): [TOO_HIGH_TO_FLOAT.format(name="5 in latex", height=height)]}


def test_every_offer_can_be_sold(session, catalogue):
    found = offers(load_shop(session), catalogue)
    assert len(found) > 20
    for place, offer in enumerate(found):
        order = sell(session, offer.times(2), key=f"offer-{place}")
        assert (order.state, order.total_minor) == ("handed over", 2 * offer.unit_minor), offer.title


def test_a_kind_that_does_not_rise_is_offered_with_air_alone(session, catalogue):
    gases = {}
    for offer in offers(load_shop(session), catalogue):
        if offer.request.service is Service.SOLD:
            gases.setdefault(offer.balloon_type.name, set()).add(offer.request.gas)
    assert gases["5 in latex"] == gases["9 in foil"] == {Gas.AIR}
    assert gases["11 in latex"] == {Gas.HELIUM, Gas.AIR}


def test_what_has_no_price_is_no_offer(session, catalogue):
    catalogue = change_type(session, "18 in foil", top_up_minor=None)
    found = {(offer.balloon_type.name, offer.request.service) for offer in offers(load_shop(session), catalogue)}
    assert ("18 in foil", Service.OWN) in found
    assert ("18 in foil", Service.TOP_UP) not in found
