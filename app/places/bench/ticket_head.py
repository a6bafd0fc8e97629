"""Bench: what a ticket says first: whether its batch is on time, what the last tap was, which job comes next."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from app.actions.records.open_work import work_key
from app.planning.shoptime import local_day
from app.quoting.reasons import latest_finish_start
from app.quoting.states import OrderState
from app.store.models import Tap
from app.store.queries.bench import BoardRow, batches_ahead
from app.web.batch_state import BatchState, latest_start, state_of, window_of
from app.web.days import ShopDay, board_day
from app.web.requests import request_context

RUNNING = (BatchState.STARTED, BatchState.IDLE, BatchState.STOPPED)
TO_START = (BatchState.LATE, BatchState.DUE, BatchState.OPEN, BatchState.EARLY)


class Pace(StrEnum):
    """Whether what is left of a batch that was started is filled in time."""

    ON_TIME = "on-time"
    BEHIND = "behind"


@dataclass(frozen=True, slots=True)
class FillTime:
    """How a batch that was started stands. left_minutes: of filling. due: when all of it must be filled."""

    pace: Pace
    left_minutes: int
    due: datetime


@dataclass(frozen=True, slots=True)
class NextJob:
    """The job that comes after this one. same_size: whether the sizer stays as it is."""

    row: BoardRow
    start_by: str
    same_size: bool


def fill_time_of(row: BoardRow, state: BatchState) -> FillTime | None:
    """Returns how the batch stands; None if it is not started, or full.

    It is behind if the plan of the bench says that its order can't be ready, or once its finishing should have
    started.
    """
    here = request_context()
    if state not in RUNNING or not row.left:
        return None
    order = work_key(row.order_number, row.part)
    due = here.plan.finish_starts.get(order) or _finish_start_alone(row) or row.ready_by
    if row.treated:
        due -= timedelta(minutes=here.shop.work_times.drying_minutes)
    is_behind = here.now > due or order in {delay.order for delay in here.plan.delays}
    minutes = math.ceil(row.work_minutes * row.left / row.quantity)
    return FillTime(Pace.BEHIND if is_behind else Pace.ON_TIME, minutes, due)


def _finish_start_alone(row: BoardRow) -> datetime | None:
    """Returns when the finishing of its order must start if no other order shared the bench."""
    finishing = timedelta(minutes=row.finishing_minutes)
    return latest_finish_start(row.ready_by, finishing, row.hand_over, request_context().shop)


def last_tap(taps: Sequence[Tap]) -> Tap | None:
    """Returns the tap that an undo beside the taps takes back; None if all were undone. taps: the latest first."""
    return next((tap for tap in taps if tap.undone_at is None), None)


def next_job_after(row: BoardRow, rows_of: Callable[[ShopDay], list[BoardRow]]) -> NextJob | None:
    """Returns the first batch of today that is still to be started, else of a later day that may be filled already;
    None if there is none. rows_of: reads the batches of a day."""
    here = request_context()
    day = board_day(here.now, here)
    found = _first_other(_to_start(rows_of(day)), row) or _first_other(
        batches_ahead(here.session, day.end, here.now), row
    )
    if found is None:
        return None
    start_by = here.formats.short_moment(_latest(found), local_day(here.now, here.formats.zone))
    return NextJob(found, start_by, _fills_alike(row, found))


def _first_other(rows: Sequence[BoardRow], row: BoardRow) -> BoardRow | None:
    """Returns the first of these batches that is not the row itself."""
    return next((one for one in rows if one.key != row.key), None)


def _to_start(rows: Sequence[BoardRow]) -> list[BoardRow]:
    """Returns the batches that nobody has started, by their latest start."""
    here = request_context()
    found = (
        one
        for one in rows
        if one.left
        and one.order_state == OrderState.OPEN
        and state_of(one, window_of(one, here.shop), here.now, here.shop) in TO_START
    )
    return sorted(found, key=_latest)


def _latest(row: BoardRow) -> datetime:
    """Returns the latest start of a batch that counts."""
    order = work_key(row.order_number, row.part)
    return latest_start(row, delayed=any(delay.order == order for delay in request_context().plan.delays))


def _fills_alike(row: BoardRow, other: BoardRow) -> bool:
    """Returns whether both go through the sizer at one setting, with the same gas."""
    both_sized = all(one.material.traits.is_sized(air_only=one.air_only) for one in (row, other))
    return both_sized and (row.gas, row.fill_size_in) == (other.gas, other.fill_size_in)
