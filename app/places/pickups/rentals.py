"""Pick-ups: take-downs, and hired goods that come back."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import chain

from flask import Blueprint, Response, make_response, render_template, request, url_for
from wtforms.validators import ValidationError

from app.actions.errors import NotFound
from app.actions.rentals.returns import ReturnedGoods, return_all, return_goods, undo_return
from app.actions.rentals.take_down import cut_and_bin, undo_cut
from app.quoting.errors import Problem, Refused
from app.quoting.take_down_trips import TakeDownTrip, take_down_trip_of
from app.store.queries.rentals import OrderRentals, RentedGoods, rentals_of_day, rentals_of_order
from app.web.days import ShopDay
from app.web.forms import read_id, read_money, read_whole, tap_key
from app.web.htmx import new_key, see_other
from app.web.requests import request_context

CUT, ALL_BACK, UNDO = "cut", "all back", "undo"
MOST_PIECES = 9999
Wrong = dict[str, list[str]]
"""Sentences by field."""


@dataclass(frozen=True, slots=True)
class ShownRentals:
    """trip: of a take-down. next_act: the tap that is offered, empty when none is."""

    row: OrderRentals
    trip: TakeDownTrip | None
    overdue: bool
    next_act: str

    @property
    def late_from(self) -> datetime | None:
        return self.trip.ends_at if self.trip else self.row.due


def rentals_shown(day: ShopDay) -> list[ShownRentals]:
    """Of a day: what is overdue first, what is done last."""
    here = request_context()
    rows = rentals_of_day(here.session, day.start, day.end, is_today=day.is_today)
    shown = [one for one in map(show_rentals, rows) if _is_of(one, day)]
    return sorted(shown, key=lambda one: (not one.overdue, one.row.is_done))


def _is_of(one: ShownRentals, day: ShopDay) -> bool:
    """A visit in the night belongs also to the day on which its crew leaves."""
    starts = one.trip.leaves_at if one.trip else one.row.due
    return starts is not None and starts < day.end


def show_rentals(row: OrderRentals) -> ShownRentals:
    here = request_context()
    trip = (
        take_down_trip_of(row.take_down_at, row.travel_minutes, row.crew, here.shop.trip)
        if row.take_down_at
        else None
    )
    late_from = trip.ends_at if trip else row.due
    open_now = row.gone_at is not None and not row.is_done
    overdue = open_now and late_from is not None and here.now > late_from
    return ShownRentals(row, trip, overdue, _next_act(row) if open_now else "")


def _next_act(row: OrderRentals) -> str:
    return CUT if row.is_visit and row.cut is None else ALL_BACK


def turns_of(shown: Iterable[ShownRentals]) -> Iterator[datetime]:
    """When something becomes overdue."""
    for one in shown:
        if one.late_from and not one.row.is_done:
            yield one.late_from + timedelta(seconds=1)


def tap_rentals(number: int) -> None:
    """What was pressed on the board. Raises Refused, NotFound."""
    here, act = request_context(), request.form.get("act", "")
    if act == CUT:
        cut_and_bin(here.context, number, tap_key())
    elif act == ALL_BACK:
        return_all(here.context, number, tap_key())
    elif act == UNDO:
        _undo(number)
    else:
        raise Refused(Problem("act", "The pick-ups do not know that tap."))


def _undo(number: int) -> None:
    """A cut, or goods that came back."""
    here = request_context()
    if "tap" in request.form:
        undo_cut(here.context, number, read_id(request.form["tap"]))
    else:
        undo_return(here.context, number, read_id(request.form.get("came")))


def register(pickups: Blueprint) -> None:
    pickups.get("/orders/<int:number>/back")(count_back)
    pickups.post("/orders/<int:number>/back")(save_return)
    pickups.post("/orders/<int:number>/back/undo")(undo_on_page)


def count_back(number: int) -> Response:
    return _page(number, {})


def save_return(number: int) -> Response:
    """What was counted, or the page again with a sentence at each field that is wrong."""
    here = request_context()
    row = _rentals(number)
    goods = [good for good in row.goods if good.out]
    wrong: Wrong = {}
    came = [_read(good, wrong) for good in goods]
    if not wrong:
        try:
            note = request.form.get("note", "").strip()
            return_goods(here.context, number, came, note, tap_key())
            return see_other(url_for("pickups.count_back", number=number))
        except Refused as refused:
            _say(refused, goods, wrong)
    return _page(number, wrong, 422)


def undo_on_page(number: int) -> Response:
    _undo(number)
    return see_other(url_for("pickups.count_back", number=number))


def _rentals(number: int) -> OrderRentals:
    row = rentals_of_order(request_context().session, number)
    if row is None:
        raise NotFound(f"There is no order {number}, or it is cancelled.")
    return row


def _read(good: RentedGoods, wrong: Wrong) -> ReturnedGoods:
    back = _read_count(f"back-{good.id}", "Back", wrong)
    lost = _read_count(f"lost-{good.id}", "Lost", wrong)
    return ReturnedGoods(good.id, back, lost, _read_kept(f"kept-{good.id}", wrong))


def _read_count(name: str, label: str, wrong: Wrong) -> int:
    try:
        return read_whole(request.form.get(name, "").strip() or "0", 0, MOST_PIECES, label)
    except ValidationError as problem:
        wrong[name] = [str(problem)]
        return 0


def _read_kept(name: str, wrong: Wrong) -> int:
    try:
        return read_money(request.form.get(name, "").strip() or "0", request_context().formats.decimals)
    except ValidationError as problem:
        wrong[name] = [str(problem)]
        return 0


def _say(refused: Refused, goods: list[RentedGoods], wrong: Wrong) -> None:
    """Each sentence at its field; what has no line stands above the form."""
    for problem in refused.problems:
        at = problem.field if problem.line is None else f"{problem.field}-{goods[problem.line].id}"
        wrong.setdefault(at, []).append(problem.sentence)


def _page(number: int, wrong: Wrong, status: int = 200) -> Response:
    row = _rentals(number)
    fields = {f"{name}-{good.id}" for good in row.goods if good.out for name in ("back", "lost", "kept")} | {"note"}
    above = list(chain.from_iterable(said for name, said in wrong.items() if name not in fields))
    shown = {"rentals": show_rentals(row), "wrong": wrong, "above": above, "sent": request.form, "new_key": new_key}
    return make_response(render_template("pickups/back.html", **shown), status)
