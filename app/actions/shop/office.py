"""What the owner changes: settings, opening hours, staff. Open orders are calculated again."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.records.batches import promised_start, spec_of, sync_batches
from app.actions.records.catalogue import load_catalogue
from app.actions.records.descriptions import Changes, HistoryFormats, describe_changes
from app.actions.records.history import touch_board, write_history
from app.actions.records.rebuild_request import commitments_of, rebuild_request
from app.actions.records.shop import load_shop, setting_values
from app.planning.window import Certainty, Verdict
from app.quoting.catalogue import Catalogue
from app.quoting.errors import Problem, Refused
from app.quoting.quote import Quote, make_quote
from app.quoting.request import HandOver
from app.quoting.runs import BatchPlan
from app.quoting.settings.all_settings import SETTINGS
from app.quoting.shop import Shop
from app.quoting.states import OrderState
from app.store.models import (
    DayShift,
    OpeningException,
    OpeningWeekday,
    Order,
    SettingRow,
    StaffMember,
    WeekdayShift,
)

RISKY_ABOVE_SAFE = "Enter a number no larger than “Safe from”."

Hours = tuple[int, int]
"""From and to, in minutes after local midnight."""

SOONEST_FIRST = (Order.ready_by, Order.id)
RECALCULATED = "recalculated"
"""The act in the history of an order."""

FLOAT_WORDS = {Verdict.SAFE: "safe", Verdict.RISKY: "risky", Verdict.WONT_LAST: "won't last"}
"""The verdicts as the history of an order has them."""


def change_settings(session: Session, changes: Mapping[str, float | int | str]) -> None:
    """Saves values by setting key; money in minor units. Raises Refused with a problem at each wrong one."""
    values, problems = dict(setting_values(session)), []
    for setting in SETTINGS:
        if setting.key in changes:
            try:
                values[setting.key] = setting.check(changes[setting.key])
            except ValueError as wrong:
                problems.append(Problem(setting.key, str(wrong)))
    if float(values["lower_limit_percent"]) > float(values["certainty_percent"]):
        problems.append(Problem("lower_limit_percent", RISKY_ABOVE_SAFE))
    if problems:
        raise Refused(*problems)
    saved = {row.key: row for row in session.scalars(select(SettingRow))}
    for setting in SETTINGS:
        if row := saved.get(setting.key):
            row.value = values[setting.key]
        else:
            session.add(SettingRow(key=setting.key, value=values[setting.key]))
    session.flush()


def change_week(session: Session, week: Mapping[int, Hours | None]) -> None:
    """Saves opening hours by weekday, 0 is Monday; None is closed."""
    session.execute(delete(OpeningWeekday))
    session.add_all(OpeningWeekday(weekday=d, opens=h[0], closes=h[1]) for d, h in week.items() if h)
    session.flush()


def save_exception_hours(session: Session, day: date, hours: Hours | None) -> None:
    """Saves other hours for one date; None is closed."""
    opens, closes = hours or (None, None)
    session.merge(OpeningException(day=day, opens=opens, closes=closes))
    session.flush()


def delete_exception_hours(session: Session, day: date) -> None:
    """Removes the other hours of the date."""
    session.execute(delete(OpeningException).where(OpeningException.day == day))


@dataclass(frozen=True, slots=True)
class ShiftMinutes:
    """A shift from one minute after local midnight to another, with its staff."""

    starts: int
    ends: int
    staff: int


def change_shifts(session: Session, week: Mapping[int, Sequence[ShiftMinutes]]) -> None:
    """Saves shifts by weekday, 0 is Monday. A weekday without shifts has one person on shift while the shop is
    open."""
    session.execute(delete(WeekdayShift))
    for weekday, shifts in week.items():
        session.add_all(WeekdayShift(weekday=weekday, starts=s.starts, ends=s.ends, staff=s.staff) for s in shifts)
    session.flush()


def change_day_shifts(session: Session, day: date, shifts: Sequence[ShiftMinutes]) -> None:
    """Saves shifts for one date, in place of its weekday's; an empty list removes the exception."""
    session.execute(delete(DayShift).where(DayShift.day == day))
    session.add_all(DayShift(day=day, starts=s.starts, ends=s.ends, staff=s.staff) for s in shifts)
    session.flush()


def add_staff(session: Session, name: str) -> None:
    """Saves a member of staff. Raises Refused for an empty or taken name."""
    name = " ".join(name.split())
    if not name or len(name) > 40:
        raise Refused(Problem("name", "Enter a name of 1 to 40 characters."))
    if session.scalar(select(StaffMember.id).where(StaffMember.name == name)):
        raise Refused(Problem("name", f"The name {name} is taken: enter another one."))
    session.add(StaffMember(name=name))
    session.flush()


