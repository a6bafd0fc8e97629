"""An invented shop in an invented town, alive around today's date: yesterday done, today under way, tomorrow ahead.

Run twice it neither duplicates nor destroys: orders are filled in only where there are none.
"""

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from itertools import count
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.__main__ import add_door
from app.actions.bench import Act, tap_batch
from app.actions.gas.cylinders import CylinderFigures, State, add_cylinder
from app.actions.gas.moves import change_state
from app.actions.gas.readings import note_reading
from app.actions.hand_over import steps_of, take_step
from app.actions.money.payments import How, Money, note_payment
from app.actions.office import add_staff, change_settings
from app.actions.shelves.designs import DesignFigures, PartFigures, add_design
from app.actions.shelves.supplies import Sort, SupplyFigures, Unit, add_supply, change_supply
from app.actions.shop import Goods, Shop, load_goods, load_shop, load_zone
from app.actions.stock.articles import Article
from app.actions.stock.lots import Arrival, receive
from app.actions.take_order import take_order
from app.actions.taps import Step
from app.actions.wish import ExtraSort, ExtraWish, HandOver, LineWish, Occasion, OrderWish
from app.config import Config, UnknownSetting, demo_database_url, read_config
from app.craft.build import Build, Form
from app.craft.gas import Gauge
from app.craft.money import Percent
from app.physics.balloon import Gas
from app.physics.endurance import Surroundings
from app.planning.shoptime import Turn, day_bounds, local_day, to_utc
from app.serving import prepare, serve
from app.store.engine import parse_url
from app.store.models import Batch, Order
from app.store.queries.supplies import all_supplies
from app.store.sentences import StoreUnusable
from app.web.clock import now as this_moment
from demo_photos import put_photos

SHOP = {
    "name": "The Tethered Lark, Windlebury",
    "zone": "Europe/London",
    "currency_symbol": "£",
    "treat_minor": "0.60",
    "shop_celsius": "20",
    "tax_mode": "inclusive",
    "tax_percent": "20",
    "deposit_percent": "50",
    "delivery_minor": "12.00",
    "set_up_minor": "25.00",
    "take_down_minor": "20.00",
    "hour_minor": "14.50",
    "helium_m3_minor": "48.00",
    "floor_percent": "35",
    "delivery_weekday": "Thursday",
    "corral_room": "160",
}
STAFF = ("Maren Quill", "Tobiah Fenn", "Isolde Park")
PRICES = {
    "5 in latex": 40, "9 in latex": 120, "10 in latex": 140, "11 in latex": 160, "12 in latex": 180,
    "16 in latex": 350, "18 in latex": 450, "24 in latex": 900, "36 in latex": 1600,
    "18 in clear stuffing latex": 800, "9 in foil": 200, "18 in foil": 450, "22 in foil": 600,
    "36 in jumbo foil": 950, "20 in sphere": 700, "22 in sphere": 800,
}  # fmt: skip
SERVICES = {
    "18 in foil": (250, 100),
    "22 in foil": (350, 150),
    "36 in jumbo foil": (700, 250),
    "20 in sphere": (400, 150),
    "22 in sphere": (450, 150),
}
"""What the customer's own one costs filled, and topped up."""
PACKS = {
    "5 in latex": (100, 450), "9 in latex": (100, 650), "10 in latex": (100, 720), "11 in latex": (100, 850),
    "12 in latex": (100, 990), "16 in latex": (50, 1450), "18 in latex": (25, 1120), "24 in latex": (10, 1280),
    "36 in latex": (2, 640), "18 in clear stuffing latex": (25, 2600), "9 in foil": (10, 520), "18 in foil": (10, 1350),
    "22 in foil": (5, 980), "36 in jumbo foil": (1, 285), "20 in sphere": (5, 900), "22 in sphere": (5, 1240),
}  # fmt: skip
"""How many come together, and what they cost."""
SUPPLIES = (
    SupplyFigures("Weight 15 g", Sort.WEIGHT, Unit.PIECE, 50, 725, 50, grams=15),
    SupplyFigures("Weight 80 g", Sort.WEIGHT, Unit.PIECE, 25, 1180, 120, grams=80),
    SupplyFigures("Weight 170 g", Sort.WEIGHT, Unit.PIECE, 12, 1020, 200, grams=170),
    SupplyFigures("Weight 500 g", Sort.WEIGHT, Unit.PIECE, 1, 240, 500, grams=500),
    SupplyFigures("Curling ribbon 5 mm", Sort.RIBBON, Unit.METRE, 450, 360, grams=0.5),
    SupplyFigures("Plush bear 20 cm", Sort.PLUSH, Unit.PIECE, 1, 430, 1200, width_cm=11),
    SupplyFigures("Carrying bag 60 cm", Sort.BAG, Unit.PIECE, 25, 480, 60, width_cm=60),
    SupplyFigures("Carrying bag 90 cm", Sort.BAG, Unit.PIECE, 25, 890, 100, width_cm=90),
    SupplyFigures("Carrying bag 120 cm", Sort.BAG, Unit.PIECE, 25, 1460, 150, width_cm=120),
    SupplyFigures("Treatment, bottle of 700 mL", Sort.TREATMENT, Unit.MILLILITRE, 700, 2150),
    SupplyFigures("Modelling balloon 2 × 60 in", Sort.MODELLING, Unit.PIECE, 100, 790, 100),
    SupplyFigures("Column pole with base", Sort.HIRED, Unit.PIECE, 1, 3900, 800, deposit_minor=2500),
    SupplyFigures("Arch frame", Sort.HIRED, Unit.PIECE, 1, 12000, 2200, deposit_minor=8000),
)

