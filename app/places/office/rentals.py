"""Office: rented items that are with customers, as a page and as a table for elsewhere."""

from collections.abc import Iterator
from dataclasses import dataclass

from flask import Blueprint, render_template
from flask.wrappers import Response

from app.quoting.rentals import take_down_trip_of
from app.store.queries.rentals import OrderRentals, RentedGoods, rentals_out
from app.web.requests import request_context
from app.web.tables import csv_response

CSV_HEAD = (
    *("order", "customer", "phone", "rental", "pieces out", "out since", "due back", "brought back by"),
    *("overdue", "security deposit", "security deposit paid"),
)


@dataclass(frozen=True, slots=True)
class GoodsOut:
    """The rented items of one order. overdue: past the end of the take-down, or the time by which they are brought
    back."""

    row: OrderRentals
    goods: tuple[RentedGoods, ...]
    overdue: bool

    @property
    def how(self) -> str:
        """Who brings the items back."""
        return "our crew" if self.row.has_take_down else "the customer"

    @property
    def deposit_minor(self) -> int:
        """The security deposits on what is out."""
        return sum(good.out * good.deposit_minor for good in self.goods)


def register(office: Blueprint) -> None:
    """Registers the pages of rentals."""
    office.get("/rentals")(rentals)
    office.get("/rentals.csv")(rentals_csv)


def rentals() -> str:
    """Shows what is out on rental."""
    rows = _goods_out()
    pieces = sum(one.row.out for one in rows)
    return render_template("office/rentals.html", rows=rows, pieces=pieces)


def rentals_csv() -> Response:
    """Returns what is out on rental as a table."""
    return csv_response("rentals.csv", CSV_HEAD, _cells())


def _goods_out() -> list[GoodsOut]:
    """Returns what is out: overdue orders first, then by the time at which they are due."""
    shown = [_show(row) for row in rentals_out(request_context().session)]
    return sorted(shown, key=lambda one: not one.overdue)


def _show(row: OrderRentals) -> GoodsOut:
    """Returns the rented items of an order as the page shows them."""
    here, due = request_context(), row.due
    if row.take_down_at:
        due = take_down_trip_of(row.take_down_at, row.travel_minutes, row.crew, here.shop.trip).ends_at
    return GoodsOut(row, tuple(good for good in row.goods if good.out), due is not None and here.now > due)


def _cells() -> Iterator[tuple[object, ...]]:
    """Yields a row for each rented item. The security deposit paid is of the whole order, so it
    is in one row only."""
    formats = request_context().formats
    for one in _goods_out():
        row = one.row
        hours = [formats.local(hour).isoformat() if hour else "" for hour in (row.gone_at, row.due)]
        for place, good in enumerate(one.goods):
            held = "" if place else formats.table_amount(row.held_minor)
            deposit = formats.table_amount(good.out * good.deposit_minor)
            yield (
                *(row.number, row.customer, row.phone, good.name, good.out, *hours, one.how),
                *("yes" if one.overdue else "no", deposit, held),
            )
