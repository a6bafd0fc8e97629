"""Counter: what has become of an order by now: whether it can be ready, what was missed, how long it lasts."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from app.actions.records.open_work import work_key
from app.planning.window import Verdict, worst
from app.quoting.request import HandOver
from app.quoting.states import OrderState
from app.store.models import Order
from app.store.queries.bench import BoardRow
from app.store.queries.plan import SavedDelay
from app.store.queries.progress import OrderProgress
from app.web.batch_view import outcome_of
from app.web.requests import request_context
from app.web.wording.caller import OrderNow
from app.web.wording.order_state import missed_of
from app.web.wording.orders import missed_ready_words, ready_words
from app.web.wording.plan import PlanWords

LATEST = datetime.max.replace(tzinfo=UTC)


def verdict_now(promised: str, state: OrderState, rows: Iterable[BoardRow]) -> Verdict:
    """Returns how long an open order lasts as its batches were started or are planned; as promised once it is no
    longer open."""
    shop = request_context().shop
    verdicts = [outcome_of(row, shop).verdict for row in rows if row.quantity]
    return worst(verdicts) if verdicts and state is OrderState.OPEN else Verdict(promised)


def order_now(order: Order, progress: OrderProgress, rows: Sequence[BoardRow], plan: PlanWords) -> OrderNow:
    """Returns what has become of an order by now."""
    here = request_context()
    return OrderNow(
        at=here.now,
        verdict=verdict_now(order.verdict, order.state, rows),
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
