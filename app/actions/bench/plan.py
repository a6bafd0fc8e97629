"""This module calculates the plan of the whole bench from now on, and saves it for the pages to show.

It takes three steps, so that no page waits for the calculation: `read_bench`, `calculate_plan` without a
session, and `save_plan`.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.actions.context import Context
from app.actions.records.history import allocate_number, board_version, lock_board
from app.actions.records.open_work import BenchWork, load_work, point_of
from app.actions.records.shop import load_roster
from app.planning.outlook import Delay, Outlook, look_ahead
from app.planning.placing import PLAN_HORIZON
from app.planning.roster import StaffChange
from app.store.models import BenchPlan, OrderBatch, PlannedStart
from app.store.queries.plan import (
    NO_PLAN,
    PlanChange,
    SavedBlock,
    SavedDelay,
    SavedPlan,
    SavedWork,
    load_plan,
    read_plan,
    write_plan,
)
from app.store.queries.work import WorkRow
from app.store.versions import BOARD

MOST_NEWS = 12
NEWS_PERIOD = timedelta(hours=24)
MIN_SHOWN_CHANGE = timedelta(minutes=15)
"""A time that moved by less than this since it was last shown is no news."""


@dataclass(frozen=True, slots=True)
class BenchNow:
    """What the bench has to do, as of a version of the board."""

    board_version: int
    work: BenchWork


@dataclass(frozen=True, slots=True)
class BenchPlanDraft:
    """A calculated plan, without news. starts: by the key of the batch. waiting: the batches not started, by id.
    orders: the keys of all orders in the plan."""

    plan: SavedPlan
    starts: Mapping[str, datetime]
    waiting: Mapping[int, WorkRow]
    orders: frozenset[str]


@dataclass(frozen=True, slots=True)
class Move:
    """A planned start that changed; was is None if the batch had no start before."""

    row: WorkRow
    was: datetime | None
    now: datetime


def read_bench(context: Context, change: StaffChange | None = None, until: Sequence[datetime] = ()) -> BenchNow:
    """Returns the orders, staff and points as they are, or as they would be after a change of staff.

    until: moments up to which staff are wanted, even if the last order is due long before.
    """
    roster = load_roster(context.session, context.shop.opening)
    roster = change.made_in(roster) if change else roster
    return BenchNow(board_version(context.session), load_work(context, roster, until, PLAN_HORIZON))


def is_plan_current(context: Context) -> bool:
    """Returns whether the saved plan need not be calculated again: the board has not changed, no order is late, the
    first planned work has not started yet, and no batch has become idle. Time alone does not change the latest
    starts until then."""
    plan = load_plan(context.session)
    if plan.delays or plan.board_version != board_version(context.session):
        return False
    if plan.holds_until and context.now >= plan.holds_until:
        return False
    return context.now <= min((block.start for block in plan.blocks), default=context.now)


def calculate_plan(bench: BenchNow, now: datetime) -> BenchPlanDraft:
    """Returns the plan of the bench from this moment on."""
    work = bench.work
    outlook = look_ahead(work.orders, work.shifts, work.points, now, work.absences)
    return BenchPlanDraft(
        _as_saved(outlook, work, bench.board_version, now),
        outlook.starts,
        {row.id: row for row in work.rows if row.started_at is None},
        frozenset(order.key for order in work.orders),
    )


def save_plan(session: Session, made: BenchPlanDraft) -> bool:
    """Saves the plan, and returns whether the pages have something new to show. A newer plan is not overwritten."""
    lock_board(session)
    row = session.get(BenchPlan, 1)
    before = read_plan(row) if row else NO_PLAN
    if (before.board_version, before.made_at) > (made.plan.board_version, made.plan.made_at):
        return False
    moves = _save_starts(session, made)
    is_new = bool(moves) or _content(before) != _content(made.plan)
    is_same = (before.board_version, before.holds_until) == (made.plan.board_version, made.plan.holds_until)
    if not is_new and is_same:
        return False
    news = [*_news(before, made, moves), *before.news] if row else []
    fresh = tuple(one for one in news if one.at > made.plan.made_at - NEWS_PERIOD)[:MOST_NEWS]
    saved = row or BenchPlan(id=1)
    saved.board_version = _allocate_version(session, made.plan) if is_new else made.plan.board_version
    saved.made_at, saved.content = made.plan.made_at, write_plan(replace(made.plan, news=fresh))
    session.add(saved)
    session.flush()
    return is_new


def _content(plan: SavedPlan) -> tuple[object, ...]:
    """Returns the parts of a plan that pages show."""
    return plan.blocks, plan.finish_starts, plan.delays


def _allocate_version(session: Session, made: SavedPlan) -> int:
    """Returns the version of the board to which the plan belongs.

    A new number lets pages that poll notice the plan. If somebody changed the board meanwhile, the plan still
    belongs to the version from which it was made, so that it is made again.
    """
    drawn = allocate_number(session, BOARD)
    return drawn if drawn == made.board_version + 1 else made.board_version


def _save_starts(session: Session, made: BenchPlanDraft) -> list[Move]:
    """Saves the starts of batches not started, and returns those that changed. A batch that was started keeps its
    start."""
    existing = session.scalars(
        select(OrderBatch.id).where(OrderBatch.id.in_(made.waiting))
    )  # a batch may have been deleted since the plan was read
    starts = {id_: made.starts[row.key] for id_ in existing if (row := made.waiting[id_]).key in made.starts}
    known = select(PlannedStart).where(PlannedStart.batch_id.in_(made.waiting))
    saved = {row.batch_id: row for row in session.scalars(known)}
    gone = [id_ for id_ in saved if id_ not in starts]
    if gone:
        session.execute(delete(PlannedStart).where(PlannedStart.batch_id.in_(gone)))
    moves = []
    for id_, start in starts.items():
        was = saved[id_].starts_at if id_ in saved else None
        if was != start:
            session.merge(PlannedStart(batch_id=id_, starts_at=start))
            moves.append(Move(made.waiting[id_], was, start))
    return moves


def _news(before: SavedPlan, made: BenchPlanDraft, moves: list[Move]) -> Iterator[PlanChange]:
    """Yields which orders became late or are in time again, and which starts of the coming day moved much."""
    at, now = made.plan.made_at, {delay.order: delay for delay in made.plan.delays}
    then = {delay.order: delay for delay in before.delays}
    for order in sorted((now.keys() | then.keys()) & made.orders):
        own = (now.get(order) or then[order]).ready_by
        last = [one.now for one in before.news if one.order == order and not one.batch]
        was = last[0] if last else then[order].ready_at if order in then else own
        new = now[order].ready_at if order in now else own
        if was != new and (order not in now or order not in then or _is_much(was, new)):
            yield PlanChange(at=at, order=order, batch="", was=was, now=new)
    for move in sorted(moves, key=lambda move: move.now):
        if move.was and _is_much(move.was, move.now) and move.now < at + NEWS_PERIOD:
            yield PlanChange(at=at, order=f"{move.row.number}", batch=move.row.key, was=move.was, now=move.now)


def _is_much(was: datetime | None, new: datetime | None) -> bool:
    """Returns whether the change of a time is worth showing."""
    return was is None or new is None or abs(new - was) >= MIN_SHOWN_CHANGE


def _as_saved(outlook: Outlook, work: BenchWork, version: int, now: datetime) -> SavedPlan:
    """Returns the outlook in the form in which plans are saved, without news."""
    gas = {row.key: point_of(row) for row in work.rows}
    return SavedPlan(
        board_version=version,
        made_at=now,
        blocks=tuple(
            SavedBlock(key=key, gas=gas.get(key), start=start, end=end, staff=staff)
            for key, start, end, staff in outlook.blocks
        ),
        finish_starts=outlook.finish_starts,
        delays=tuple(map(_as_delay, sorted(outlook.delays, key=lambda one: (one.ready_by, one.key)))),
        news=(),
        holds_until=work.holds_until,
    )


def _as_delay(delay: Delay) -> SavedDelay:
    """Returns a late order with the work that is too much."""
    short = delay.shortage
    return SavedDelay(
        order=delay.key,
        ready_by=delay.ready_by,
        ready_at=delay.ready_at,
        work=tuple(SavedWork(one.key, one.fill_seconds, one.finish_seconds) for one in delay.work),
        short_seconds=short.short_seconds,
        start=short.start,
        end=short.end,
        gas=short.gas,
        proved=delay.proved,
    )
