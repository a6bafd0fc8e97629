"""Pick-ups: take-downs, and rented items that come back."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from flask import Blueprint, Response, flash, make_response, render_template, request, url_for

from app.actions.errors import NotFound
from app.actions.rentals.returns import (
    ReturnedGoods,
    cut_and_bin,
    return_all,
    return_goods,
    undo_cut_and_bin,
    undo_return,
)
from app.quoting.errors import Problem, Refused
from app.quoting.rentals import TakeDownTrip, take_down_trip_of
from app.store.queries.rentals import OrderRentals, RentedGoods, rentals_of_day, rentals_of_order
from app.web.days import ShopDay
from app.web.forms import FormGroup, MoneyField, ShopForm, TextField, WholeField, read_id, sent_client_key
from app.web.htmx import new_key, see_other
from app.web.requests import request_context
from app.web.wording.forms import PAGE_OUT_OF_DATE

CUT, ALL_BACK, UNDO = "cut", "all back", "undo"
MOST_PIECES = 9999


class ReturnCountForm(ShopForm):
    """What came back of a rented item, whose number ends the names of its fields; empty means none."""

    back = WholeField("Back", 0, MOST_PIECES, empty=0)
    lost = WholeField("Lost or broken", 0, MOST_PIECES, empty=0)
    kept = MoneyField("Security deposit to keep", empty=0)

    def returned_goods(self, good: RentedGoods) -> ReturnedGoods:
        """Returns what was typed. The form must be valid."""
        return ReturnedGoods(good.id, self.back.value, self.lost.value, self.kept.value)


class NoteForm(ShopForm):
    """The note on what came back."""

    note = TextField("Note")


@dataclass(frozen=True, slots=True)
class ShownRentals:
    """trip: of a take-down. next_act: the tap that is offered, empty if none is."""

    row: OrderRentals
    trip: TakeDownTrip | None
    overdue: bool
    next_act: str

    @property
    def late_from(self) -> datetime | None:
        """The moment from which the rentals are overdue; None if there is none."""
        return self.trip.ends_at if self.trip else self.row.due


def rentals_shown(day: ShopDay) -> list[ShownRentals]:
    """Returns the rentals of a day: those that are overdue first, those that are done last."""
    here = request_context()
    rows = rentals_of_day(here.session, day.start, day.end, is_today=day.is_today)
    shown = [one for one in map(show_rentals, rows) if _belongs_to_day(one, day)]
    return sorted(shown, key=lambda one: (not one.overdue, one.row.is_done))


def _belongs_to_day(one: ShownRentals, day: ShopDay) -> bool:
    """Returns whether the rentals belong to the day. A take-down in the night also belongs to the day on which its
    crew leaves."""
    starts = one.trip.leaves_at if one.trip else one.row.due
    return starts is not None and starts < day.end


def show_rentals(row: OrderRentals) -> ShownRentals:
    """Returns the rentals of an order as the page shows them."""
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
    """Returns the tap that is offered; empty if none is."""
    return CUT if row.has_take_down and row.cut is None else ALL_BACK


def overdue_times(shown: Iterable[ShownRentals]) -> Iterator[datetime]:
    """Yields the moments at which something becomes overdue."""
    for one in shown:
        if one.late_from and not one.row.is_done:
            yield one.late_from + timedelta(seconds=1)


def tap_rentals(number: int) -> None:
    """Saves what was pressed on the board. Raises Refused, NotFound."""
    here, act = request_context(), request.form.get("act", "")
    if act == CUT:
        cut_and_bin(here.context, number, sent_client_key())
    elif act == ALL_BACK:
        return_all(here.context, number, sent_client_key())
    elif act == UNDO:
        _undo(number)
    else:
        raise Refused(Problem("act", PAGE_OUT_OF_DATE))


def _undo(number: int) -> None:
    """Undoes a take-down, or a return."""
    here = request_context()
    if "tap" in request.form:
        undo_cut_and_bin(here.context, number, read_id(request.form["tap"]))
    else:
        undo_return(here.context, number, read_id(request.form.get("came")))


def register(pickups: Blueprint) -> None:
    """Registers the page that counts what came back."""
    pickups.get("/orders/<int:number>/back")(count_back)
    pickups.post("/orders/<int:number>/back")(save_return)
    pickups.post("/orders/<int:number>/back/undo")(undo_on_page)


def count_back(number: int) -> Response:
    """Shows the page that counts what came back."""
    return _page(number)


def save_return(number: int) -> Response:
    """Saves what was counted, or shows the page again with a sentence at each field that is wrong."""
    here = request_context()
    goods = [good for good in _rentals(number).goods if good.out]
    counts, note = [_count_of(good, request.form) for good in goods], NoteForm(request.form)
    forms = _combined_form(goods, counts, note)
    if forms.validate():
        try:
            returned = [count.returned_goods(good) for good, count in zip(goods, counts, strict=True)]
            return_goods(here.context, number, returned, note.note.text, sent_client_key())
            flash(f"Return of order {number} saved.")
            return see_other(url_for("pickups.count_back", number=number))
        except Refused as refused:
            for problem in refused.problems:
                form = note if problem.line is None else counts[problem.line]
                form.add_problems([replace(problem, line=None)])
    return _page(number, counts, note, 422)


def undo_on_page(number: int) -> Response:
    """Undoes a return."""
    _undo(number)
    flash(f"Return of order {number} undone.")
    return see_other(url_for("pickups.count_back", number=number))


def _rentals(number: int) -> OrderRentals:
    """Returns the rentals of the order. Raises NotFound."""
    row = rentals_of_order(request_context().session, number)
    if row is None:
        raise NotFound(f"There is no order {number}, or it is cancelled.")
    return row


def _count_of(good: RentedGoods, sent: Any = None) -> ReturnCountForm:
    """Returns the form of one rented item."""
    kept = request_context().formats.amount(0)
    return ReturnCountForm(sent, suffix=good.id, data={"back": str(good.out), "lost": "0", "kept": kept})


def _combined_form(goods: Iterable[RentedGoods], counts: Iterable[ReturnCountForm], note: NoteForm) -> FormGroup:
    """Returns all forms as one."""
    named = [(good.name, count) for good, count in zip(goods, counts, strict=True)]
    return FormGroup([*named, ("", note)])


def _page(
    number: int, counts: Sequence[ReturnCountForm] = (), note: NoteForm | None = None, status: int = 200
) -> Response:
    """Returns the page that counts what came back."""
    row, note = _rentals(number), note or NoteForm()
    goods = [good for good in row.goods if good.out]
    counts = counts or [_count_of(good) for good in goods]
    page = render_template(
        "pickups/back.html",
        rentals=show_rentals(row),
        counts=list(zip(goods, counts, strict=True)),
        note=note,
        problems=_combined_form(goods, counts, note),
        new_key=new_key,
    )
    return make_response(page, status)