LOTS = (
    ("11 in latex", 400, 60, ("white", "black", "gold", "silver", "navy")),
    ("11 in latex", 90, 25, ("ivory", "rose", "pearl", "sage", "lilac", "blush", "peach", "cream", "orange")),
    ("11 in latex", 40, 420, ("red", "lime")),
    ("11 in latex", 60, 12, ("red", "teal", "copper")),
    ("12 in latex", 100, 40, ("yellow", "green", "gold", "night blue", "red")),
    ("16 in latex", 50, 75, ("red", "blue", "white")),
    ("18 in foil", 12, 33, ("silver star", "red heart", "silver snowflake", "heart")),
    ("Weight 170 g", 36, 33, ("",)),
    ("Plush bear 20 cm", 5, 33, ("",)),
)
"""What lies on the shelves: how many of each colour, and how many days ago they came."""


CYLINDERS = (("Grey 114", 50.0, 200.0, 20), ("Grey 121", 50.0, 200.0, 6), ("Stubby 7", 20.0, 200.0, 6))
"""Name, litres of water, full bar, and how many days ago they came."""


@dataclass(frozen=True, slots=True)
class DemoDesign:
    """parts: kind, gas, how many, fixed colours. price: None is computed. supplies: by name, how much in one."""

    name: str
    price: int | None
    minutes: float
    parts: tuple[tuple[str, Gas, int, tuple[tuple[str, int], ...]], ...]
    steps: tuple[str, ...] = ()
    supplies: tuple[tuple[str, float], ...] = ()
    seasons: tuple[tuple[str, str], ...] = ()
    build: Build = field(default_factory=Build)


