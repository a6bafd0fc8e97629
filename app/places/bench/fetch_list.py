"""Bench: the items to fetch for the day, from which lots, and for which orders."""

from dataclasses import dataclass
from datetime import date

from flask import Blueprint, render_template, request

from app.actions.stock.fetch_list import FetchList, FetchLot, FetchRow, build_fetch_list
from app.planning.shoptime import day_bounds
from app.planning.stock import ANY
from app.quoting.catalogue import Catalogue
from app.web.days import read_shop_day
from app.web.formats import Formats
from app.web.requests import request_context
from app.web.wording.stock import describe_count


@dataclass(frozen=True, slots=True)
class ShownFetchLot:
    """How much to take from one lot. comes: whether it is a delivery that is still on its way."""

    day: date
    colour: str
    count: str
    comes: bool
    is_old: bool
    words: str


@dataclass(frozen=True, slots=True)
class ShownFetchOrder:
    """How much an order takes, as text. started: whether it is being filled."""

    number: int
    words: str
    started: bool


@dataclass(frozen=True, slots=True)
class ShownFetchRow:
    """A row of the list, amounts as text. lots: oldest first. short, spares_short: empty if enough is in stock."""

    row: FetchRow
    name: str
    label: str
    count: str
    available: str
    short: str
    spares_short: str
    lots: tuple[ShownFetchLot, ...]
    orders: tuple[ShownFetchOrder, ...]
    most_free: str


def register(bench: Blueprint) -> None:
    """Registers the page of the items to fetch."""
    bench.get("/bench/fetch-list")(fetch_list)


def fetch_list() -> str:
    """Shows the items to fetch on the day."""
    here = request_context()
    day = read_shop_day(request.args.get("day"), here)
    catalogue = here.catalogue
    listed = build_fetch_list(here.context, day.local_date)
    rows = [_shown(row, listed, catalogue) for row in listed.rows]
    return render_template(
        "bench/fetch_list.html",
        day=day,
        passed=day.end <= here.now,
        balloons=[one for one in rows if one.row.article.balloon_type_id],
        supplies=[one for one in rows if one.row.article.supply_id],
        short=sum(bool(one.short) for one in rows),
    )


def _shown(row: FetchRow, listed: FetchList, catalogue: Catalogue) -> ShownFetchRow:
    """Returns the row as the page shows it."""

    formats = request_context().formats

    def amount(count: float) -> str:
        return describe_count(count, row.article, catalogue, formats)

    free = ", ".join(
        f"{listed.availability.colour(row.article, one)} {amount(count)}" for one, count in row.most_free
    )
    return ShownFetchRow(
        row=row,
        name=row.article.name(catalogue),
        label=_label(row, listed),
        count=amount(row.count),
        available=amount(row.available),
        short=amount(row.short) if row.short else "",
        spares_short=amount(row.spares_short) if row.spares_short else "",
        lots=tuple(_shown_lot(lot, amount(lot.count), row, formats) for lot in row.lots),
        orders=tuple(ShownFetchOrder(order.number, amount(order.count), order.started) for order in row.orders),
        most_free=free,
    )


def _label(row: FetchRow, listed: FetchList) -> str:
    """Returns the name of the article, with its colour."""
    if not row.article.balloon_type_id:
        return ""
    return "any colour" if row.colour == ANY else listed.availability.colour(row.article, row.colour)


def _shown_lot(lot: FetchLot, count: str, row: FetchRow, formats: Formats) -> ShownFetchLot:
    """Returns a lot as the page shows it, with its colour if the order takes any colour."""
    colour = lot.colour if row.colour == ANY else ""
    on = formats.day_with_year(day_bounds(lot.on, formats.zone)[0])
    lot_words = f"from the old lot of {on}" if lot.is_old else f"from the lot of {on}"
    source = f"from the delivery due {on}" if lot.comes else lot_words
    return ShownFetchLot(
        day=lot.on,
        colour=lot.colour,
        count=count,
        comes=lot.comes,
        is_old=lot.is_old,
        words=f"{count} {colour} {source}" if colour else f"{count} {source}",
    )
