"""Counter: what has become of an order by now: whether it can be ready, what was missed, how long it lasts."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Protocol

from app.actions.records.open_work import work_key
from app.planning.window import Verdict
from app.quoting.request import HandOver
from app.quoting.states import OrderState
from app.store.models import Order
from app.store.queries.bench import BoardRow
from app.store.queries.order_batches import batches_of_orders
from app.store.queries.plan import SavedDelay
from app.store.queries.progress import OrderProgress
from app.web.batch_view import verdict_now
from app.web.requests import request_context
from app.web.wording.caller import OrderNow
from app.web.wording.order_state import DueRow, Missed, StateRow, is_event_over, missed_of
from app.web.wording.orders import missed_ready_words, ready_words
from app.web.wording.plan import PlanWords

LATEST = datetime.max.replace(tzinfo=UTC)


class NowRow(DueRow, StateRow, Protocol):
    """A row of a list of orders. verdict: as it was promised."""

    @property
    def id(self) -> int: ...
    @property
    def number(self) -> int: ...
    @property
    def verdict(self) -> str: ...


@dataclass(frozen=True, slots=True)
class RowNow:
    """What has become of an order in a list. verdict: how long it lasts now. is_late: whether it can't be ready in
    time. is_safe: whether its verdict need not be shown: it is safe as promised, or need not float any more."""

    verdict: Verdict
    is_late: bool
    missed: Missed | None
    is_event_over: bool
    is_safe: bool


def rows_now(rows: Sequence[NowRow]) -> dict[int, RowNow]:
    """Returns what has become of the orders of a list, by their numbers."""
    here, batches = request_context(), defaultdict[int, list[BoardRow]](list)
    open_ids = [row.id for row in rows if row.state is OrderState.OPEN]
    for batch in batches_of_orders(here.session, open_ids) if open_ids else ():
        batches[batch.order_number].append(batch)
    late = {delay.number for delay in here.plan.delays}
    return {row.number: _row_now(row, batches[row.number], is_late=row.number in late) for row in rows}


def _row_now(row: NowRow, batches: Sequence[BoardRow], *, is_late: bool) -> RowNow:
    now = request_context().now
    is_over = is_event_over(row, now)
    verdict = verdict_now(row.verdict, row.state, batches, request_context().shop)
    must_float = row.state is OrderState.OPEN and not row.not_made_at and not is_over
    is_safe = not must_float or verdict == row.verdict == Verdict.SAFE
    return RowNow(verdict, is_late, missed_of(row, row, now), is_over, is_safe)


def order_now(order: Order, progress: OrderProgress, rows: Sequence[BoardRow], plan: PlanWords) -> OrderNow:
    """Returns what has become of an order by now."""
    here = request_context()
    return OrderNow(
        at=here.now,
        verdict=verdict_now(order.verdict, order.state, rows, here.shop),
        missed=missed_of(order, progress, here.now),
        filled=progress.filled,
        wanted=progress.wanted,
        delays={delay.part: delay for delay in _delays(rows, plan)},
    )


@dataclass(frozen=True, slots=True)
class ReadyLine:
    """Whether an order can be ready in time. state: “ready” or “late” by the plan of the bench; “unknown” if the
    plan does not have all that is left to fill; “missed” if it was not ready in time, and is not planned any more.
    ready_at: when a late order would be ready; None if it is not late, or not ready on the next days either."""

    state: str
    ready_at: datetime | None
    text: str


def ready_line(order: Order, rows: Sequence[BoardRow], plan: PlanWords, now: OrderNow) -> ReadyLine | None:
    """Returns whether an open order can be ready in time; None if it is no longer open, was not made, or only waits
    to be collected or delivered."""
    if order.state != OrderState.OPEN or order.not_made_at or (now.missed and now.missed.is_ready):
        return None
    late = max(_delays(rows, plan), key=lambda delay: delay.ready_at or LATEST, default=None)
    ready_by = _must_be_ready_by(order, rows)
    if now.missed and late is None:
        return ReadyLine("missed", None, missed_ready_words(ready_by, now.filled, now.wanted, plan.formats))
    to_fill = [row.key for row in rows if row.quantity and row.filled_at is None]
    is_planned = bool(to_fill) and all(key in plan.blocks for key in to_fill)
    text = ready_words(ready_by, late, plan.formats, is_planned=is_planned)
    state = "late" if late else "ready" if is_planned else "unknown"
    return ReadyLine(state, late.ready_at if late else None, text)


def _delays(rows: Sequence[BoardRow], plan: PlanWords) -> list[SavedDelay]:
    """Returns the delays of the order's parts."""
    keys = dict.fromkeys(work_key(row.order_number, row.part) for row in rows)
    return [plan.delays[key] for key in keys if key in plan.delays]


def _must_be_ready_by(order: Order, rows: Sequence[BoardRow]) -> datetime:
    """Returns when the order must be finished: at the venue only after its crew has left the shop."""
    if order.hand_over != HandOver.VENUE:
        return order.ready_by
    return max((row.ready_by for row in rows), default=order.ready_by)