DESIGNS = (
    DemoDesign("Harbour bouquet", 2600, 5, (("18 in foil", Gas.HELIUM, 1, (("silver star", 1),)), ("11 in latex", Gas.HELIUM, 9, ())),
               ("Tie the nine in layers of three.", "Star on top, its ribbon a hand longer.", "One knot, then the weight."),
               (("Weight 170 g", 1),), build=Build(Form.BOUQUET)),
    DemoDesign("Table trio", 750, 2, (("11 in latex", Gas.HELIUM, 3, ()),),
               ("Cut the ribbons at three lengths.", "One knot, then the weight."), (("Weight 80 g", 1),), build=Build(Form.STRINGS)),
    DemoDesign("Doorway column", 6800, 25, (("11 in latex", Gas.AIR, 40, ()),),
               ("Tie pairs, then fours.", "Stack from the base, each four turned by an eighth.", "Straighten the spiral."),
               (("Column pole with base", 1),), build=Build(Form.COLUMN, {"height_m": 2.0, "pattern": "spiral"})),
    DemoDesign("Moon and stars", 3900, 6, (("20 in sphere", Gas.HELIUM, 1, (("clear", 1),)), ("12 in latex", Gas.HELIUM, 6, (("night blue", 3), ("gold", 3)))),
               ("Six in two layers, blue and gold by turns.", "Sphere on top.", "One knot, then the weight."),
               (("Weight 170 g", 1),), build=Build(Form.BOUQUET)),
    DemoDesign("Bear in a balloon", 2400, 12, (("18 in clear stuffing latex", Gas.AIR, 1, ()),),
               ("Fold a collar into the neck.", "Bear first, feet up, then the ribbon.", "Close the neck and dress it."),
               (("Plush bear 20 cm", 1),), build=Build(Form.STUFFED)),
    DemoDesign("Sweetheart bouquet", 2450, 6, (("18 in foil", Gas.HELIUM, 1, (("red heart", 1),)), ("11 in latex", Gas.HELIUM, 6, (("red", 3), ("blush", 3)))),
               ("Six in two layers.", "Heart on top."), (("Weight 170 g", 1),), (("02-01", "02-14"),), Build(Form.BOUQUET)),
    DemoDesign("Midwinter bouquet", 2300, 6, (("18 in foil", Gas.HELIUM, 1, (("silver snowflake", 1),)), ("11 in latex", Gas.HELIUM, 6, (("white", 3), ("silver", 3)))),
               ("Six in two layers.", "Snowflake on top."), (("Weight 170 g", 1),), (("11-20", "01-06"),), Build(Form.BOUQUET)),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Demo:
    """One invented order. day: 0 is today. Hours are local; an end before the start is the next day's, and so are
    those at which hired goods are brought back or fetched."""

    day: int
    customer: str
    phone: str
    handed: str
    starts: str
    ends: str
    lines: tuple[tuple[str, int, str, bool], ...]
    more: tuple[tuple[str, object], ...] = ()
    lags: bool = False
    brought_back: str = ""
    fetched: str = ""


DEMOS = (
    Demo(-1, "Perpetua Lunn", "01632 960114", "11:00", "13:00", "17:30", (("11 in latex", 30, "15 white, 15 sage", False),)),
    Demo(-1, "Windlebury Rowing Club", "01632 960221", "16:30", "18:00", "23:00", (("Harbour bouquet", 4, "navy, white", False),)),
    Demo(-1, "Caspian Adeyemi", "01632 960308", "15:00", "16:00", "20:00", (("22 in foil", 2, "gold", False), ("11 in latex", 12, "black, gold", False))),
    Demo(-1, "Hester Vale", "01632 960157", "10:30", "12:00", "15:00", (("Doorway column", 1, "peach, cream", False),), brought_back="16:00"),
    Demo(0, "Odile Marchbanks", "01632 960440", "10:00", "12:00", "16:00", (("11 in latex", 24, "12 red, 12 white", False),)),
    Demo(0, "St Swithin's School", "01632 960512", "11:30", "13:00", "16:30", (("12 in latex", 40, "yellow, green", False), ("9 in foil", 6, "star", False))),
    Demo(0, "Bram Okonjo", "01632 960699", "13:30", "15:00", "19:00", (("Table trio", 8, "lilac, white", False),), lags=True),
    Demo(0, "Ines Tolliver", "01632 960733", "15:00", "18:00", "00:00", (("11 in latex", 24, "rose, pearl", False), ("18 in foil", 1, "heart", False))),
    Demo(0, "The Copper Kettle", "01632 960845", "17:00", "18:30", "23:30", (("Harbour bouquet", 3, "teal, copper", False),),
         (("hand_over", HandOver.DELIVER), ("address", "The Copper Kettle, 4 Mill Lane, Windlebury"), ("travel_minutes", 25),
          ("extras", (ExtraWish(ExtraSort.DELIVERY, 1),)))),
    Demo(0, "Rafferty Moss", "01632 960902", "10:30", "17:00", "21:30", (("11 in latex", 15, "orange", False),),
         (("word", "Fine, they must be up for the speeches at seven."),)),
    Demo(1, "Juno Achterberg", "01632 960155", "09:30", "14:00", "20:00", (("11 in latex", 50, "25 ivory, 25 gold", True),)),
    Demo(1, "Windlebury Fete", "01632 960266", "12:00", "14:00", "18:00", (("16 in latex", 12, "red, blue", False),),
         (("surroundings", Surroundings.SHADE), ("venue_celsius", 27.0), ("wind_m_s", 6.0))),
    Demo(1, "Perpetua Lunn", "01632 960 114", "15:30", "17:00", "22:00", (("Moon and stars", 2, "", False), ("36 in jumbo foil", 1, "silver four", False)),
         (("discount", Percent(Decimal(10))),)),
    Demo(1, "Corn Hall Dances", "01632 960599", "16:00", "19:00", "23:59", (("11 in latex", 60, "30 black, 30 silver", False),),
         (("hand_over", HandOver.VENUE), ("address", "The Corn Hall, 1 High Street, Windlebury"), ("travel_minutes", 15),
          ("set_up_minutes", 20), ("hanging_minutes", 30), ("crew", 2))),
    Demo(2, "Amabel Strand", "01632 960488", "10:00", "15:00", "01:00", (("11 in latex", 36, "12 blush, 24 white", True), ("Doorway column", 2, "blush, white", False)),
         (("address", "Strand House, 9 Weir Road, Windlebury"), ("extras", (ExtraWish(ExtraSort.TAKE_DOWN, 1),))), fetched="10:30"),
)  # fmt: skip


def fill_shop(session: Session, now: datetime) -> int:
    """How many orders were filled in: none where the shop has some already."""
    if session.scalar(select(Order.id).limit(1)) is not None:
        return 0
    change_settings(session, SHOP)
    goods = load_goods(session)
    kinds = {kind.name: kind for kind in goods.kinds.values()}
    for name, price in PRICES.items():
        kinds[name].price_minor = price
    for name, prices in SERVICES.items():
        kinds[name].fill_minor, kinds[name].top_up_minor = prices
    for name, (size, cost) in PACKS.items():
        kinds[name].pack_size, kinds[name].pack_minor = size, cost
    _stock_supplies(session)
    if not goods.designs:
        _put_designs(session)
        for person in STAFF:
            add_staff(session, person)
    shop, goods = load_shop(session), load_goods(session)
    put_photos(session, STAFF[0], goods.designs.values(), now)
    _fill_shelves(session, goods, now)
    for place, demo in enumerate(DEMOS):
        _live_through(session, place, demo, shop, goods, now)
    _put_cylinders(session, now)
    return len(DEMOS)


def _put_cylinders(session: Session, now: datetime) -> None:
    """One in use that leaked yesterday, one that stands by, and a small one for venues."""
    shop, who = load_shop(session), STAFF[1]
    midnight = day_bounds(local_day(now, shop.zone), shop.zone)[0]
    rows = {}
    for name, water_l, full_bar, came in CYLINDERS:
        came_on = local_day(now, shop.zone) - timedelta(days=came)
        figures = CylinderFigures(name, water_l, full_bar, 100.0, came_on)
        rows[name] = add_cylinder(session, figures, f"demo {name}")
    row, (begun, ended) = rows["Grey 114"], (Gauge(bar, shop.air.celsius) for bar in (66.0, 36.0))
    change_state(session, who, row.id, State.IN_USE, begun, midnight - timedelta(hours=18), "demo into use")
    note_reading(session, who, row.id, ended, midnight - timedelta(hours=1), "demo read")


def _stock_supplies(session: Session) -> None:
    known = {row.name: row.id for row in all_supplies(session)}
    for figures in SUPPLIES:
        if figures.name in known:
            change_supply(session, known[figures.name], figures)
        else:
            add_supply(session, figures)


def _fill_shelves(session: Session, goods: Goods, now: datetime) -> None:
    articles = {row.name: Article(kind_id=row.id) for row in goods.kinds.values()}
    articles |= {row.name: Article(supply_id=row.id) for row in goods.supplies.values()}
    for name, count_of_each, days_ago, colours in LOTS:
        came_on = local_day(now, load_zone(session)) - timedelta(days=days_ago)
        for colour in colours:
            arrival = Arrival(articles[name], colour, count_of_each, came_on)
            receive(
                session,
                STAFF[0],
                arrival,
                goods,
                now - timedelta(days=days_ago),
                f"demo {name} {colour} {days_ago}",
            )


def _put_designs(session: Session) -> None:
    """A supply that the shop does not have is left out."""
    shop, goods = load_shop(session), load_goods(session)
    kinds = {row.name: row.id for row in goods.kinds.values()}
    supplies = {row.name: row.id for row in goods.supplies.values()}
    for one in DESIGNS:
        parts = tuple(PartFigures(kinds[kind], gas, n, colours) for kind, gas, n, colours in one.parts)
        with_it = tuple((supplies[name], of_one) for name, of_one in one.supplies if name in supplies)
        figures = DesignFigures(one.name, parts, one.price, one.minutes, one.steps, one.seasons, with_it, one.build)
        add_design(session, figures, shop, goods)


def _live_through(session: Session, place: int, demo: Demo, shop: Shop, goods: Goods, now: datetime) -> None:
    """Take the order some days before, then do all that would have been done by now."""
    wish = _wish(demo, shop, goods, now)
    taken_at = min(now, (wish.ready_by or now) - timedelta(days=3, hours=2)) - timedelta(minutes=7 * place)
    who = STAFF[place % len(STAFF)]
    order = take_order(session, who, wish, shop, goods, taken_at, f"demo-{place}")
    session.flush()
    for number, (at, act, subject) in enumerate(_day_of(order, demo)):
        if at > now:
            return
        key = f"demo-{place}-{number}"
        if isinstance(subject, Batch):
            colour = str(subject.colours[0][0]) if act == Act.BURST else ""
            half = subject.quantity // 2 if act == Act.FILL else 0
            tap_batch(session, who, subject.key, Act(act), at, key, count=half, colour=colour, sure=True)
        else:
            if act == Step.HANDED_OVER:
                _pay(session, who, order, at, key)
            take_step(session, who, order.number, Step(act), at, key)


def _pay(session: Session, who: str, order: Order, at: datetime, key: str) -> None:
    for hire, minor in ((False, order.total_minor), (True, order.hire_deposit_minor)):
        if minor:
            note_payment(session, who, order.number, Money(minor, How.CARD, hire=hire), at, f"{key} paid {hire}")


def _day_of(order: Order, demo: Demo) -> Iterator[tuple[datetime, str, Batch | Order]]:
    """What the bench does with an order, in its order of time. A lagging one is left half filled."""
    done = order.ready_by
    for place, batch in enumerate(sorted(order.batches, key=lambda batch: batch.inflate_by)):
        start = max(batch.not_before or batch.inflate_by, batch.inflate_by - timedelta(minutes=20))
        start = min(start, batch.inflate_by)
        yield start, Act.START, batch
        if place == 0 and len(demo.customer) % 2:
            yield start + timedelta(minutes=3), Act.BURST, batch
        if demo.lags:
            yield start + timedelta(minutes=batch.work_minutes // 2), Act.FILL, batch
            return
        done = start + timedelta(minutes=batch.work_minutes)
        yield done, Act.FINISH, batch
    for step in steps_of(treated=any(batch.treated and batch.quantity for batch in order.batches)):
        done = (
            max(order.ready_by + timedelta(minutes=8), done)
            if step is Step.HANDED_OVER
            else done + timedelta(minutes=2)
        )
        yield done, step, order


def _wish(demo: Demo, shop: Shop, goods: Goods, now: datetime) -> OrderWish:
    day = now.astimezone(shop.zone).date() + timedelta(days=demo.day)
    starts, handed = _at(day, demo.starts, shop), _at(day, demo.handed, shop)
    ends_on = day + timedelta(days=1) if demo.ends <= demo.starts else day
    wish = OrderWish(
        customer=demo.customer,
        phone=demo.phone,
        occasion=Occasion.EVENT,
        lines=tuple(_line(*line, goods) for line in demo.lines),
        ready_by=handed,
        event_start=starts,
        lasts_until=_at(ends_on, demo.ends, shop),
    )
    back_on = day + timedelta(days=1)
    wish = replace(
        wish,
        return_by=_at(back_on, demo.brought_back, shop) if demo.brought_back else None,
        take_down_at=_at(back_on, demo.fetched, shop) if demo.fetched else None,
    )
    wish = replace(wish, **dict(demo.more))  # type: ignore[arg-type]  # the table above names fields of OrderWish
    if wish.hand_over is not HandOver.COLLECT:
        return replace(wish, arrives_at=handed, ready_by=handed - timedelta(minutes=wish.travel_minutes))
    return wish


def _at(day: date, hour: str, shop: Shop) -> datetime:
    return to_utc(datetime.combine(day, time.fromisoformat(hour)), shop.zone, Turn.FIRST)


def _line(name: str, quantity: int, colours: str, treated: bool, goods: Goods) -> LineWish:
    design = next((design.id for design in goods.designs.values() if design.name == name), None)
    kind = next((row for row in goods.kinds.values() if row.name == name), None)
    gas = Gas.AIR if kind and kind.air_only else Gas.HELIUM
    return LineWish(kind.id if kind else None, design, quantity, colours, gas, treated)


def set_aside(database_url: str) -> None:
    """Move the demo's file out of the way, so that a fresh one is made; nothing is deleted."""
    url = parse_url(database_url)
    if url.get_backend_name() != "sqlite" or not url.database:
        sys.exit("--reset only sets aside an SQLite file; empty another database by its own means.")
    aside = (f"{url.database}.before-reset{f'-{number}' if number else ''}" for number in count())
    free = next(name for name in aside if not Path(name).exists())
    for ending in ("", "-wal", "-shm", "-journal"):
        file = Path(url.database + ending)
        if file.exists():
            file.replace(Path(free + ending))


def main(words: list[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--serve", action="store_true", help="serve the shop afterwards")
    parser.add_argument("--reset", action="store_true", help="set the demo's file aside and begin anew")
    add_door(parser)
    args = parser.parse_args(words)
    try:
        url = demo_database_url()
        config = read_config(url)
        if args.reset:
            set_aside(url)
        database = prepare(url)
        with database.writing() as session:
            filled = fill_shop(session, this_moment())
    except (UnknownSetting, StoreUnusable, ValueError) as wrong:
        sys.exit(str(wrong))
    database.engine.dispose()
    print(
        f"{filled} invented orders filled in." if filled else "The shop has orders already: they stay as they are."
    )
    if args.serve:
        serve(Config(url, (*config.trusted_hosts, args.host)), args.host, args.port)


if __name__ == "__main__":
    main()
