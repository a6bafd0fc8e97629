"""Bench: what to lay out for the day, from which lots, and for whom."""

from dataclasses import dataclass

from flask import Blueprint, render_template, request

from app.actions.records.shop import Goods, load_materials
from app.actions.stock.fetch_list import FromLot, PullList, PullRow, pull_list
from app.planning.stock import ANY
from app.web.days import read_day
from app.web.requests import visit
from app.web.wording.stock import counted


@dataclass(frozen=True, slots=True)
class ShownPull:
    """Amounts in words. lots: oldest first. short, spares_short: empty where enough is there."""

    row: PullRow
    name: str
    label: str
    count: str
    there: str
    short: str
    spares_short: str
    lots: tuple[str, ...]
    most_free: str


def add_to(bench: Blueprint) -> None:
    bench.get("/bench/pull")(pull)


def pull() -> str:
    here = visit()
    day = read_day(request.args.get("day"), here.formats, here.now)
    goods = load_materials(here.session)
    listed = pull_list(here.session, here.shop, day.on, here.now)
    rows = [_shown(row, listed, goods) for row in listed.rows]
    return render_template(
        "bench/pull.html",
        day=day,
        passed=day.end <= here.now,
        balloons=[one for one in rows if one.row.article.kind_id],
        supplies=[one for one in rows if one.row.article.supply_id],
        short=sum(bool(one.short) for one in rows),
    )


def _shown(row: PullRow, listed: PullList, goods: Goods) -> ShownPull:
    def amount(count: float) -> str:
        return counted(count, row.article, goods)

    lots = tuple(f"{amount(lot.count)} {_lot_words(lot, row)}" for lot in row.lots)
    free = ", ".join(f"{listed.shelves.colour(row.article, one)} {amount(count)}" for one, count in row.most_free)
    return ShownPull(
        row=row,
        name=row.article.name(goods),
        label=_label(row, listed),
        count=amount(row.count),
        there=amount(row.there),
        short=amount(row.short) if row.short else "",
        spares_short=amount(row.spares_short) if row.spares_short else "",
        lots=lots,
        most_free=free,
    )


def _label(row: PullRow, listed: PullList) -> str:
    if not row.article.kind_id:
        return ""
    return "any colour" if row.colour == ANY else listed.shelves.colour(row.article, row.colour)


def _lot_words(lot: FromLot, row: PullRow) -> str:
    """“of 3 Aug 2026”, with its colour where any does."""
    colour = lot.colour if row.colour == ANY else ""
    on = f"{lot.on.day} {lot.on:%b %Y}"
    return f"{colour} {f'of what comes {on}' if lot.comes else f'of {on}'}".strip()
