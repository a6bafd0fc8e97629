"""This module puts the year behind today into the database."""

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, timedelta
from random import Random

from sqlalchemy import func, insert, select, update
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.records.catalogue import load_catalogue
from app.actions.records.descriptions import HistoryFormats
from app.actions.records.history import ORDER_NUMBER
from app.actions.records.shop import load_shop
from app.actions.stock.articles import Article, colour_key
from app.demo.stock import LOTS, article_named
from app.demo.year.copies import Copier
from app.demo.year.costs import Costs
from app.demo.year.days import REST_OF_YEAR, Planned, Year
from app.demo.year.gas import Cylinders
from app.demo.year.lives import Rehearsal
from app.demo.year.people import Crowd
from app.demo.year.records import TABLES, Lived, Row
from app.demo.year.stock import Shelves
from app.demo.year.typical import QUICK_SALES, TYPICAL
from app.demo.year.work_scatter import WorkScatter
from app.store.models import Counter

SEED = 20_260
ALL_TABLES = (
    *("customer", "customer_phone", "orders", "order_line", "order_extra", "batch", "tap", "payment", "rental"),
    *("rental_return", "lot", "delivery", "stock_move", "history_entry", "cylinder", "cylinder_reading"),
)
"""The tables that grow with the year, each after those to which it refers."""


def add_year(context: Context, days: int, staff: Sequence[str]) -> int:
    """Adds so many days of invented orders that end before the orders around today, and returns how many orders
    were added. The shop must have no orders, stock and cylinders yet."""
    with _without_search_for_garbage():
        return _add_year(context, days, staff)


def _add_year(context: Context, days: int, staff: Sequence[str]) -> int:
    chance, session = Random(SEED), context.session
    opening = context.shop.opening
    end = opening.day_bounds(context.today - timedelta(days=REST_OF_YEAR - 1))[0] - timedelta(hours=4)
    lives = _live(context)
    costs = Costs(context, lives, opening.day_bounds(context.today - timedelta(days=days))[0])
    context = replace(context, shop=load_shop(session), catalogue=load_catalogue(session))
    crowd, copier = Crowd(chance), Copier(_last_ids(session), staff, HistoryFormats.of(context.shop))
    plan = Year(context.shop, context.today, days, lives, crowd, chance).plan()
    shelves = Shelves(context, copier, _begins(context))
    scatter = WorkScatter(staff, context.shop)
    fills = sorted(fill for planned in plan for fill in _copy(planned, copier, costs, shelves, scatter))
    _add_customers(crowd, copier)
    shelves.write(end)
    Cylinders(context, copier, chance).write(fills, end)
    _write(session, copier.all_rows)
    return len(plan)


def _copy(
    planned: Planned, copier: Copier, costs: Costs, shelves: Shelves, scatter: WorkScatter
) -> Iterator[tuple[datetime, float]]:
    """Copies an order and takes what it needs from the shelves. Yields the moment and the litres of each fill with
    helium."""
    lived, person = planned.lived, planned.customer
    customer_id = copier.customer_id(person.place) if person else None
    copied = copier.copy(planned, customer_id, costs.of(lived, planned.taken_at))
    scatter.spread_work(copied)
    if person:
        person.last_order_at = planned.taken_at
    for use in lived.uses:
        shelves.take(use.article, use.colour, copied["stock_move"][use.place])
    yield from ((copied["tap"][place]["at"], litres) for place, litres in lived.helium)


def _add_customers(crowd: Crowd, copier: Copier) -> None:
    """Adds those who have ordered."""
    for place, customer_id in copier.customer_ids.items():
        customer, phone = crowd.everyone[place].rows(customer_id, copier.next_id("customer_phone"))
        copier.all_rows["customer"].append(customer)
        copier.all_rows["customer_phone"].append(phone)


def _live(context: Context) -> list[Lived]:
    """Lives each typical order in each of its ways, and each quick sale."""
    rehearsal = Rehearsal(context)
    try:
        orders = [rehearsal.live(typical, way) for typical in TYPICAL for way in typical.ways]
        return orders + [rehearsal.sell(*sale) for sale in QUICK_SALES]
    finally:
        rehearsal.end()


def _last_ids(session: Session) -> dict[str, int]:
    """Returns the last id of each table, and the last number of an order."""
    last = {name: session.scalar(select(func.max(TABLES[name].c.id))) or 0 for name in ALL_TABLES}
    number = session.scalar(select(Counter.value).where(Counter.name == ORDER_NUMBER)) or 0
    return last | {"number": number}


def _begins(context: Context) -> dict[tuple[Article, str], date]:
    """Returns the day of the first lot of today's stock, by article and colour. Lots that came before the year are
    left out: they were forgotten on a high shelf."""
    begins: dict[tuple[Article, str], date] = {}
    for name, _, days_ago, colours in LOTS:
        for colour in colours:
            day, key = (
                context.today - timedelta(days=days_ago),
                (article_named(context.catalogue, name), colour_key(colour)),
            )
            if days_ago < 365:
                begins[key] = min(day, begins.get(key, day))
    return begins


def _write(session: Session, rows: dict[str, list[Row]]) -> None:
    """Writes all rows, table by table, and the number of the last order."""
    session.flush()
    connection = session.connection()
    for name in ALL_TABLES:
        if rows[name]:
            connection.execute(insert(TABLES[name]), rows[name])
            if connection.dialect.name == "postgresql":  # it would give the ids written here once more
                ids = func.pg_get_serial_sequence(name, "id")
                connection.execute(select(func.setval(ids, rows[name][-1]["id"])))
    if rows["orders"]:
        last = rows["orders"][-1]["number"]
        session.execute(update(Counter).where(Counter.name == ORDER_NUMBER).values(value=last))


@contextmanager
def _without_search_for_garbage() -> Iterator[None]:
    """Leaves out the search for garbage, which would look at all rows again and again."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
