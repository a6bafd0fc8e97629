"""Fills a demo shop with invented orders: a year of them that is over, yesterday's that are done, today's that are
under way, and tomorrow's that are still to do.

It can be run again: it adds orders only to a shop that has none, and deletes nothing.
"""

import argparse
import sys
from dataclasses import replace
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.__main__ import add_server_options
from app.actions.bench.taps import Press, tap_batch
from app.actions.context import Context
from app.actions.money.payments import PaymentInput, add_payment
from app.actions.orders.hand_over import take_step
from app.actions.orders.take import take_order
from app.actions.records.catalogue import load_catalogue
from app.actions.records.shop import load_shop
from app.actions.shop.office import add_staff, change_settings
from app.config import Config, UnknownSetting, demo_backups, demo_database_url, read_config
from app.demo.goods import add_designs, add_supplies, price_goods
from app.demo.orders import DEMO_ORDERS, DemoOrder, build_demo_request, simulate_order
from app.demo.photos import add_photos
from app.demo.stock import add_cylinders, add_stock
from app.demo.year.fill import add_year
from app.quoting.states import HandOverStep, PaymentMethod, TapAction
from app.serving import address_of, prepare_database, serve
from app.store.lock import hold_database
from app.store.migrate import set_database_aside
from app.store.models import Order, OrderBatch
from app.store.sentences import StoreUnusable
from app.web.clock import now as this_moment
from app.web.log import start_log

SHOP: dict[str, float | int | str] = {
    "name": "The Tethered Lark, Zephyrwick",
    "shop_address": "3 Ropewalk Yard, Zephyrwick",
    "shop_phone": "01632 960900",
    "zone": "Europe/London",
    "currency_symbol": "£",
    "currency_code": "GBP",
    "treat_minor": 60,
    "shop_celsius": 20,
    "tax_mode": "inclusive",
    "tax_percent": 20,
    "deposit_percent": 50,
    "delivery_minor": 1200,
    "set_up_minor": 2500,
    "take_down_minor": 2000,
    "hour_minor": 1450,
    "helium_m3_minor": 4800,
    "floor_percent": 35,
    "delivery_weekday": "Thursday",
    "holding_area_room": 160,
}
YEAR, MOST_DAYS = 365, 1095
NOTHING_ADDED = "The shop has orders already. Nothing was added."
STAFF = ("Maren Quill", "Tobiah Fenn", "Isolde Park")


def fill_shop(session: Session, now: datetime, days: int = 0) -> int:
    """Fills the invented shop, and returns how many orders were added: 0 when it has orders already. days: how many
    days before those around today it has orders of, too."""
    if session.scalar(select(Order.id).limit(1)) is not None:
        return 0
    change_settings(session, SHOP)
    price_goods(session)
    add_supplies(session)
    if not load_catalogue(session).designs:
        add_designs(_context(session, STAFF[0], now))
        for person in STAFF:
            add_staff(session, person)
    before = add_year(_context(session, STAFF[0], now), days, STAFF) if days else 0
    context = _context(session, STAFF[0], now)
    add_photos(context)
    add_stock(context)
    add_cylinders(replace(context, who=STAFF[1]))
    for place, demo in enumerate(DEMO_ORDERS):
        _simulate_until_now(replace(context, who=STAFF[place % len(STAFF)]), place, demo)
    return before + len(DEMO_ORDERS)


def _context(session: Session, who: str, now: datetime) -> Context:
    return Context(session, who, load_shop(session), load_catalogue(session), now)


def _simulate_until_now(context: Context, place: int, demo: DemoOrder) -> None:
    """Takes an order some days before it is due, and then does everything that would have been done by now."""
    now = context.now
    request = build_demo_request(demo, context.shop, context.catalogue, now)
    taken_at = min(now, (request.ready_by or now) - timedelta(days=3, hours=2)) - timedelta(minutes=7 * place)
    order = take_order(replace(context, now=taken_at), request, f"demo-{place}")
    context.session.flush()
    for number, (at, act, subject) in enumerate(
        simulate_order(order, demo, context.shop.work_times.drying_minutes)
    ):
        if at > now:
            return
        then, key = replace(context, now=at), f"demo-{place}-{number}"
        if isinstance(subject, OrderBatch):
            colour = str(subject.colours[0][0]) if act == TapAction.BURST else ""
            half = subject.quantity // 2 if act == TapAction.FILL else 0
            tap_batch(then, subject.key, Press(TapAction(act), key, count=half, colour=colour, sure=True))
        else:
            if act == HandOverStep.HANDED_OVER:
                _pay(then, order, key)
            take_step(then, order.number, HandOverStep(act), key)


def _pay(context: Context, order: Order, key: str) -> None:
    """Records that the order's price and its deposit for rental items were paid by card."""
    for rental, minor in ((False, order.total_minor), (True, order.rental_deposit_minor)):
        if minor:
            money = PaymentInput(minor, PaymentMethod.CARD, rental=rental)
            add_payment(context, order.number, money, f"{key} paid {rental}")


def _days(text: str) -> int:
    """Returns a number of days. Raises ValueError."""
    days = int(text)
    if not 0 <= days <= MOST_DAYS:
        raise ValueError(text)
    return days


def main(words: list[str] | None = None) -> None:
    """Fills the demo's database from the command line, and serves it if asked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--serve", action="store_true", help="start the server afterwards")
    parser.add_argument("--reset", action="store_true", help="move the demo's file away and start with a new one")
    parser.add_argument(
        "--days", type=_days, default=YEAR, help=f"days that are over, at most {MOST_DAYS} (default: {YEAR})"
    )
    add_server_options(parser)
    args = parser.parse_args(words)
    start_log()
    try:
        config = replace(read_config(demo_database_url()), backups=demo_backups(), is_demo=True)
        with hold_database(config.database_url, address_of(args.host, args.port) if args.serve else ""):
            _fill_and_serve(config, args)
    except (UnknownSetting, StoreUnusable, ValueError) as wrong:
        sys.exit(str(wrong))


def _fill_and_serve(config: Config, args: argparse.Namespace) -> None:
    """Does what the command line asks for. Raises StoreUnusable when the database cannot be used."""
    if args.reset:
        set_database_aside(config.database_url, "before-reset")
    database = prepare_database(config.database_url, config.backups)
    with database.writing() as session:
        filled = fill_shop(session, this_moment(), args.days)
    database.engine.dispose()
    print(f"{filled} invented orders added." if filled else NOTHING_ADDED)
    if args.serve:
        serve(config, args.host, args.port)


if __name__ == "__main__":
    main()