@dataclass(frozen=True, slots=True)
class WorseOrder:
    """An open order whose float verdict became worse, or that can no longer be ready in time.

    before, now: its float verdict. refusal: why it can no longer be made; empty if it can be. became_late: whether
    the bench was in time for it before and is not now.
    """

    number: int
    before: Verdict
    now: Verdict
    refusal: str = ""
    became_late: bool = False


@dataclass(frozen=True, slots=True)
class Recalculated:
    """What calculating an order again changed. changes: for its history. worse: None unless it became worse."""

    changes: Changes
    worse: WorseOrder | None


def replan_open_orders(context: Context, but: Collection[int] = ()) -> list[WorseOrder]:
    """Calculates every open order again by the shop as it is now. Returns the orders that became worse. but: the
    ids of those that are left as they are."""
    shop, catalogue = load_shop(context.session), load_catalogue(context.session)
    formats, worse = HistoryFormats.of(shop), []
    for order in context.session.scalars(
        select(Order).where(Order.state == OrderState.OPEN, Order.id.not_in(but)).order_by(*SOONEST_FIRST)
    ):
        done = replan_order(order, shop, catalogue, context.now)
        if done.changes:
            write_history(context, order, RECALCULATED, done.changes, formats)
        if done.worse:
            worse.append(done.worse)
    touch_board(context.session)
    context.session.flush()
    return worse


def replan_order(order: Order, shop: Shop, catalogue: Catalogue, now: datetime) -> Recalculated:
    """Calculates the order again by this shop and writes the result to the order and its batches."""
    was, before = Verdict(order.verdict), _describe_promise(order, shop)
    was_late = _is_late(order, now)
    try:
        became_late, refusal = _replan(order, shop, catalogue, now) and not was_late, ""
    except Refused as refused:
        _mark_as_impossible(order)
        became_late, refusal = False, refused.problems[0].sentence
    became = Verdict(order.verdict)
    is_worse = became.rank > was.rank or became_late
    return Recalculated(
        describe_changes(before, _describe_promise(order, shop)),
        WorseOrder(order.number, was, became, refusal, became_late) if is_worse else None,
    )


def _describe_promise(order: Order, shop: Shop) -> dict[str, str]:
    """Returns what a change of the shop can change about an order, in words for its history."""
    promise, formats = {"float": FLOAT_WORDS[Verdict(order.verdict)]}, HistoryFormats.of(shop)
    if order.hand_over != HandOver.COLLECT:
        promise["crew leaves"] = formats.moment(order.ready_by)
    for batch in order.batches:
        weight = f", weight {batch.weight_g:g}\u00a0g each" if batch.weight_g else ""
        promise[batch.key] = (
            f"inflate by {formats.moment(batch.inflate_by)}, {batch.fill_size_in:g}\u00a0in{weight}"
        )
    return promise


def _is_late(order: Order, now: datetime) -> bool:
    """Returns whether something of the order should have been started by now, as it was calculated last."""
    to_start = [batch.inflate_by for batch in order.batches if batch.quantity and batch.started_at is None]
    if order.first_fill_by and not any(batch.started_at for batch in order.batches):
        to_start.append(order.first_fill_by)
    return any(latest < now for latest in to_start)


def _mark_as_impossible(order: Order) -> None:
    """Marks an order that can no longer be calculated: it promises nothing."""
    order.verdict = Verdict.WONT_LAST
    for batch in order.batches:
        batch.chance, batch.verdict = 0.0, Verdict.WONT_LAST


def _replan(order: Order, shop: Shop, catalogue: Catalogue, now: datetime) -> bool:
    """Calculates the order again and saves the result. Returns whether it can no longer be ready in time. Raises
    Refused if the shop no longer allows the order."""
    alone = make_quote(rebuild_request(order), shop, catalogue, now, commitments_of(order))
    quote = _on_shared_bench(alone, order, shop.certainty, now)
    order.verdict, order.first_fill_by = quote.float_verdict, quote.first_fill_by
    order.finishing_minutes = int(quote.finishing.total_seconds() // 60)
    if order.ready_by > now:
        order.ready_by = quote.leaves_at
    sync_batches(order, quote)
    return quote.late_run is not None


def _on_shared_bench(quote: Quote, order: Order, certainty: Certainty, now: datetime) -> Quote:
    """Returns the quote with the latest starts on the shared bench.

    Each is as long before the batch's own latest start as when the order was saved, so that no chance moves because
    the other orders are left out.
    """
    leads = {spec_of(batch): batch.inflate_by - promised_start(batch) for batch in order.batches}

    def shared(plan: BatchPlan) -> BatchPlan:
        own = plan.window.own_inflate_by
        start = max(own - leads.get(plan.fill.spec, timedelta()), now)
        return plan.starting_by(start, certainty) if start < own else plan

    runs = tuple(replace(run, batches=tuple(map(shared, run.batches))) for run in quote.runs)
    return replace(quote, runs=runs)
