"""This module says in which state a batch is at the bench, and when the clock alone changes that."""

from datetime import datetime, timedelta
from enum import StrEnum

from app.actions.records.batches import usable_window
from app.planning.bench_window import BenchWindow
from app.planning.going_on import GoingOn, going_on
from app.planning.shoptime import minute_down
from app.quoting.request import HandOver
from app.quoting.shop import Shop
from app.quoting.states import OrderState
from app.store.queries.bench import BoardRow

MINUTE = timedelta(minutes=1)


class BatchState(StrEnum):
    """The state of a batch on the board.

    EARLY: the shop is closed, or filled now, it would not last (`window_now`). OPEN: it may be filled. DUE: it must
    be started soon. LATE: it should have been started. IDLE: it was started, but nobody has tapped it for so long
    that the board asks. STOPPED: somebody said that it is not being filled now. NOT_MADE: its order is over, and it
    was not filled. NOT_NEEDED: its order was changed after it was started, and has none of its balloons any more.
    """

    EARLY = "early"
    OPEN = "open"
    DUE = "due"
    LATE = "late"
    STARTED = "started"
    IDLE = "idle"
    STOPPED = "stopped"
    FILLED = "filled"
    CANCELLED = "cancelled"
    NOT_MADE = "not-made"
    NOT_NEEDED = "not-needed"


STATE_WORDS = {
    BatchState.EARLY: "Too early",
    BatchState.OPEN: "Can start",
    BatchState.DUE: "Due",
    BatchState.LATE: "Late",
    BatchState.STARTED: "Filling",
    BatchState.IDLE: "Still filling?",
    BatchState.STOPPED: "Stopped",
    BatchState.FILLED: "Filled",
    BatchState.CANCELLED: "Cancelled: stop",
    BatchState.NOT_MADE: "Not made",
    BatchState.NOT_NEEDED: "Not needed any more",
}


def window_of(row: BoardRow, shop: Shop) -> BenchWindow:
    """Returns the window in which a batch may be filled."""
    return usable_window(row.not_before, row.inflate_by, row.ready_by, row.hand_over, shop)


def window_now(row: BoardRow, window: BenchWindow, shop: Shop, now: datetime) -> BenchWindow:
    """Returns the window by which the pages say whether a batch can be started now.

    One rule for every batch, whether or not its balloons can wait: outside opening hours nothing can be started at
    the bench before the shop opens again, unless its latest start comes before that. A crew at a venue has no
    opening hours.
    """
    if row.hand_over == HandOver.VENUE:
        return window
    return window.while_closed_until(shop.opening.first_open(now))


def state_of(row: BoardRow, window: BenchWindow, now: datetime, shop: Shop, *, delayed: bool = False) -> BatchState:
    """Returns the state of a batch.

    delayed: whether its order cannot be ready in time.
    """
    given_up = _given_up(row)
    if given_up:
        return given_up
    if row.filled_at or row.started_at:
        return BatchState.FILLED if row.filled_at else _state_of_started(row, now, shop)
    latest = latest_start(row, delayed=delayed)
    if _is_late(window, latest, now):
        return BatchState.LATE
    if window_now(row, window, shop, now).is_early(now):
        return BatchState.EARLY
    return BatchState.DUE if now >= latest - timedelta(minutes=shop.soon_minutes) else BatchState.OPEN


def latest_start(row: BoardRow, *, delayed: bool) -> datetime:
    """Returns the latest start that counts. delayed: whether its order cannot be ready in time. Then it is the
    batch's own one, because the start in the plan lies too late and moves on with the clock."""
    return min(row.own_inflate_by, row.inflate_by) if delayed else row.inflate_by


def _given_up(row: BoardRow) -> BatchState | None:
    """Returns why a batch is not to be filled any more; None if it is, or was."""
    if row.order_state == OrderState.CANCELLED:
        return BatchState.CANCELLED
    if not row.quantity:
        return BatchState.NOT_NEEDED
    return BatchState.NOT_MADE if row.not_made_at and not row.filled_at else None


def _state_of_started(row: BoardRow, now: datetime, shop: Shop) -> BatchState:
    """Returns the state of a batch that was started and is not full."""
    going = going_on_of(row, shop)
    if going is None:
        return BatchState.STOPPED
    asks = row.order_state == OrderState.OPEN and row.left and now >= going.until
    return BatchState.IDLE if asks else BatchState.STARTED


def _is_late(window: BenchWindow, latest: datetime, now: datetime) -> bool:
    """Returns whether the latest start has passed. A batch that must not start earlier has its whole minute."""
    return now >= minute_down(latest) + MINUTE if window.is_empty else now > latest


def going_on_of(row: BoardRow, shop: Shop) -> GoingOn | None:
    """Returns when the batch is being filled; None if it is not started, full or stopped."""
    return going_on(row.last_progress_at, row.last_burst_at, shop.idle_after(row.work_minutes))


def display_changes(
    row: BoardRow, shop: Shop, now: datetime, window: BenchWindow | None = None
) -> list[datetime | None]:
    """Returns the moments at which the clock alone changes what is shown of a batch. window: in which it may be
    filled, if that is known."""
    window, going = window or window_of(row, shop), going_on_of(row, shop)
    latest = {row.inflate_by, row.own_inflate_by}
    due = [at - timedelta(minutes=shop.soon_minutes) for at in latest]
    late = [at + (MINUTE if window.is_empty else timedelta(seconds=1)) for at in latest]
    turn = None if row.started_at else shop.opening.next_turn(now)
    return [row.not_before, window.starts_from, *due, *late, going.until if going else None, turn]
