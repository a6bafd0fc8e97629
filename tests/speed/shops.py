"""What the timed shops hold."""

from datetime import UTC, datetime, timedelta
from urllib.parse import urlencode

from sqlalchemy import insert

import seed_demo
from app.actions.orders.take import take_order
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.office import change_week
from app.quoting.request import LineRequest, Occasion, OrderRequest
from app.store.models import Customer, CustomerPhone
from app.store.search_keys import digits_of
from tests.actions.builders import ctx
from tests.many_orders import copy_into_the_past
from tests.speed.lines import tomorrow_noon

BATCHES = 200
PER_ORDER = 2
CROWD = 50_000


def fill_full_day(session, orders=BATCHES // PER_ORDER):
    """A full day tomorrow: each order with two kinds, so two batches."""
    change_week(session, dict.fromkeys(range(7), (0, 23 * 60 + 59)))
    shop, catalogue = load_shop(session), load_catalogue(session)
    balloon_types = [
        balloon_type.id
        for balloon_type in catalogue.balloon_types.values()
        if balloon_type.name in ("11 in latex", "18 in foil")
    ]
    now = datetime.now(UTC).replace(microsecond=0)
    for place in range(orders):
        ready = tomorrow_noon() + timedelta(minutes=2 * place)
        request = OrderRequest(
            customer=f"Customer {place}",
            phone="01632 960001",
            occasion=Occasion.EVENT,
            lines=tuple(LineRequest(balloon_type, None, 10, "5 red, 5 white") for balloon_type in balloon_types),
            ready_by=ready,
            event_start=ready + timedelta(hours=1),
            lasts_until=ready + timedelta(hours=5),
            bench_override="As many as there are.",
            stock_override="More is on its way.",
        )
        take_order(ctx(session, who="Noor", shop=shop, catalogue=catalogue, now=now), request, f"speed-{place}")


def fill_open_orders(session):
    """The demo, with stock and gas counted, and 70 open orders besides."""
    fill_demo(session)
    fill_full_day(session, 70)


def fill_demo(session):
    """The demo at this moment."""
    seed_demo.fill_shop(session, datetime.now(UTC).replace(microsecond=0))


def fill_years(orders, hours_between=3):
    """Returns what fills a shop with the demo and so many orders of the years before."""

    def fill(session):
        fill_demo(session)
        copy_into_the_past(session, orders, hours_between)

    return fill


def known_customers(session):
    """Customers without orders."""
    people = [(place, f"01632 {960000 + place % 40000}") for place in range(1, CROWD + 1)]
    rows = [
        {"id": place, "name": f"Customer {place}", "name_folded": f"customer {place}", "merged_into_id": None}
        | {"phone_digits": digits_of(phone), "last_order_at": tomorrow_noon() - timedelta(hours=place)}
        for place, phone in people
    ]
    session.execute(insert(Customer), rows)
    phones = [{"customer_id": place, "shown": phone} for place, phone in people]
    session.execute(insert(CustomerPhone), phones)


def caller_of_three_lines(token, client_key="", **more):
    """A caller's request of three lines, as the counter's form sends it."""
    ready = tomorrow_noon()
    fields = {
        "csrf_token": token,
        "client_key": client_key,
        "fix": "live",
        "occasion": "event",
        "surroundings": "indoors",
        "hand_over": "collect",
        "event_start-day": f"{ready:%Y-%m-%d}",
        "event_start-hour": "15:00",
        "lasts_until-hour": "20:00",
        "hand_over_time-hour": "13:00",
    }
    fields |= more
    for place, (what, quantity) in enumerate(
        (("balloon_type:4", 24), ("balloon_type:6", 4), ("balloon_type:12", 2))
    ):
        fields |= {
            f"lines-{place}-what": what,
            f"lines-{place}-quantity": quantity,
            f"lines-{place}-colours": "red",
        }
    return urlencode(fields)
