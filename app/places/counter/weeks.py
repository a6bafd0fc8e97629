"""Counter: the weeks ahead. Each day's work against its staff, what leaves, which rentals are out, and what is
still free."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from flask import Blueprint, render_template, request, url_for

from app.actions.records.open_work import crew_absences
from app.actions.records.shop import load_roster
from app.planning.day_load import DayLoad, load_between
from app.planning.schedule import Absence, Shift
from app.quoting.request import HandOver
from app.store.queries.plan import SavedBlock, SavedDelay
from app.store.queries.weeks import LeavingRow, RentalSpan, orders_leaving, rentals_until
from app.web.days import read_date
from app.web.drawings.load_bar import LoadBar, layout_load_bar
from app.web.locales import first_weekday
from app.web.requests import request_context
from app.web.wording.weeks import away_words, count_words, free_words, load_words

WEEKS = 4
ONE_DAY = timedelta(days=1)
WEEK = timedelta(weeks=1)
SPAN = WEEKS * WEEK
FIRST_DAY, LAST_DAY = date(2000, 1, 10), date(2100, 1, 1)
"""The days for which there are weeks."""


@dataclass(frozen=True, slots=True)
class ShownDay:
    """A day of the weeks ahead. load: None if the day is over. free, planned: how it stands, in words. facts: what
    leaves and what is out, in words. late: how many orders of that day can't be ready. away: for how many
    minutes of work crews are away from the bench."""

    day: date
    is_today: bool
    is_closed: bool
    closed_because: str
    load: DayLoad | None
    free: str
    bar: LoadBar | None
    orders: int
    deliveries: int
    rentals_out: int
    late: int
    away: int
    facts: tuple[str, ...]

    @property
    def is_over(self) -> bool:
        return self.load is None


@dataclass(frozen=True, slots=True)
class _Known:
    """What was read for all days of the page."""

    blocks: Sequence[SavedBlock]
    delays: Sequence[SavedDelay]
    shifts: Sequence[Shift]
    absences: Sequence[Absence]
    leaving: Sequence[LeavingRow]
    rentals: Sequence[RentalSpan]


def register(counter: Blueprint) -> None:
    """Registers the weeks ahead."""
    counter.get("/weeks")(weeks)


def weeks() -> str:
    """Shows four weeks, from that of a day in the address, or from this week."""
    today = request_context().context.today
    first = _first_of_week(min(max(read_date(request.args.get("from")) or today, FIRST_DAY), LAST_DAY))
    days = [*_days(first)]
    return render_template(
        "counter/weeks.html",
        weeks=[days[place : place + 7] for place in range(0, len(days), 7)],
        first=first,
        last=first + SPAN - ONE_DAY,
        is_now=first <= today < first + SPAN,
        earlier=_address(max(first - SPAN, FIRST_DAY)),
        later=_address(min(first + SPAN, LAST_DAY)),
    )


def _address(first: date) -> str:
    asked: dict[str, Any] = {"from": first.isoformat()}
    return url_for("counter.weeks", **asked)


def _first_of_week(day: date) -> date:
    """Returns the first day of the week in which a day is, as the shop's country counts weeks."""
    return day - timedelta(days=(day.weekday() - first_weekday(request_context().formats.locale)) % 7)


def _days(first: date) -> Iterator[ShownDay]:
    """Yields the days of the page. However many orders there are, they take the same few statements."""
    here = request_context()
    start, end = (here.shop.opening.day_bounds(day)[0] for day in (first, first + SPAN))
    known = _Known(
        blocks=here.plan.blocks,
        delays=here.plan.delays,
        shifts=load_roster(here.session, here.shop.opening).shifts(max(start, here.now), max(end, here.now)),
        absences=tuple(crew_absences(here.context)),
        leaving=orders_leaving(here.session, start, end),
        rentals=rentals_until(here.session, end),
    )
    return (_shown(first + place * ONE_DAY, known) for place in range(SPAN.days))


def _shown(day: date, known: _Known) -> ShownDay:
    here = request_context()
    start, end = here.shop.opening.day_bounds(day)
    is_today, is_closed = day == here.context.today, here.shop.opening.minutes(day) is None
    load = _load(known, start, end)
    leaving = [row for row in known.leaving if start <= row.ready_by < end]
    later = sum(row.later_at is not None and start <= row.later_at < end for row in known.leaving)
    deliveries = sum(row.hand_over is HandOver.DELIVER for row in leaving)
    crews = sum(row.hand_over is HandOver.VENUE for row in leaving)
    out = sum(_pieces_out(span, start, end) for span in known.rentals) if load else 0
    away = _minutes_away(known, start, end) if load else 0
    late = sum(start <= delay.ready_by < end for delay in known.delays)
    counted = (
        (deliveries, "delivery", "deliveries"),
        (crews, "venue to fill", "venues to fill"),
        (later, "later part", "later parts"),
        (out, "rental out", "rentals out"),
    )
    return ShownDay(
        day=day,
        is_today=is_today,
        is_closed=is_closed,
        closed_because=closed.reason if (closed := here.shop.opening.closed_for(day)) else "",
        load=load,
        free=_free_words(load, is_closed=is_closed, is_today=is_today),
        bar=layout_load_bar(load, load_words(load, here.formats)) if load and load.available else None,
        orders=len(leaving),
        deliveries=deliveries,
        rentals_out=out,
        late=late,
        away=away,
        facts=(
            *((away_words(away, here.formats),) if away else ()),
            *(count_words(*one) for one in counted if one[0]),
        ),
    )


def _load(known: _Known, start: datetime, end: datetime) -> DayLoad | None:
    """Returns the load of a day, of today from now on; None if the day is over."""
    now = request_context().now
    if end <= now:
        return None
    return load_between(known.blocks, known.shifts, known.absences, max(start, now), end)


def _minutes_away(known: _Known, start: datetime, end: datetime) -> int:
    """Returns for how many minutes of the staff's work crews are away on a day, of today from now on."""
    begin = max(start, request_context().now)
    all_there, there = (load_between((), known.shifts, absences, begin, end) for absences in ((), known.absences))
    return all_there.available - there.available


def _free_words(load: DayLoad | None, *, is_closed: bool, is_today: bool) -> str:
    if load is None:
        return "Closed" if is_closed else ""
    return free_words(load, request_context().formats, is_closed=is_closed, is_today=is_today)


def _pieces_out(span: RentalSpan, start: datetime, end: datetime) -> int:
    """Returns how many pieces are out on a day that is not over. What should be back already is out today; nobody
    knows for how much longer."""
    is_today = start <= request_context().now < end
    is_out = span.out_from < end and (span.due is None or span.due >= start or (is_today and span.is_gone))
    return span.pieces if is_out else 0
